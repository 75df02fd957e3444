//! Values shown to people: one unit, few digits, and never another number than the value.

use proptest::prelude::*;
use quantity::si::{self, ElectricCurrent, ElectricPotential, Length, Power};
use quantity::{AnyValue, Digits, Quantity, Range, Value, parse_value, show};

fn shown<Q: Quantity>(text: &str) -> String {
    parse_value::<Q>(text)
        .unwrap_or_else(|error| panic!("{text}: {error}"))
        .to_string()
}

#[test]
fn prefixes_keep_one_to_three_digits_before_the_point() {
    assert_eq!(shown::<ElectricCurrent>("0.0004 A"), "400 µA");
    assert_eq!(shown::<ElectricCurrent>("0.25 A"), "250 mA");
    assert_eq!(shown::<ElectricCurrent>("999.96 mA"), "1000 mA");
    assert_eq!(shown::<Power>("1500 W"), "1.5 kW");
    assert_eq!(shown::<Length>("750 mm"), "750 mm");
    assert_eq!(shown::<Length>("12 m"), "12 m");
    assert_eq!(shown::<Length>("5 µm"), "5 µm");
}

#[test]
fn bounds_share_the_unit_of_the_nominal() {
    assert_eq!(shown::<Power>("1 kW ± 50 %"), "1 kW (0.5 .. 1.5 kW)");
    assert_eq!(
        shown::<ElectricPotential>("24 V (23 V .. 25.5 V)"),
        "24 V (23 .. 25.5 V)"
    );
    // A tolerance that changes no digit has no place on the line.
    assert_eq!(shown::<ElectricPotential>("24 V ± 1 µV"), "24 V");
    assert_eq!(
        Range::new(si::volt(12.0), si::volt(24.0)).to_string(),
        "12 V .. 24 V"
    );
}

#[test]
fn what_has_no_bounds_says_so() {
    let zero = Value::between(si::ohm(-1.0), si::ohm(0.0), si::ohm(1.0));
    let unbounded = Value::exact(si::volt(1.0)) / zero;
    assert_eq!(unbounded.to_string(), "unbounded");
    let half = Value::between(si::volt(1.0), si::volt(2.0), si::volt(f64::INFINITY));
    assert_eq!(half.to_string(), "2 V (1 .. unbounded)");
}

#[test]
fn digits_are_significant_ones() {
    let value = AnyValue::from(Value::exact(si::volt(1234.5678)));
    assert_eq!(show(&value, Digits::new(2)), "1 kV".replace('1', "1.2"));
    assert_eq!(show(&value, Digits::new(6)), "1.23457 kV");
    assert_eq!(show(&value, Digits::new(0)), show(&value, Digits::new(1)));
}

proptest! {
    /// Four digits: what is shown differs from the value by at most half of the last one.
    #[test]
    fn what_is_shown_is_the_value_rounded(exponent in -11.0_f64..8.0, sign in prop::bool::ANY) {
        let base = 10_f64.powf(exponent) * if sign { 1.0 } else { -1.0 };
        let text = Value::exact(si::volt(base)).to_string();
        let back = parse_value::<ElectricPotential>(&text).expect("what is shown can be read").nominal();
        prop_assert!((back / si::volt(base) - si::ratio(1.0)).value.abs() < 5.1e-4, "{} {}", base, text);
    }

    /// The order of shown bounds is that of the value.
    #[test]
    fn showing_never_panics(low in prop::num::f64::ANY, nominal in prop::num::f64::ANY, high in prop::num::f64::ANY) {
        let text = Value::between(si::volt(low), si::volt(nominal), si::volt(high)).to_string();
        prop_assert!(!text.is_empty());
        prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{}", text);
    }
}

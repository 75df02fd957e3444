//! Laws: round trip of text for every kind, and of the arithmetic of intervals.

use proptest::prelude::*;
use quantity::si::{self, ElectricPotential};
use quantity::{Kind, Number, Quantity, Range, Value, parse_range, parse_value};

/// A number over many orders of magnitude, of both signs.
fn numbers() -> impl Strategy<Value = f64> {
    (-9.0_f64..9.0, prop::bool::ANY)
        .prop_map(|(exponent, sign)| 10_f64.powf(exponent) * if sign { 1.0 } else { -1.0 })
}

fn volts() -> impl Strategy<Value = Value<ElectricPotential>> {
    (numbers(), 0.0_f64..0.9, 0.0_f64..0.9).prop_map(|(nominal, down, up)| {
        let width = nominal.abs();
        Value::between(
            si::volt(nominal - width * down),
            si::volt(nominal),
            si::volt(nominal + width * up),
        )
    })
}

fn reads_back<Q: Quantity>(nominal: f64, down: f64, up: f64) -> Result<(), TestCaseError> {
    let width = nominal.abs();
    let bounds = [nominal - width * down, nominal, nominal + width * up].map(Q::from_base);
    let value = Value::between(bounds[0], bounds[1], bounds[2]);
    let text = value.to_text();
    prop_assert_eq!(parse_value::<Q>(&text), Ok(value), "{}", text);
    let exact = Value::exact(bounds[1]);
    prop_assert_eq!(
        parse_value::<Q>(&exact.to_text()),
        Ok(exact),
        "{}",
        exact.to_text()
    );
    if Q::KIND == Kind::Ratio {
        // "-3 .. 50 %" is one range in per cent: a plain number beside one in per cent has no text as a range.
        return Ok(());
    }
    let bounds = [value.low(), value.high()];
    let range = Range::new(bounds[0], bounds[1]);
    let ends = bounds.map(|end| Value::exact(end).to_text());
    let text = format!("{} .. {}", ends[0], ends[1]);
    prop_assert_eq!(parse_range::<Q>(&text), Ok(range), "{}", text);
    Ok(())
}

macro_rules! every_kind_reads_back {
    ($($name:ident: $quantity:ident,)*) => {
        proptest! { $(
            #[test]
            fn $name(nominal in numbers(), down in 0.0_f64..0.9, up in 0.0_f64..0.9) {
                reads_back::<si::$quantity>(nominal, down, up)?;
            }
        )* }
    };
}

every_kind_reads_back! {
    voltage_reads_back: ElectricPotential,
    current_reads_back: ElectricCurrent,
    resistance_reads_back: ElectricalResistance,
    power_reads_back: Power,
    inductance_reads_back: Inductance,
    capacitance_reads_back: Capacitance,
    frequency_reads_back: Frequency,
    length_reads_back: Length,
    area_reads_back: Area,
    mass_reads_back: Mass,
    time_reads_back: Time,
    velocity_reads_back: Velocity,
    acceleration_reads_back: Acceleration,
    force_reads_back: Force,
    torque_reads_back: Torque,
    moment_of_inertia_reads_back: MomentOfInertia,
    angle_reads_back: Angle,
    angular_velocity_reads_back: AngularVelocity,
    temperature_reads_back: ThermodynamicTemperature,
    temperature_difference_reads_back: TemperatureInterval,
    thermal_resistance_reads_back: ThermalResistance,
    thermal_conductance_reads_back: ThermalConductance,
    heat_capacity_reads_back: HeatCapacity,
    temperature_coefficient_reads_back: TemperatureCoefficient,
    step_density_reads_back: StepDensity,
    resistance_per_length_reads_back: ResistancePerLength,
    ratio_reads_back: Ratio,
}

#[test]
fn zero_reads_back() {
    for value in [
        Value::exact(si::volt(0.0)),
        Value::between(si::volt(-1e-3), si::volt(0.0), si::volt(2e-3)),
        Value::between(si::volt(0.0), si::volt(0.0), si::volt(2.0)),
    ] {
        assert_eq!(
            parse_value::<ElectricPotential>(&value.to_text()),
            Ok(value),
            "{}",
            value.to_text()
        );
    }
}

proptest! {
    #[test]
    fn bounds_surround_the_nominal(a in numbers(), b in numbers(), c in numbers()) {
        let value = Value::between(si::volt(a), si::volt(b), si::volt(c));
        prop_assert!(value.low() <= value.nominal() && value.nominal() <= value.high());
        prop_assert!(value.contains(value.nominal()) && value.contains(value.low()) && value.contains(value.high()));
    }

    #[test]
    fn sums_and_products_have_no_order(a in volts(), b in volts()) {
        prop_assert_eq!(a + b, b + a);
        prop_assert_eq!(a * b, b * a);
    }

    #[test]
    fn negation_twice_is_nothing(a in volts()) {
        prop_assert_eq!(-(-a), a);
        prop_assert_eq!((-a).low(), -a.high());
    }

    #[test]
    fn a_difference_is_the_sum_with_the_negative(a in volts(), b in volts()) {
        prop_assert_eq!(a - b, a + (-b));
    }

    /// The bounds never shrink: an exact value added keeps the width, up to rounding outwards.
    #[test]
    fn sums_are_as_wide_as_their_parts(a in volts(), b in volts()) {
        let width = |value: Value<ElectricPotential>| (value.high() - value.low()).base();
        prop_assert!(width(a + b) >= (width(a) + width(b)) * (1.0 - 1e-12));
    }

    /// A wider input gives a wider result: inclusion isotony, the law that makes worst cases safe.
    #[test]
    fn wider_inputs_give_wider_results(a in volts(), b in volts(), by in 0.0_f64..0.5) {
        let wide = a.hull(&a.scale(1.0 + by)).hull(&a.scale(1.0 - by));
        for (narrow, wide) in [(a + b, wide + b), (a - b, wide - b)] {
            prop_assert!(wide.low() <= narrow.low() && narrow.high() <= wide.high());
        }
        let (narrow, wide) = (a * b, wide * b);
        prop_assert!(wide.low() <= narrow.low() && narrow.high() <= wide.high());
    }

    #[test]
    fn a_hull_holds_both(a in volts(), b in volts()) {
        let hull = a.hull(&b);
        prop_assert!(hull.low() <= a.low() && hull.low() <= b.low());
        prop_assert!(hull.high() >= a.high() && hull.high() >= b.high());
        prop_assert_eq!(hull.nominal(), a.nominal());
    }

    #[test]
    fn a_quotient_times_the_divisor_holds_the_dividend(a in volts(), b in volts()) {
        prop_assume!(b.low().base() * b.high().base() > 0.0);
        prop_assert!(((a / b) * b).contains(a.nominal()));
    }

    #[test]
    fn division_by_what_may_be_zero_has_no_bounds(a in volts(), reach in 0.0_f64..10.0) {
        let b = Value::between(si::volt(-reach), si::volt(reach / 2.0), si::volt(reach));
        let quotient = a / b;
        prop_assert_eq!(quotient.low().base(), f64::NEG_INFINITY);
        prop_assert_eq!(quotient.high().base(), f64::INFINITY);
    }

    #[test]
    fn a_range_holds_what_lies_in_it(a in volts(), b in volts()) {
        let range = Range::new(a.low(), a.high());
        prop_assert_eq!(range.holds(&b), a.low() <= b.low() && b.high() <= a.high());
        prop_assert!(range.holds(&a));
    }

    #[test]
    fn a_sum_of_many_is_their_sum(values in prop::collection::vec(volts(), 0..8)) {
        let sum: Value<ElectricPotential> = values.iter().copied().sum();
        let nominal: f64 = values.iter().map(|value| value.nominal().base()).sum();
        prop_assert!((sum.nominal().base() - nominal).abs() <= 1e-9 * nominal.abs().max(1e-9));
        prop_assert!(sum.low() <= sum.nominal() && sum.nominal() <= sum.high());
    }
}

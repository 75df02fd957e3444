//! Rows of published tables: units against their definitions, wires against ASTM B258.

use quantity::si::{
    AngularVelocity, Area, ElectricalResistance, Length, MomentOfInertia, Ratio, TemperatureInterval,
    ThermodynamicTemperature, Time, Torque, Velocity,
};
use quantity::{Number, Quantity, WireSize, parse_value, parse_wire_size};

fn base<Q: Quantity>(text: &str) -> f64 {
    parse_value::<Q>(text)
        .unwrap_or_else(|error| panic!("{text}: {error}"))
        .nominal()
        .base()
}

fn close(text: &str, found: f64, expected: f64) {
    assert!(
        (found / expected - 1.0).abs() < 1e-12,
        "{text}: {found}, not {expected}"
    );
}

/// SI Brochure, 9th edition (2019), table 8 (units outside the SI) and 2.3.1 (Celsius); NIST SP 811 (2008), B.8: the inch.
/// From memory.
#[test]
fn units_have_their_defined_size() {
    close("minute", base::<Time>("1 min"), 60.0);
    close("hour", base::<Time>("1 h"), 3600.0);
    close("day", base::<Time>("1 d"), 86_400.0);
    close(
        "degree",
        base::<quantity::si::Angle>("180°"),
        core::f64::consts::PI,
    );
    close("inch", base::<Length>("1 in"), 0.0254);
    close("water freezes", base::<ThermodynamicTemperature>("0 °C"), 273.15);
    close("absolute", base::<ThermodynamicTemperature>("300 K"), 300.0);
    close(
        "a difference has no zero point",
        base::<TemperatureInterval>("20 °C"),
        20.0,
    );
    close(
        "turns",
        base::<AngularVelocity>("60 rev/min"),
        core::f64::consts::TAU,
    );
    close("feed", base::<Velocity>("3000 mm/min"), 0.05);
    close("area", base::<Area>("1 mm²"), 1e-6);
    close("torque", base::<Torque>("45 N cm"), 0.45);
    close("inertia", base::<MomentOfInertia>("54 g cm²"), 54e-7);
    close("per cent", base::<Ratio>("5 %"), 0.05);
    close("ppm", base::<Ratio>("50 ppm"), 50e-6);
}

/// Nominal and bounds of a row of the E24 series with its usual tolerance: IEC 60063; from memory.
#[test]
fn a_resistor_of_five_per_cent_has_its_bounds() {
    let value = parse_value::<ElectricalResistance>("4.7 kΩ ± 5 %").expect("a value");
    close("low", value.low().base(), 4465.0);
    close("high", value.high().base(), 4935.0);
}

/// The wires of `data/awg.csv`: cross-section recomputed from the ASTM B258 rule by an independent program, to its five digits.
#[test]
fn cross_sections_agree_with_the_table() {
    let table = include_str!("data/awg.csv");
    let mut seen = 0;
    for row in table
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()))
    {
        let cells: Vec<&str> = row.split(',').collect();
        let wire = parse_wire_size(&format!("{} AWG", cells[0])).expect("a wire");
        let expected: f64 = cells[2].parse().expect("a number");
        let found = wire.area().base() * 1e6;
        assert!((found / expected - 1.0).abs() < 2e-3, "{row}: {found}");
        // A wire of exactly that cross-section counts as the same gauge.
        let same = WireSize::CrossSection(wire.area());
        assert_eq!(same.gauge().to_string(), cells[0], "{row}");
        seen += 1;
    }
    assert!(seen >= 20, "{seen}");
}

/// IEC 60228 class 5 sizes between two gauges count as the thinner one: the currents of the table must not be too high.
#[test]
fn a_cross_section_between_gauges_is_the_thinner_one() {
    for (text, gauge) in [
        ("0.5 mm²", 21),
        ("0.75 mm²", 19),
        ("1 mm²", 18),
        ("1.5 mm²", 16),
        ("2.5 mm²", 14),
    ] {
        let wire = parse_wire_size(text).expect("a wire");
        assert_eq!(wire.gauge(), gauge, "{text}");
        assert!(
            WireSize::Awg(gauge).area().base() <= wire.area().base() * 1.001,
            "{text}"
        );
        assert!(
            WireSize::Awg(gauge - 1).area().base() > wire.area().base(),
            "{text}"
        );
    }
}

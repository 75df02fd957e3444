//! Text to value and back: written examples, laws, and the wire table.
use proptest::prelude::*;
use quantity::si::{
    self, ElectricPotential, ElectricalResistance, Power, Ratio, StepDensity, ThermodynamicTemperature,
};
use quantity::{
    AnyValue, Kind, Number, Value, WireSize, parse_price, parse_range, parse_value, parse_wire_size,
};

fn bounds<Q: quantity::Quantity>(text: &str) -> (f64, f64, f64) {
    let value: Value<Q> = parse_value(text).unwrap_or_else(|error| panic!("{text}: {error}"));
    (value.low().base(), value.nominal().base(), value.high().base())
}

#[test]
fn examples_of_the_format_are_read() {
    assert_eq!(bounds::<ElectricPotential>("24 V"), (24.0, 24.0, 24.0));
    assert_eq!(bounds::<ElectricPotential>("24V"), (24.0, 24.0, 24.0));
    assert_eq!(bounds::<Power>("40 W ± 10 %"), (36.0, 40.0, 44.0));
    assert_eq!(bounds::<Power>("40 W +- 4 W"), (36.0, 40.0, 44.0));
    assert_eq!(
        bounds::<ElectricalResistance>("100 kΩ +1 % -2 %"),
        (98_000.0, 100_000.0, 101_000.0)
    );
    assert_eq!(bounds::<ElectricalResistance>("4.7 kΩ").1, 4700.0);
    assert_eq!(bounds::<ElectricalResistance>("4.7 kohm").1, 4700.0);
    assert_eq!(bounds::<StepDensity>("80 step/mm").1, 80_000.0);
    assert_eq!(bounds::<ElectricPotential>("12 V .. 24 V"), (12.0, 18.0, 24.0));
    assert_eq!(bounds::<ElectricPotential>("12 .. 24 V"), (12.0, 18.0, 24.0));
    assert_eq!(
        bounds::<ThermodynamicTemperature>("25 °C ± 2 K"),
        (296.15, 298.15, 300.15)
    );
    assert_eq!(bounds::<Ratio>("50 %").1, 0.5);
    assert_eq!(
        bounds::<ElectricPotential>("24 V (23 V .. 25.5 V)"),
        (23.0, 24.0, 25.5)
    );
    for micro in ["47 µF", "47 μF", "47 uF"] {
        let farad = bounds::<si::Capacitance>(micro).1;
        assert!((farad - 47e-6).abs() < 1e-18, "{micro}");
    }
    assert_eq!(
        parse_wire_size("20 AWG").map(|size| size.to_string()),
        Ok("20 AWG".to_owned())
    );
    assert_eq!(
        parse_price("12.50 EUR").map(|price| price.to_string()),
        Ok("12.50 EUR".to_owned())
    );
    assert!(parse_range::<ElectricPotential>("24 V .. 12 V").is_err());
}

#[test]
fn faults_say_what_was_expected() {
    let voltage = |text: &str| parse_value::<ElectricPotential>(text).map(|_| ()).unwrap_err();
    assert_eq!(voltage("24 W").problem, "`W` is a unit of power, not of voltage");
    assert_eq!(voltage("24 W").span, 3..4);
    assert_eq!(voltage("24 v").help.as_deref(), Some("did you mean `V`?"));
    assert_eq!(voltage("24").problem, "a number without unit");
    assert_eq!(voltage("").problem, "a number is missing");
    assert_eq!(voltage("4,7 V").help.as_deref(), Some("write `4.7 V`"));
    assert_eq!(voltage("24 V ± -5 %").problem, "a negative tolerance");
    assert_eq!(voltage("24 V x").span, 3..6);
    // Each side of a tolerance once: the second one would silently take the place of the first.
    assert_eq!(voltage("24 V +1 % +2 %").problem, "`+2 %` is left over");
    assert_eq!(voltage("24 V -1 V −2 V").problem, "`−2 V` is left over");
    assert_eq!(
        voltage("1,234.5 V").help.as_deref(),
        Some("write large numbers without commas, or part their digits by `_`")
    );
    assert!(parse_value::<ThermodynamicTemperature>("200 °C ± 5 %").is_err());
}

/// ASTM B258 rule against a printed wire table (HyperPhysics, Georgia State University), `data/awg.csv`.
#[test]
fn gauges_agree_with_the_printed_table() {
    let table = include_str!("data/awg.csv");
    let rows = table.lines().filter(|line| !line.starts_with('#')).skip(1);
    let mut seen = 0;
    for row in rows {
        let cells: Vec<&str> = row.split(',').collect();
        let printed_mm = cells[4].parse::<f64>().unwrap_or_else(|_| panic!("{row}")) * 25.4;
        let ours_mm = WireSize::Awg(cells[0].parse().unwrap()).diameter().base() * 1e3;
        assert!((ours_mm / printed_mm - 1.0).abs() < 6e-4, "{row}: {ours_mm}");
        seen += 1;
    }
    assert!(seen >= 20);
}

#[test]
fn shown_text_has_sensible_prefixes() {
    let shown = |text: &str| parse_value::<ElectricalResistance>(text).unwrap().to_string();
    assert_eq!(shown("4700 Ω"), "4.7 kΩ");
    assert_eq!(shown("100 kΩ ± 1 %"), "100 kΩ (99 .. 101 kΩ)");
    assert_eq!(shown("0.05 Ω"), "50 mΩ");
    assert_eq!(Value::exact(si::millimetre(235.0)).to_string(), "235 mm");
    assert_eq!(Value::exact(si::celsius(210.0)).to_string(), "210 °C");
    assert_eq!(Value::exact(si::ratio(0.35)).to_string(), "35 %");
    assert_eq!(
        Value::exact(si::step_per_millimetre(80.0)).to_string(),
        "80 step/mm"
    );
    assert_eq!(Value::exact(si::volt(0.0)).to_string(), "0 V");
}

proptest! {
    #[test]
    fn exact_text_reads_back(nominal in -1e6_f64..1e6, up in 0.0_f64..0.5, down in 0.0_f64..0.5) {
        let value = Value::between(
            si::volt(nominal - nominal.abs() * down), si::volt(nominal), si::volt(nominal + nominal.abs() * up));
        prop_assert_eq!(parse_value::<ElectricPotential>(&value.to_text()), Ok(value), "{}", value.to_text());
    }

    #[test]
    fn intervals_hold_every_sample(a in -50.0_f64..50.0, ta in 0.0_f64..0.4, b in 0.1_f64..50.0, tb in 0.0_f64..0.4,
                                   x in 0.0_f64..=1.0, y in 0.0_f64..=1.0) {
        let (u, r) = (Value::relative(si::volt(a), ta), Value::relative(si::ohm(b), tb));
        let pick = |low: f64, high: f64, t: f64| low + (high - low) * t;
        let point_u = si::volt(pick(u.low().base(), u.high().base(), x).clamp(u.low().base(), u.high().base()));
        let point_r = si::ohm(pick(r.low().base(), r.high().base(), y).clamp(r.low().base(), r.high().base()));
        prop_assert!((u / r).contains(point_u / point_r));
        prop_assert!((u * u).contains(point_u * point_u));
        prop_assert!((u + u).contains(point_u + point_u));
        prop_assert!((u - u).contains(point_u - point_u));
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,40}") {
        if let Err(error) = parse_value::<ElectricPotential>(&text) {
            prop_assert!(text.get(error.span).is_some());
        }
        let _ = parse_price(&text);
        let _ = parse_wire_size(&text);
        let _ = quantity::parse_memory(&text);
    }

    #[test]
    fn near_values_make_no_panic(text in "[-+]?[0-9]{1,3}(\\.[0-9]{0,3})?(e[0-9]{1,3})? ?(k|m|µ|u)?(V|Ω|AWG)?( ?(±|\\.\\.|\\+) ?[0-9]{0,3} ?[%V]?)?( - ?[0-9] ?%)?") {
        if let Err(error) = parse_value::<ElectricPotential>(&text) {
            prop_assert!(text.get(error.span).is_some());
        }
    }
}

#[test]
fn any_value_keeps_its_kind() {
    let any = AnyValue::from(Value::exact(si::volt(5.0)));
    assert_eq!(any.kind, Kind::Voltage);
    assert_eq!(
        any.typed::<ElectricPotential>(),
        Some(Value::exact(si::volt(5.0)))
    );
    assert_eq!(any.typed::<Power>(), None);
}

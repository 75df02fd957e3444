//! The shipped figures held against published tables and worked values; the source stands beside each check.

use catalogue::{Law, Rgb, Thermometer, built_in};
use quantity::Number;
use quantity::si::volt;
use quantity::{Value, WireSize};

use crate::{close, number, reference_rows};

/// ASTM B258 and IEC 60028; column 6 is a printed wire table (HyperPhysics, Georgia State University), looked up.
#[test]
fn resistances_of_gauges_agree_with_the_printed_wire_table() {
    const OHM_PER_KM_OF_OHM_PER_KFT: f64 = 3.28084;
    let rows = reference_rows(include_str!("data/awg.csv"));
    assert_eq!(rows.len(), built_in().wires().gauges().rows().len());
    for row in rows {
        let name = format!("{} AWG", row[0]);
        let gauge = built_in()
            .wires()
            .gauges()
            .get(&name)
            .expect("a gauge of the table");
        let ohm_per_km = gauge.resistance.nominal().base() * 1e3;
        close(
            ohm_per_km,
            number(row[5]) * OHM_PER_KM_OF_OHM_PER_KFT,
            5e-4,
            &name,
        );
        close(ohm_per_km, number(row[3]), 1e-12, &name);
        close(gauge.chassis.nominal().base(), number(row[6]), 1e-12, &name);
        match gauge.transmission {
            Some(current) => close(current.nominal().base(), number(row[7]), 1e-12, &name),
            None => assert_eq!(row[7], ""),
        }
        // The constants of copper and the rule of the gauges give the same figure.
        let copper = built_in().wires().copper();
        let area_mm2 = gauge.size.area().base() * 1e6;
        close(
            copper.square_millimetre.nominal().base() * 1e3 / area_mm2,
            ohm_per_km,
            1e-4,
            &name,
        );
    }
}

/// IEC 60028: 1/58 Ω mm²/m, 0.00393 /K; looked up.
#[test]
fn constants_of_copper() {
    let copper = built_in().wires().copper();
    close(
        copper.square_millimetre.nominal().base(),
        1.0 / 58.0,
        1e-12,
        "resistivity",
    );
    close(
        copper.temperature_coefficient.nominal().base(),
        0.00393,
        1e-12,
        "coefficient",
    );
}

/// IEC 60228 class 5, plain, 20 °C, as reprinted by a cable maker: 1 to 6 mm², looked up. Stranding adds to the solid wire.
#[test]
fn class_5_resistances() {
    let published = [(1.0, 19.5), (1.5, 13.3), (2.5, 7.98), (4.0, 4.95), (6.0, 3.30)];
    let wires = built_in().wires();
    for (mm2, ohm_per_km) in published {
        let size = WireSize::CrossSection(quantity::si::square_millimetre(mm2));
        let row = wires.stranded_of(size).expect("a row of the table");
        close(
            row.resistance.nominal().base() * 1e3,
            ohm_per_km,
            1e-12,
            &row.name,
        );
    }
    for row in wires.stranded().rows() {
        let solid = 1.0 / 58.0 / (row.size.area().base() * 1e6);
        let more = row.resistance.nominal().base() / solid;
        assert!(
            (1.08..1.20).contains(&more),
            "{}: {more} of the solid wire",
            row.name
        );
    }
}

/// IEC 60204-1, table 6 (from memory), grouping factor 0.65 for four circuits: the default current follows from them.
#[test]
fn bundled_currents_follow_from_the_published_capacities() {
    let capacities = [
        (0.0, 0.0),
        (0.2, 4.3),
        (0.5, 7.5),
        (0.75, 8.5),
        (1.0, 10.1),
        (1.5, 13.1),
        (2.5, 16.5),
        (4.0, 23.0),
        (6.0, 30.0),
        (10.0, 40.0),
    ];
    for gauge in built_in().wires().gauges().rows() {
        let area = gauge.size.area().base() * 1e6;
        let above = capacities
            .iter()
            .position(|(mm2, _)| *mm2 >= area)
            .expect("in the table");
        let ((a0, i0), (a1, i1)) = (capacities[above - 1], capacities[above]);
        let bundled = 0.65 * (i0 + (i1 - i0) * (area - a0) / (a1 - a0));
        let shipped = gauge.bundled.nominal().base();
        assert!(
            shipped <= bundled + 1e-9 && shipped > 0.93 * bundled,
            "{}: {shipped}, {bundled}",
            gauge.name
        );
        assert!(
            gauge.bundled.nominal() < gauge.chassis.nominal(),
            "{}",
            gauge.name
        );
    }
}

/// IEC 60751: 51 rows of a printed table, two decimals; those up to 400 °C looked up on two pages.
#[test]
fn platinum_tables_agree_with_the_printed_one() {
    let rows: Vec<_> = reference_rows(include_str!("data/iec60751.csv"))
        .into_iter()
        .filter(|row| !row[2].is_empty())
        .collect();
    assert_eq!(rows.len(), 51);
    for (name, factor) in [("Pt100", 1.0), ("Pt1000", 10.0)] {
        let platinum = thermometer(name);
        for row in &rows {
            let printed = number(row[2]) * factor;
            let shipped = resistance_at(platinum, number(row[0]));
            assert!(
                (shipped - printed).abs() <= 0.00501 * factor,
                "{name} {}: {shipped}",
                row[0]
            );
        }
    }
}

/// IEC 60751, classes A and B at 200 °C: 0.55 K and 1.3 K; looked up.
#[test]
fn platinum_classes() {
    for name in ["Pt100", "Pt1000"] {
        let classes = &thermometer(name).classes;
        let at_200: Vec<_> = classes
            .iter()
            .map(|class| class.at_zero.nominal().base() + class.share.nominal().base() * 200.0)
            .collect();
        close(at_200[0], 0.55, 1e-12, "class A");
        close(at_200[1], 1.3, 1e-12, "class B");
    }
}

/// Glass thermistor of 100 kΩ and 3950 K (glass-ntc-tables), looked up; its B values recomputed from that table.
#[test]
fn glass_thermistor_table_has_the_published_points_and_b_values() {
    let glass = thermometer("NTC 100 kΩ glass B3950");
    let published = [
        (0.0, 322_959.0),
        (25.0, 100_000.0),
        (80.0, 12_493.0),
        (100.0, 6674.0),
        (150.0, 1711.0),
        (200.0, 575.0),
        (220.0, 392.0),
        (250.0, 231.0),
    ];
    for (celsius, ohm) in published {
        close(
            resistance_at(glass, celsius),
            ohm,
            1e-12,
            &format!("{celsius} °C"),
        );
    }
    assert!((beta(glass, 25.0, 85.0) - 3989.7).abs() < 0.1);
    assert!((beta(glass, 25.0, 100.0) - 4015.5).abs() < 0.1);
    assert!((beta(glass, 0.0, 100.0) - 3954.0).abs() < 0.1);
}

/// Further tables of the same maker, looked up: (name, °C, Ω).
#[test]
fn other_thermistor_tables_have_the_published_points() {
    let published = [
        ("NTC 100 kΩ glass B4200", 100.0, 5688.0),
        ("NTC 100 kΩ glass B4200", 200.0, 453.0),
        ("NTC 100 kΩ glass B4200", 250.0, 179.0),
        ("NTC 10 kΩ bead B3950", 200.0, 67.1),
        ("NTC 10 kΩ bead B3950", 250.0, 29.6),
        ("NTC 10 kΩ bead B3950", 270.0, 22.2),
        ("NTC 50 kΩ bead B3950", 100.0, 3296.0),
        ("NTC 50 kΩ bead B3950", 200.0, 298.0),
        ("NTC 50 kΩ bead B3950", 270.0, 96.0),
        ("NTC 3.3 kΩ at 100 °C bead B3970", 280.0, 67.0),
    ];
    for (name, celsius, ohm) in published {
        close(resistance_at(thermometer(name), celsius), ohm, 1e-12, name);
    }
}

/// IEC 60539-1 (from memory): the constant B follows from two points of the table, and must lie within its tolerance.
#[test]
fn tables_of_thermistors_agree_with_their_own_constants() {
    let mut checked = 0;
    for row in built_in().thermometers().rows() {
        let Law::Thermistor {
            resistance,
            reference,
            beta: stated,
            beta_between,
        } = row.law
        else {
            continue;
        };
        let at = |temperature| row.points.iter().find(|point| point.temperature == temperature);
        if let Some(point) = at(reference) {
            assert!(resistance.contains(point.resistance), "{}", row.name);
        }
        if at(beta_between.low()).is_some() && at(beta_between.high()).is_some() {
            let (low, high) = (
                beta_between.low().base() - 273.15,
                beta_between.high().base() - 273.15,
            );
            let computed = beta(row, low, high);
            assert!(
                stated.contains(Number::from_base(computed)),
                "{}: {computed}",
                row.name
            );
            checked += 1;
        }
    }
    assert_eq!(checked, 2, "the tables with both ends of their B");
}

/// ISO 273, two pages agree, looked up: fine, medium, coarse.
#[test]
fn clearance_holes() {
    let published = [
        ("M2", [2.2, 2.4, 2.6]),
        ("M2.5", [2.7, 2.9, 3.1]),
        ("M3", [3.2, 3.4, 3.6]),
        ("M3.5", [3.7, 3.9, 4.2]),
        ("M4", [4.3, 4.5, 4.8]),
        ("M5", [5.3, 5.5, 5.8]),
    ];
    assert_eq!(built_in().screws().rows().len(), published.len());
    for (name, holes) in published {
        let screw = built_in().screws().get(name).expect("a screw of the table");
        let shipped = [screw.fine, screw.medium, screw.coarse].map(|hole| hole.nominal().base() * 1e3);
        for (shipped, published) in shipped.into_iter().zip(holes) {
            close(shipped, published, 1e-12, name);
        }
    }
}

/// ISO 8820-3, time-current table (from memory), in multiples of the rating and seconds.
#[test]
fn blade_fuse_bands() {
    let published = [
        (1.1, Some(360_000.0), None),
        (1.35, Some(0.75), Some(600.0)),
        (2.0, Some(0.15), Some(5.0)),
        (3.5, Some(0.04), Some(0.5)),
    ];
    let fuse = built_in().fuses().get("blade fuse").expect("the blade fuse");
    let shipped: Vec<_> = fuse
        .bands
        .iter()
        .map(|band| {
            let seconds = |time: Value<quantity::si::Time>| time.nominal().base();
            (
                band.load.nominal().base(),
                band.holds.map(seconds),
                band.opens.map(seconds),
            )
        })
        .collect();
    assert_eq!(shipped, published);
}

/// Addressable light (addressable-light-sheet), electrical characteristics, looked up: 3.5 V at 5.0 V, 3.15 V at 4.5 V; 3.3 V falls 0.2 V short.
#[test]
fn light_strip_levels() {
    let strip = built_in().families().get("light strip data").expect("the strip");
    let high = strip.input.as_ref().expect("an input").high;
    let at = |supply: f64| high.at(Value::exact(volt(supply))).nominal().base();
    close(at(5.0), 3.5, 1e-12, "5.0 V");
    close(at(4.5), 3.15, 1e-12, "4.5 V");
    close(at(5.0) - 3.3, 0.2, 1e-12, "short of");
}

/// EN 60204-1, 6.4 (looked up).
#[test]
fn limits_that_standards_state() {
    let limits = built_in().limits();
    close(
        limits.supply_extra_low_voltage_dc.value.nominal().base(),
        60.0,
        1e-12,
        "DC",
    );
    close(
        limits.supply_extra_low_voltage_ac.value.nominal().base(),
        25.0,
        1e-12,
        "AC",
    );
}

/// Crimp families of 2.0, 2.5 and 3.96 mm, maker's ratings as reprinted on several pages (crimp-2-0-data-sheet, crimp-2-5-data-sheet, crimp-3-96-data-sheet), looked up.
#[test]
fn ratings_of_crimp_families() {
    let published = [
        ("crimp 2.0 mm", 2.0, 100.0, 24, None),
        ("crimp 2.5 mm", 3.0, 250.0, 22, Some(0.02)),
        ("crimp 3.96 mm", 10.0, 250.0, 16, None),
    ];
    for (name, ampere, volt, awg, ohm) in published {
        let family = built_in().connectors().get(name).expect("a family of the table");
        close(family.contact_current.nominal().base(), ampere, 1e-12, name);
        close(
            family.voltage.expect("a voltage").nominal().base(),
            volt,
            1e-12,
            name,
        );
        assert_eq!(family.thickest, Some(WireSize::Awg(awg)), "{name}");
        if let Some(ohm) = ohm {
            close(family.contact_resistance.nominal().base(), ohm, 1e-12, name);
        }
    }
}

/// IEC 60063: each value of E24 is 10^(n/24) rounded, some by tradition; none is off by more than 5 %.
#[test]
fn preferred_values_follow_the_geometric_series() {
    for (name, count) in [("E6", 6.0), ("E12", 12.0), ("E24", 24.0)] {
        let series = built_in().series().get(name).expect("a series of the table");
        close(series.values.iter().map(|_| 1.0).sum(), count, 1e-12, name);
        let mut exponent = 0.0;
        for value in &series.values {
            close(*value, 10_f64.powf(exponent / count), 0.05, name);
            exponent += 1.0;
        }
    }
}

/// IEC 60757, table 1, order as quoted in public files (GD, TQ, SR from memory).
#[test]
fn colour_codes_stand_in_the_order_of_the_standard() {
    let codes: Vec<_> = built_in()
        .colours()
        .rows()
        .iter()
        .map(|row| row.code.as_str())
        .collect();
    assert_eq!(codes.join(" "), "BK BN RD OG YE GN BU VT GY WH PK GD TQ SR GNYE");
}

/// WCAG 2.1, 1.4.11: graphics need a contrast of 3. The formula itself is held against 4.5422 and 3.0335, recomputed.
#[test]
fn edges_of_drawn_wires_stand_out_on_light_and_dark() {
    let hex = |text: &str| Rgb::from_hex(text).expect("a colour");
    let (white, black) = (hex("#ffffff"), hex("#000000"));
    close(contrast(hex("#767676"), white), 4.5422, 1e-4, "#767676");
    close(contrast(hex("#949494"), white), 3.0335, 1e-4, "#949494");
    close(contrast(black, white), 21.0, 1e-9, "black");
    let near_black = hex("#16181c");
    for colour in built_in().colours().rows() {
        assert!(
            contrast(colour.edge_on_light, white) >= 3.0,
            "{} on white",
            colour.code
        );
        assert!(
            contrast(colour.edge_on_dark, near_black) >= 3.0,
            "{} on dark",
            colour.code
        );
        assert!(
            contrast(colour.edge_on_dark, black) >= 3.0,
            "{} on black",
            colour.code
        );
    }
}

fn contrast(a: Rgb, b: Rgb) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn luminance(colour: Rgb) -> f64 {
    let linear = |channel: u8| {
        let c = f64::from(channel) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    };
    let [red, green, blue] = colour.channels.map(linear);
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

fn thermometer(name: &str) -> &'static Thermometer {
    built_in()
        .thermometers()
        .get(name)
        .expect("a thermometer of the table")
}

fn resistance_at(thermometer: &Thermometer, celsius: f64) -> f64 {
    let at = |point: &&catalogue::Point| (point.temperature.base() - 273.15 - celsius).abs() < 1e-9;
    thermometer
        .points
        .iter()
        .find(at)
        .expect("a point of the table")
        .resistance
        .base()
}

fn beta(thermometer: &Thermometer, low: f64, high: f64) -> f64 {
    let logarithm = (resistance_at(thermometer, low) / resistance_at(thermometer, high)).ln();
    logarithm / (1.0 / (low + 273.15) - 1.0 / (high + 273.15))
}

//! Laws of thermometers and their inputs beyond single values.

use physics::sensing::*;
use proptest::prelude::*;
use quantity::Number;
use quantity::si::*;

use crate::tables::{thermistor, thermistor_table};

const THERMISTORS: [&str; 5] = [
    "a100k_b3950",
    "a100k_b4200",
    "b10k_b3950_300c",
    "c50k6_r100_3300_300c",
    "b50k_b3950_300c",
];

fn glass_law() -> SteinhartHart {
    let at = |t: f64, r: f64| (celsius(t), ohm(r));
    SteinhartHart::through([at(25.0, 100e3), at(100.0, 6674.0), at(200.0, 575.0)]).unwrap()
}

fn curves() -> Vec<RtCurve> {
    let mut curves = vec![
        RtCurve::beta(ohm(100e3), kelvin(3950.0)),
        RtCurve::SteinhartHart(glass_law()),
        RtCurve::Platinum { at_zero: ohm(100.0) },
        RtCurve::Platinum { at_zero: ohm(1000.0) },
    ];
    curves.extend(THERMISTORS.map(|name| RtCurve::Table(thermistor_table(name))));
    curves
}

/// Temperatures of the curve's range, at a share of it.
fn inside(curve: &RtCurve, share: f64) -> ThermodynamicTemperature {
    let (low, high) = (curve.range().low().base(), curve.range().high().base());
    ThermodynamicTemperature::from_base(low + share * (high - low))
}

proptest! {
    #[test]
    fn each_curve_undoes_itself(share in 0.0..1.0_f64) {
        for curve in curves() {
            let temperature = inside(&curve, share);
            let back = curve.temperature(curve.resistance(temperature).unwrap()).unwrap();
            prop_assert!((back.base() - temperature.base()).abs() < 1e-6, "{curve:?}: {temperature:?} {back:?}");
        }
    }

    #[test]
    fn each_curve_is_monotone_and_its_slope_tells_which_way(share in 0.0..0.999_f64, more in 0.0001..0.001_f64) {
        for curve in curves() {
            let (cold, hot) = (inside(&curve, share), inside(&curve, share + more));
            let rises = curve.resistance(hot).unwrap() > curve.resistance(cold).unwrap();
            prop_assert_eq!(rises, curve.relative_slope(cold).unwrap().base() > 0.0);
            prop_assert_eq!(rises, matches!(curve, RtCurve::Platinum { .. }));
        }
    }

    #[test]
    fn the_slope_is_the_derivative(share in 0.01..0.99_f64) {
        for curve in curves() {
            // A table has a slope of its own in each gap; a difference across a point mixes two.
            if matches!(curve, RtCurve::Table(_)) { continue }
            let step = 1e-3;
            let temperature = inside(&curve, share);
            let at = |offset: f64| curve.resistance(ThermodynamicTemperature::from_base(temperature.base() + offset)).unwrap().base().ln();
            let difference = (at(step) - at(-step)) / (2.0 * step);
            let slope = curve.relative_slope(temperature).unwrap().base();
            prop_assert!((difference / slope - 1.0).abs() < 1e-5, "{curve:?} at {temperature:?}: {difference} {slope}");
        }
    }

    #[test]
    fn a_reading_with_the_right_curve_and_pull_up_is_right(share in 0.0..1.0_f64, pull_up in 1e3..10e3_f64) {
        for curve in curves() {
            let error = reading_error(&curve, ohm(pull_up), &curve, ohm(pull_up), inside(&curve, share)).unwrap();
            prop_assert!(error.base().abs() < 1e-6);
        }
    }

    #[test]
    fn a_larger_pull_up_than_believed_reads_too_hot_with_a_thermistor(share in 0.1..0.9_f64, factor in 1.01..1.2_f64) {
        let curve = RtCurve::SteinhartHart(glass_law());
        let error = reading_error(&curve, ohm(4700.0 * factor), &curve, ohm(4700.0), inside(&curve, share)).unwrap();
        prop_assert!(error.base() > 0.0);
    }

    #[test]
    fn code_and_resistance_undo_each_other(resistance in 10.0..1e6_f64, bits in 8_u8..16) {
        let input = DividerInput::ratiometric(volt(3.3), ohm(4700.0), bits);
        let back = input.resistance(input.code(ohm(resistance))).unwrap();
        prop_assert!((back.base() / resistance - 1.0).abs() < 1e-9);
    }

    #[test]
    fn kelvin_per_step_is_what_one_step_more_reads(share in 0.2..0.8_f64) {
        let curve = RtCurve::SteinhartHart(glass_law());
        let input = DividerInput::ratiometric(volt(3.3), ohm(4700.0), 16);
        let temperature = inside(&curve, share);
        let code = input.code(curve.resistance(temperature).unwrap());
        let read = |code: Ratio| curve.temperature(input.resistance(code).unwrap()).unwrap().base();
        let difference = (read(code - ratio(0.5)) - read(code + ratio(0.5))).abs();
        let step = input.kelvin_per_step(&curve, temperature).unwrap().base();
        prop_assert!((difference / step - 1.0).abs() < 0.01, "{difference} {step}");
    }
}

/// The coefficients through 25, 100 and 200 °C of the published table. [glass-ntc-tables], recomputed
#[test]
fn coefficients_of_steinhart_and_hart() {
    let expected = [7.564_661_736e-4, 2.082_741_069e-4, 1.308_681_662e-7];
    for (got, expected) in glass_law().coefficients().iter().zip(expected) {
        assert!((got.base() / expected - 1.0).abs() < 1e-8, "{got:?} {expected}");
    }
    let again = SteinhartHart::from_coefficients(glass_law().coefficients()).unwrap();
    assert_eq!(again, glass_law());
}

/// A pull-up to the same voltage as the converter reads its middle where the thermometer equals it. Algebra
#[test]
fn the_steps_are_finest_where_the_resistances_are_equal() {
    let input = DividerInput::ratiometric(volt(3.3), ohm(4700.0), 12);
    assert!((input.code(ohm(4700.0)).base() - 2048.0).abs() < 1e-9);
    let alpha = per_kelvin(-0.03);
    let at = |r: f64| kelvin_per_step(input.step(), volt(3.3), ohm(r), ohm(4700.0), alpha);
    assert!(at(4700.0) < at(4500.0) && at(4700.0) < at(4900.0));
    // dx/d(ln R) = 1/4 at most, so that one step of 2⁻¹² stands for 4 · 2⁻¹² / |α| at the least.
    assert!((at(4700.0).base() - 4.0 / 4096.0 / 0.03).abs() < 1e-12);
}

#[test]
fn the_range_of_an_input_ends_where_its_steps_get_coarse() {
    let curve = RtCurve::Table(thermistor_table("a100k_b3950"));
    let input = DividerInput::ratiometric(volt(3.3), ohm(4700.0), 12);
    let range = input.range(&curve, kelvin(0.3)).unwrap();
    for end in [range.low(), range.high()] {
        assert!((input.kelvin_per_step(&curve, end).unwrap().base() - 0.3).abs() < 0.03);
    }
    assert!(range.low() < celsius(25.0) && range.high() > celsius(200.0) && range.high() < celsius(250.0));
    assert!(input.range(&curve, kelvin(0.001)).is_none());
    // With steps as coarse as one likes it reads the whole table.
    let all = input.range(&curve, kelvin(100.0)).unwrap();
    assert_eq!(
        (all.low(), all.high()),
        (curve.range().low(), curve.range().high())
    );
}

#[test]
fn points_that_make_no_table_are_refused() {
    let good = thermistor("a100k_b3950");
    assert_eq!(RtTable::new(&good[..1]), Err(NoTable::TooFew));
    let mut turned = good.clone();
    turned.swap(3, 4);
    assert_eq!(RtTable::new(&turned), Err(NoTable::Order(3)));
    let mut stuck = good.clone();
    stuck[5].1 = stuck[4].1;
    assert_eq!(RtTable::new(&stuck), Err(NoTable::Turns(4)));
    let mut negative = good.clone();
    negative[2].1 = ohm(-1.0);
    assert_eq!(RtTable::new(&negative), Err(NoTable::NotPositive));
    let table = RtTable::new(&good).unwrap();
    assert!(table.resistance(celsius(251.0)).is_err());
    assert!(table.temperature(ohm(1.0)).is_err());
    assert_eq!(table.points().count(), good.len());
}

#[test]
fn points_that_make_no_curve_are_refused() {
    let at = |t: f64, r: f64| (celsius(t), ohm(r));
    assert_eq!(
        SteinhartHart::through([at(25.0, 1e5), at(25.0, 1e5), at(200.0, 575.0)]),
        Err(NoFit::Points)
    );
    assert_eq!(
        SteinhartHart::through([at(25.0, 1e5), at(100.0, -1.0), at(200.0, 575.0)]),
        Err(NoFit::Points)
    );
    assert_eq!(
        SteinhartHart::through([at(25.0, 1e5), at(100.0, 2e5), at(200.0, 575.0)]),
        Err(NoFit::NotMonotone)
    );
}

#[test]
fn an_amplifier_reads_platinum_finer_until_its_stop() {
    let divider = DividerInput::ratiometric(volt(3.3), ohm(4700.0), 12);
    let curve = RtCurve::Platinum { at_zero: ohm(100.0) };
    let input = AmplifierInput {
        divider,
        gain: ratio(10.0),
        offset: volt(0.0),
    };
    let plain = divider.kelvin_per_step(&curve, celsius(200.0)).unwrap();
    let finer = input.kelvin_per_step(&curve, celsius(200.0)).unwrap();
    assert!((plain.base() / finer.base() - 10.0).abs() < 1e-9);
    let stopped = AmplifierInput {
        gain: ratio(40.0),
        ..input
    };
    assert!(stopped.code(ohm(100.0)).is_ok());
    assert!(stopped.kelvin_per_step(&curve, celsius(200.0)).is_err());
}

#[test]
fn a_table_for_a_new_input_is_short_and_keeps_its_error() {
    let curve = RtCurve::Table(thermistor_table("a100k_b3950"));
    let input = DividerInput::ratiometric(volt(3.3), ohm(4700.0), 12);
    let range = quantity::Range::new(celsius(0.0), celsius(250.0));
    let table = CodeTable::within(&curve, &input, range, kelvin(0.2)).unwrap();
    let worst = table.worst_error(&curve, &input).unwrap();
    assert!(
        worst.error.base().abs() <= 0.2 && worst.error.base().abs() > 0.1,
        "{worst:?}"
    );
    assert!((5..60).contains(&table.rows().len()), "{}", table.rows().len());
    assert_eq!(table.rows()[0].temperature, celsius(0.0));
    assert_eq!(table.rows().last().unwrap().temperature, celsius(250.0));
    let coarser = CodeTable::within(&curve, &input, range, kelvin(2.0)).unwrap();
    assert!(coarser.rows().len() < table.rows().len());
    // Another pull-up behind the same table misreads.
    let other = DividerInput {
        pull_up: ohm(4900.0),
        ..input
    };
    assert!(table.worst_error(&curve, &other).unwrap().error.base() > 1.0);
    assert!(
        CodeTable::within(
            &curve,
            &input,
            quantity::Range::new(celsius(0.0), celsius(300.0)),
            kelvin(0.2)
        )
        .is_err()
    );
    assert!(table.temperature(ratio(4095.0)).is_err());
}

/// A table of a maker's own points is right at each of them, and one of every second point is off where it bends most. [glass-ntc-tables]
#[test]
fn the_error_of_given_rows_at_the_makers_points() {
    let points: Vec<_> = thermistor("a100k_b3950")
        .into_iter()
        .filter(|(t, _)| *t >= celsius(0.0))
        .collect();
    let input = DividerInput::ratiometric(volt(3.3), ohm(4700.0), 12);
    let rows = |every: usize| {
        let row = |(temperature, resistance): &(ThermodynamicTemperature, ElectricalResistance)| CodeRow {
            code: input.code(*resistance),
            temperature: *temperature,
        };
        CodeTable::new(points.iter().step_by(every).map(row).collect()).unwrap()
    };
    assert!(rows(1).points_error(&input, &points).unwrap().error.base().abs() < 1e-9);
    let worst = rows(2).points_error(&input, &points).unwrap();
    assert!(worst.error.base().abs() > 0.1, "{worst:?}");
    // Nothing to be read between no rows, nor between rows that go back and forth.
    assert!(CodeTable::new(Vec::new()).is_err());
    let mut mixed = rows(1).rows().to_vec();
    mixed.swap(3, 4);
    assert!(CodeTable::new(mixed).is_err());
}

/// The law through 25, 100 and 200 °C is off by 0.39 K at 150 °C at most between 0 and 250 °C. [glass-ntc-tables]
#[test]
fn the_fit_error_against_the_makers_points() {
    let points: Vec<_> = thermistor("a100k_b3950")
        .into_iter()
        .filter(|(t, _)| *t >= celsius(24.0))
        .collect();
    let worst = fit_error(&RtCurve::SteinhartHart(glass_law()), &points).unwrap();
    assert!((worst.error.base().abs() - 0.39).abs() < 0.06, "{worst:?}");
    let beta = fit_error(&RtCurve::beta(ohm(100e3), kelvin(3950.0)), &points).unwrap();
    assert!((beta.error.base() - 27.2).abs() < 0.1 && beta.temperature == celsius(250.0));
    assert!(fit_error(&RtCurve::Platinum { at_zero: ohm(100.0) }, &points).is_err());
    assert!(fit_error(&RtCurve::Platinum { at_zero: ohm(100.0) }, &[]).is_err());
}

proptest! {
    /// First order holds for a small error of the reference: against the reading itself.
    #[test]
    fn the_reference_error_is_what_the_reading_shows(share in 0.2..0.8_f64) {
        let curve = RtCurve::SteinhartHart(glass_law());
        let temperature = inside(&curve, share);
        let resistance = curve.resistance(temperature).unwrap();
        let slope = curve.relative_slope(temperature).unwrap();
        let error = 1e-5;
        let predicted = reference_error(ratio(error), resistance, ohm(4700.0), slope).base();
        let true_input = DividerInput::ratiometric(volt(3.3), ohm(4700.0), 12);
        let code = true_input.code(resistance) * (1.0 + error);
        let read = curve.temperature(true_input.resistance(code).unwrap()).unwrap().base();
        prop_assert!(((read - temperature.base()).abs() / predicted - 1.0).abs() < 0.02);
    }
}

#[test]
fn a_broken_thermistor_looks_cold_and_broken_platinum_hot() {
    let input = DividerInput::ratiometric(volt(3.3), ohm(4700.0), 12);
    let bead = RtCurve::Table(thermistor_table("a100k_b3950"));
    let platinum = RtCurve::Platinum { at_zero: ohm(1000.0) };
    let look = |curve: &RtCurve, fault| fault_look(&input, curve, fault);
    let open = look(&bead, ThermometerFault::Open);
    assert!(open.looks_cold && (open.code.base() - 4096.0).abs() < 1e-9 && open.reads_as == celsius(-40.0));
    let short = look(&bead, ThermometerFault::Short);
    assert!(!short.looks_cold && short.code.base() == 0.0 && short.reads_as == celsius(250.0));
    assert!(!look(&platinum, ThermometerFault::Open).looks_cold);
    assert!(look(&platinum, ThermometerFault::Short).looks_cold);
    let healthy = healthy_codes(&input, &bead, quantity::Range::new(celsius(0.0), celsius(250.0))).unwrap();
    assert!(healthy.low() > short.code && healthy.high() < open.code);
    assert!(healthy_codes(&input, &bead, quantity::Range::new(celsius(0.0), celsius(300.0))).is_none());
}

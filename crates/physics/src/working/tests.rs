//! The mechanism itself: corners, ties, swings, failures, text.

use quantity::si::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Power, Ratio, ampere, ohm, ratio, volt,
};
use quantity::{Number, Value};

use super::*;
use crate::OutOfRange;

static POWER: Formula = Formula {
    id: "power",
    title: "Power",
    law: "P = U² / R₀",
    source: "common-practice",
    clause: "",
};

fn power(voltage: ElectricPotential, resistance: ElectricalResistance) -> Power {
    voltage * voltage / resistance
}

fn worked() -> Worked<Power> {
    let inputs = (
        named("U", "supply voltage", Value::relative(volt(24.0), 0.05)),
        named("R₀", "resistance", Value::relative(ohm(14.4), 0.10)),
    );
    work(&POWER, "P", inputs, |(u, r)| power(u, r))
}

#[test]
fn the_interval_is_the_hull_of_the_corners() {
    let power = worked().value;
    assert!((power.nominal().base() - 40.0).abs() < 1e-9);
    assert!((power.high().base() - 25.2 * 25.2 / 12.96).abs() < 1e-9);
    assert!((power.low().base() - 22.8 * 22.8 / 15.84).abs() < 1e-9);
}

/// Also where a corner gives no number.
#[test]
fn the_interval_alone_is_that_of_the_working() {
    for (voltage, resistance) in [(0.05, 0.1), (0.0, 0.1), (0.0, 0.0), (0.05, f64::NAN), (3.0, 2.0)] {
        let (u, r) = (
            Value::relative(volt(24.0), voltage),
            Value::relative(ohm(14.4), resistance),
        );
        let root =
            |(u, r): (ElectricPotential, ElectricalResistance)| Power::from_base(power(u, r).base().sqrt());
        let worked = work(&POWER, "P", (named("U", "u", u), named("R₀", "r", r)), root).value;
        let alone = interval((u, r), root);
        let ends = |value: Value<Power>| {
            [value.low(), value.nominal(), value.high()].map(|end| end.base().to_bits())
        };
        assert_eq!(ends(alone), ends(worked), "{voltage} {resistance}");
        let failing = |(u, r)| {
            if r < ohm(14.0) {
                Err("small")
            } else {
                Ok(power(u, r))
            }
        };
        let fails = try_interval((u, r), failing).is_err();
        assert_eq!(fails, resistance > 0.05, "{resistance}");
    }
}

#[test]
fn each_input_knows_its_ends_and_its_swing() {
    let working = worked().working;
    assert_eq!(
        (working.inputs[0].lowest, working.inputs[0].highest),
        (End::Low, End::High)
    );
    assert_eq!(
        (working.inputs[1].lowest, working.inputs[1].highest),
        (End::High, End::Low)
    );
    assert!((working.inputs[0].swing.high - 44.1).abs() < 1e-9);
    assert!((working.inputs[1].swing.low - 576.0 / 15.84).abs() < 1e-9);
    let order: Vec<_> = working.tornado().iter().map(|input| input.symbol).collect();
    assert_eq!(order, ["R₀", "U"]);
}

#[test]
fn the_page_that_tells_why() {
    assert_eq!(
        worked().working.lines(),
        [
            "P = U² / R₀",
            "  U   24 V (22.8 .. 25.2 V)      supply voltage",
            "  R₀  14.4 Ω (12.96 .. 15.84 Ω)  resistance",
            "P = (24 V)² / 14.4 Ω",
            "P = 40 W (32.82 .. 49 W)",
            "lowest at U = 22.8 V and R₀ = 15.84 Ω; highest at U = 25.2 V and R₀ = 12.96 Ω",
            "source: common-practice",
        ]
    );
}

#[test]
fn an_input_that_does_not_matter_is_not_named() {
    let inputs = (
        named("U", "voltage", Value::exact(volt(24.0))),
        named("R₀", "resistance", Value::relative(ohm(10.0), 0.1)),
        named("k", "unused", Value::relative(ratio(1.0), 0.5)),
    );
    let working = work(&POWER, "P", inputs, |(u, r, _)| power(u, r)).working;
    assert_eq!(working.highest_at().unwrap(), "highest at R₀ = 9 Ω");
    assert_eq!(working.tornado().len(), 1);
}

#[test]
fn of_two_inputs_that_share_an_extreme_one_is_named() {
    static SMALLER: Formula = Formula {
        id: "smaller",
        title: "The smaller",
        law: "m = min(a, b)",
        source: "common-practice",
        clause: "",
    };
    let inputs = (
        named("a", "one", Value::relative(volt(2.0), 0.5)),
        named("b", "other", Value::relative(volt(2.0), 0.5)),
    );
    let working = work(&SMALLER, "m", inputs, |(a, b)| a.smaller(b)).working;
    assert_eq!(working.lowest_at().unwrap(), "lowest at b = 1 V");
    assert_eq!(working.highest_at().unwrap(), "highest at a = 3 V and b = 3 V");
    assert_eq!(working.with_numbers(), "m = min(2 V, 2 V)");
}

#[test]
fn a_corner_without_a_number_promises_nothing() {
    let inputs = (
        named("U", "voltage", Value::exact(volt(0.0))),
        named("R₀", "resistance", Value::between(ohm(0.0), ohm(1.0), ohm(2.0))),
    );
    let value = work(&POWER, "P", inputs, |(u, r)| power(u, r)).value;
    assert_eq!(value.low().base(), f64::NEG_INFINITY);
    assert_eq!(value.high().base(), f64::INFINITY);
}

#[test]
fn a_tolerance_that_leaves_the_range_is_an_error() {
    let checked = |tolerance: f64| {
        let input = (named("R₀", "resistance", Value::relative(ohm(1.0), tolerance)),);
        try_work(&POWER, "P", input, |(r,)| {
            OutOfRange::check_positive("resistance", r).map(|r| power(volt(1.0), r))
        })
    };
    assert!(checked(0.5).is_ok());
    let error = checked(1.5).unwrap_err();
    assert_eq!(
        error.to_string(),
        "resistance is -500 mΩ, outside what is above zero"
    );
}

#[test]
fn a_peak_inside_is_found_by_sampling_only() {
    static HUMP: Formula = Formula {
        id: "hump",
        title: "A hump",
        law: "y = x · (1 − x)",
        source: "common-practice",
        clause: "",
    };
    let input = || {
        (named(
            "x",
            "share",
            Value::between(ratio(0.0), ratio(0.2), ratio(1.0)),
        ),)
    };
    let hump = |(x,): (Ratio,)| x * (ratio(1.0) - x);
    assert!((work(&HUMP, "y", input(), hump).value.high().base() - 0.16).abs() < 1e-12);
    let sampled = work_sampled(&HUMP, "y", input(), 11, hump);
    assert!((sampled.value.high().base() - 0.25).abs() < 1e-12);
    assert_eq!(sampled.working.highest_at().unwrap(), "highest at x = 50 %");
}

#[test]
fn many_inputs_are_summed_by_direction() {
    static SUM: Formula = Formula {
        id: "sum",
        title: "Sum of currents",
        law: "I = Σ Iₙ",
        source: "common-practice",
        clause: "",
    };
    let inputs = (1..=20).map(|n| {
        named(
            "Iₙ",
            format!("fan {n}"),
            Value::relative(ampere(f64::from(n)), 0.1),
        )
    });
    let sum = |currents: &[ElectricCurrent]| currents.iter().fold(ampere(0.0), |sum, current| sum + *current);
    let worked = work_many(&SUM, "I", inputs.collect(), sum);
    assert!((worked.value.high().base() - 231.0).abs() < 1e-9);
    assert!((worked.value.low().base() - 189.0).abs() < 1e-9);
    assert!(worked.working.with_numbers().starts_with("I = 1 A + 2 A + 3 A"));
    let corner = worked.working.highest_at();
    assert_eq!(corner.as_deref(), Some("highest with every part at its highest"));
    assert_eq!(worked.working.tornado()[0].what, "fan 20");
}

#[test]
fn a_symbol_is_replaced_as_a_whole_word() {
    static WORDS: Formula = Formula {
        id: "words",
        title: "Words",
        law: "x = R + R₀ − R′ · exp(R³)",
        source: "common-practice",
        clause: "eq. (1)",
    };
    let working = work(
        &WORDS,
        "x",
        (named("R", "one", Value::exact(ohm(-2.0))),),
        |(r,)| r,
    )
    .working;
    assert_eq!(working.with_numbers(), "x = (-2 Ω) + R₀ − R′ · exp((-2 Ω)³)");
    assert_eq!(
        working.lines().last().unwrap(),
        "source: common-practice, eq. (1)"
    );
}

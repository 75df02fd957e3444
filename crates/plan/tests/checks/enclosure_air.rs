//! `enclosure-air`: the sum of the losses, the conductance, what is reckoned with.

use model::Cooled;
use model::machine::Detail;
use quantity::Number as _;

use crate::support::{Case, example, one};
use plan::{Finding, Verdict};

/// Two motors on drivers of 0.4 Ω, in a case that loses 1 W/K.
fn base() -> Case {
    Case::new()
        .housing("thermal_conductance = '1 W/K'")
        .driver("D1", "edge_time = '0.000001 ns'")
        .driver("D2", "edge_time = '0.000001 ns'")
}

fn of(case: &Case, what: &str) -> Finding {
    let findings = case
        .load()
        .wholes_at("enclosure-air", &[("MX", "M1"), ("ME", "M2")]);
    let of = |finding: &Finding| finding.subject.other.as_deref() == Some(what);
    one(findings.into_iter().filter(of).collect(), what)
}

/// 2 · I² · R_on with R_on = 0.4 Ω · 1.65 (driver-dissipation-sections, from memory), 0.8 A and 0.55 A; 3.3 V · 150 mA and 5 V · 50 mA of the
/// board itself, (5 − 3.3) V · 150 mA in the regulator, and 5 V at 90 %: 200 mA out of it lose 0.111 W.
#[test]
fn the_worked_number() {
    let finding = of(&base(), "stated");
    let drivers = 2.0 * (0.8_f64.powi(2) + 0.55_f64.powi(2)) * 0.4 * 1.65;
    let expected = drivers + 3.3 * 0.15 + 5.0 * 0.05 + 1.7 * 0.15 + 5.0 * 0.2 * (1.0 / 0.9 - 1.0);
    let sum = finding.working[0].result.nominal;
    assert!((sum - expected).abs() < 1e-6, "{sum} {expected}");
    // Over 1 W/K above 20 °C.
    let air = finding.value.expect("a temperature").nominal - 293.15;
    assert!((air - expected).abs() < 1e-6, "{air}");
}

#[test]
fn in_and_out_at_what_is_stated() {
    let with = |air: &str| of(&base().housing(&format!("air = '{air}'")), "stated").verdict;
    assert_eq!(with("23 °C ± 10 K"), Verdict::Pass);
    assert_eq!(with("22.4 °C"), Verdict::Caution, "at the worst corner only");
    assert_eq!(with("22 °C"), Verdict::Caution);
}

#[test]
fn what_is_not_stated_is_worked_out() {
    let case = base().without_line("machine.toml", "[case]", "air");
    let loaded = case.load();
    let reckoned = plan::air::in_case(&loaded.swap, &loaded.swap.candidates[0]);
    // Four motors and the board itself, at most 8 W: warmer than the room, and no wild guess.
    assert!(
        (22.0..30.0).contains(&(reckoned.nominal().value - 273.15)),
        "{reckoned}"
    );
    // What the checks reckon with is made of the same losses: nothing is compared with itself.
    let found = loaded.wholes_at("enclosure-air", &[("MX", "M1"), ("ME", "M2")]);
    assert!(
        found
            .iter()
            .all(|finding| finding.subject.other.as_deref() != Some("stated"))
    );
}

#[test]
fn a_case_without_a_fan_that_gets_hot() {
    let tight = |loss: &str| {
        of(
            &Case::new().housing(&format!("thermal_conductance = '{loss}'")),
            "without fan",
        )
        .verdict
    };
    assert_eq!(tight("0.05 W/K"), Verdict::Caution);
    assert_eq!(tight("1 W/K"), Verdict::Pass);
    let fan = Case::new()
        .housing("thermal_conductance = '0.05 W/K'")
        .device("F1", "cools = 'board'");
    let finding = of(&fan, "without fan");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding.headline.starts_with("should the board fan F1 stop"),
        "{}",
        finding.headline
    );
}

/// 140 × 112 × 34 mm have 48,496 mm² of walls; half of 10 W/(m² K) over them are 0.24 W/K (any textbook of heat transfer).
#[test]
fn the_walls_where_nothing_is_stated() {
    let finding = of(&Case::new(), "stated");
    let walls = finding
        .working
        .iter()
        .find(|working| working.formula.id == "wall-loss")
        .expect("the walls");
    assert!((walls.result.nominal - 0.24248).abs() < 1e-5, "{}", walls.result);
}

/// What the checks of pairs reckon with before anything has its place is never cooler than what the places make of it: on each board
/// of both examples, with all of the air worked out.
#[test]
fn what_is_reckoned_with_covers_each_assignment() {
    for name in ["demo", "second"] {
        let mut swap = example(name);
        swap.machine.case.air = None;
        for with_fan in [true, false] {
            if !with_fan {
                for device in &mut swap.machine.devices {
                    if let Detail::Fan(fan) = &mut device.detail {
                        fan.cools = Cooled::Part;
                    }
                }
            }
            for board in &swap.candidates {
                let reckoned = plan::air::in_case(&swap, board).high();
                let plan = plan::plan(&swap, board);
                let found = plan
                    .findings
                    .iter()
                    .find(|finding| finding.id == "enclosure-air:stated");
                let Some(made) = found.and_then(|finding| finding.value) else {
                    continue;
                };
                assert!(
                    made.high <= reckoned.base() + 1e-9,
                    "{name}, {}: {} K reckoned, {} K made",
                    board.name,
                    reckoned.base(),
                    made.high
                );
            }
        }
    }
}

/// Two motors side by side on one driver: it gives the sum of their currents, so its loss goes with the square of that.
#[test]
fn motors_that_share_a_driver_are_counted_as_it_drives_them() {
    let loaded = base().load();
    let plan = loaded.plan();
    let mut ways = plan.ways;
    let of = |tag: &str| loaded.swap.machine.tagged(tag).expect("a motor").0;
    let total = |ways: &[Option<plan::Way>]| {
        let finding = loaded.wholes_of("enclosure-air", ways);
        let air = finding
            .iter()
            .find(|finding| finding.subject.other.as_deref() == Some("stated"));
        air.expect("a sum").working[0]
            .inputs
            .iter()
            .filter(|input| input.what.starts_with("driver of"))
            .map(|input| input.value.nominal)
            .collect::<Vec<_>>()
    };
    let apart = total(&ways);
    ways[of("MZ2")] = ways[of("MZ")].map(|way| plan::Way { second: true, ..way });
    let together = total(&ways);
    assert_eq!(
        together.len() + 1,
        apart.len(),
        "one driver for two: {together:?} {apart:?}"
    );
    // Edges of next to no time: conduction alone. 2 · (0.6 A + 0.6 A)² · 0.4 Ω · 1.65.
    let expected = 2.0 * 1.2_f64.powi(2) * 0.4 * 1.65;
    let near = |found: &&f64| (**found - expected).abs() < 1e-6;
    assert_eq!(together.iter().filter(near).count(), 1, "{together:?}");
}

//! `supply-lead`: wires, terminals and drop at the sum of all currents.

use crate::support::Case;
use plan::{Finding, Verdict};

const PLACES: [(&str, &str); 3] = [("PS", "POWER"), ("H1", "HEAT1"), ("H2", "BED")];
const COLD: f64 = 40.0 / 24.0 + 8.0 / 0.98035;
const HOT: f64 = 40.0 / 24.0 + 8.0 / 1.3144;

fn bare() -> Case {
    Case::new()
        .without_line("new.toml", "[rails.5V]", "board_current")
        .without_line("new.toml", "[rails.\"3.3V\"]", "board_current")
}

fn about(case: &Case, what: &str) -> Finding {
    case.load()
        .wholes_at("supply-lead", &PLACES)
        .into_iter()
        .find(|finding| finding.subject.other.as_deref() == Some(what))
        .unwrap_or_else(|| panic!("nothing about {what}"))
}

/// The guidance for four bundled circuits is 0.65 of that for one (IEC 60364-5-52, table B.52.17, from memory).
#[test]
fn a_wire_by_itself_bears_more_than_in_a_bundle() {
    let finding = about(&bare().cable("PS", "wire = '16 AWG'"), "wire");
    assert!((finding.value.expect("a current").nominal - HOT).abs() < 1e-9);
    assert!((finding.limit.expect("a limit").bound.nominal - 7.7 / 0.65).abs() < 1e-9);
    assert_eq!(finding.verdict, Verdict::Pass);
    let thin = about(&bare().cable("PS", "wire = '20 AWG'"), "wire");
    assert_eq!(thin.verdict, Verdict::Caution);
}

#[test]
fn two_wires_of_a_pole_share() {
    let pins = "pins = ['+', '+', '-', '-']";
    let case = bare().cable("PS", pins).old_port("POWER", pins);
    let value = |case: &Case, what: &str| about(case, what).value.expect("a value").nominal;
    assert!((value(&case, "wire") - HOT / 2.0).abs() < 1e-9);
    // One terminal a pole: all goes through it.
    assert!((value(&case, "contact") - HOT).abs() < 1e-9);
    let double = case.port("POWER", pins);
    assert!((value(&double, "contact") - HOT / 2.0).abs() < 1e-9);
}

#[test]
fn terminals_bear_a_share_of_their_rating_for_long() {
    // 12 A: 9.6 A for long; HOT is 7.75 A, COLD 9.83 A.
    let at = |connector: &str| about(&bare().port("POWER", connector), "contact").verdict;
    assert_eq!(at("connector = 'screw terminal 5.0 mm'"), Verdict::Pass);
    assert_eq!(at("connector = 'screw terminal 3.5 mm'"), Verdict::Caution);
}

/// 2.5 mm² of class 5: 7.98 Ω/km at 20 °C (IEC 60228, as reprinted), 1.0786 times that at 40 °C.
#[test]
fn the_drop_counts_wires_and_terminals() {
    let finding = about(&bare(), "drop");
    let volts = 2.0 * 0.3 * 0.00798 * 1.0786 * COLD + 2.0 * 0.003 * COLD;
    assert!((finding.value.expect("a share").nominal - volts / 24.0).abs() < 1e-9);
    let long = bare().cable("PS", "length = '4 m'");
    assert_eq!(about(&long, "drop").verdict, Verdict::Caution);
}

/// Two wires and two terminals of a pole side by side: half of the resistance.
#[test]
fn two_wires_of_a_pole_halve_the_drop() {
    let pins = "pins = ['+', '+', '-', '-']";
    let double = bare()
        .cable("PS", pins)
        .old_port("POWER", pins)
        .port("POWER", pins);
    let drop = |case: &Case| about(case, "drop").value.expect("a share").nominal;
    assert!((drop(&double) / drop(&bare()) - 0.5).abs() < 1e-9);
}

/// What lies in series before every heater is the cable of the supply too, of two wires a pole half of it.
#[test]
fn a_heater_gets_less_behind_one_wire_than_behind_two() {
    let pins = "pins = ['+', '+', '-', '-']";
    let double = bare()
        .cable("PS", pins)
        .old_port("POWER", pins)
        .port("POWER", pins);
    let arrives = |case: &Case| {
        let finding = case.pair("device-voltage", "H2", "BED");
        let working = finding.working.iter().find(|working| working.symbol == "U");
        24.0 - working.expect("the voltage at the heater").result.low
    };
    assert!(arrives(&double) < arrives(&bare()));
    assert!(arrives(&double) > 0.5 * arrives(&bare()));
}

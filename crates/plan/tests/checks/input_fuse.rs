//! `input-fuse`: holds, ages, protects, opens.

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
        .wholes_at("input-fuse", &PLACES)
        .into_iter()
        .find(|finding| finding.subject.other.as_deref() == Some(what))
        .unwrap_or_else(|| panic!("nothing about {what}"))
}

fn verdict(fuse: f64, what: &str) -> Verdict {
    about(&bare().board("[input]", &format!("fuse = '{fuse:.4} A'")), what).verdict
}

#[test]
fn it_holds_at_heat_up_and_is_not_aged_for_long() {
    assert_eq!(verdict(COLD + 0.001, "heat-up"), Verdict::Pass);
    assert_eq!(verdict(COLD - 0.001, "heat-up"), Verdict::Caution);
    assert_eq!(verdict(COLD / 1.35 + 0.001, "heat-up"), Verdict::Caution);
    // 75 % for long.
    assert_eq!(verdict(HOT / 0.75 + 0.001, "hot"), Verdict::Pass);
    assert_eq!(verdict(HOT / 0.75 - 0.001, "hot"), Verdict::Caution);
}

#[test]
fn it_is_no_larger_than_its_terminals() {
    assert_eq!(verdict(20.0, "terminals"), Verdict::Pass);
    assert_eq!(verdict(25.0, "terminals"), Verdict::Caution);
}

/// At twice its rating a blade fuse opens within 5 s (ISO 8820-3, from memory). 400 W at 24 V give 16.67 A, limited at 105 % at
/// the least: 17.5 A open 8.75 A.
#[test]
fn a_supply_that_cannot_open_it_is_named() {
    assert_eq!(verdict(8.749, "short circuit"), Verdict::Pass);
    assert_eq!(verdict(8.751, "short circuit"), Verdict::Caution);
}

#[test]
fn a_board_without_one_gets_one_in_its_lead() {
    let case = bare().without_line("new.toml", "[input]", "fuse");
    let finding = case.load().wholes_at("input-fuse", &PLACES).remove(0);
    assert_eq!(finding.verdict, Verdict::Caution);
    assert_eq!(finding.parts[0].name, "fuse holder with blade fuse");
    assert!(finding.parts[0].size.is_some());
    // None is between the load and 1 A of terminals: it stays open, and nothing is in the list of parts.
    let weak = case.board("[input]", "current = '1 A'").load();
    let finding = weak.wholes_at("input-fuse", &PLACES).remove(0);
    assert!(finding.verdict == Verdict::Caution && finding.parts.is_empty());
}

#[test]
fn the_fuse_of_the_plan_is_asked_whether_a_short_circuit_opens_it() {
    let case = bare().without_line("new.toml", "[input]", "fuse");
    // 17.5 A open 8.75 A at the most, and the plan adds more than the 10.6 A that its load takes.
    assert_eq!(about(&case, "short circuit").verdict, Verdict::Caution);
    let strong = case.device("PS", "power = '2 kW'");
    assert_eq!(about(&strong, "short circuit").verdict, Verdict::Pass);
}

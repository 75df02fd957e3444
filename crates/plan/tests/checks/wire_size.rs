//! `wire-size`: guidance currents of gauges.

use crate::support::Case;
use plan::Verdict;

/// The bundled currents follow from IEC 60204-1, table 6 (from memory); 26 AWG: 1.7 A.
#[test]
fn a_gauge_is_held_at_its_guidance() {
    let at = |current: &str| {
        Case::new()
            .cable("F1", "wire = '26 AWG'")
            .device("F1", current)
            .pair("wire-size", "F1", "FAN1")
            .verdict
    };
    assert_eq!(at("current = '1.7 A'"), Verdict::Pass);
    assert_eq!(at("current = '1.71 A'"), Verdict::Caution);
    assert_eq!(at("current = '1.7 A ± 1 %'"), Verdict::Caution);
}

/// By itself it bears 1.7 A / 0.65 = 2.6 A (IEC 60364-5-52, table B.52.17: four circuits keep 65 %; from memory): what is more melts
/// insulation, so the plan asks for a thicker lead, and of which gauge.
#[test]
fn what_no_wire_by_itself_bears_asks_for_a_thicker_lead() {
    let at = |current: &str| {
        Case::new()
            .cable("F1", "wire = '26 AWG'")
            .device("F1", current)
            .pair("wire-size", "F1", "FAN1")
    };
    assert!(at("current = '2.6 A'").parts.is_empty());
    let finding = at("current = '2.7 A'");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert_eq!(finding.parts[0].name, "thicker lead");
    let rows = catalogue::built_in().wires().gauges();
    let bears = |name: &str| rows.get(name).expect("a row").bundled.nominal().value;
    let remedy = finding.remedy.expect("a remedy");
    assert!(
        remedy.contains("make a new cable of 24 AWG before any power"),
        "{remedy}"
    );
    assert!(bears("24 AWG") >= 2.7 && bears("25 AWG") < 2.7);
}

#[test]
fn a_cross_section_counts_as_the_next_thinner_gauge() {
    // 0.2 mm² is a little less than 24 AWG, so it bears what 25 AWG bears.
    let case = Case::new().cable("F1", "wire = '0.2 mm²'");
    let finding = case.pair("wire-size", "F1", "FAN1");
    let rows = catalogue::built_in().wires().gauges();
    let row = rows.get("25 AWG").expect("a row");
    assert_eq!(
        finding.limit.expect("a limit").bound.nominal,
        row.bundled.nominal().value
    );
}

#[test]
fn a_wire_thinner_than_the_table_is_named() {
    let case = Case::new().cable("F1", "wire = '36 AWG'");
    assert_eq!(case.pair("wire-size", "F1", "FAN1").verdict, Verdict::Note);
}

#[test]
fn a_hot_copper_track_loads_its_wires_less() {
    let finding = Case::new().pair("wire-size", "H2", "BED");
    let current = finding.value.expect("a current").nominal;
    assert!((current - 8.0 / (1.0 + 0.00393 * 80.0)).abs() < 1e-9, "{current}");
}

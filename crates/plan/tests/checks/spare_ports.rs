//! `spare-ports`: what is left.

use crate::support::Case;
use plan::Verdict;

#[test]
fn free_ports_are_listed_by_role() {
    let finding = Case::new()
        .load()
        .wholes_at("spare-ports", &[("F1", "FAN1")])
        .remove(0);
    assert_eq!(finding.verdict, Verdict::Note);
    assert!(
        finding.headline.contains("1 switched output (FAN2)"),
        "{}",
        finding.headline
    );
    assert!(
        finding.headline.contains("4 motor outputs"),
        "{}",
        finding.headline
    );
    assert!(
        finding.headline.contains("2 heater outputs (BED, HEAT1)"),
        "{}",
        finding.headline
    );
}

#[test]
fn a_port_that_is_excluded_is_not_free() {
    let case = Case::new().port("IN1", "processor_pin = 'S15'").load();
    let finding = case.wholes_at("spare-ports", &[("BP", "PROBE")]).remove(0);
    assert!(
        finding.headline.contains("1 switch input (IN2)"),
        "{}",
        finding.headline
    );
}

//! `motor-changes`: the motor on the old board against the same motor on the new one.

use crate::support::Case;
use plan::{Finding, Verdict};

fn about(case: &Case, tag: &str) -> Finding {
    let findings = case.load().wholes("motor-changes");
    findings
        .into_iter()
        .find(|finding| finding.subject.device.as_deref() == Some(tag))
        .expect("a finding")
}

#[test]
fn like_for_like_nothing_changes() {
    let like = Case::new()
        .old_driver("DX", "on_resistance = '0.5 Ω'")
        .driver("D1", "on_resistance = '0.5 Ω'");
    assert_eq!(about(&like, "MX").verdict, Verdict::Pass);
}

/// Half of the current gives half of the torque at slow speed (law of the torque constant, any textbook).
#[test]
fn a_weaker_old_driver() {
    let case = Case::new()
        .old_driver("DX", "current_definition = 'rms'")
        .old_driver("DX", "current = '0.1 A .. 0.4 A'");
    let finding = about(&case, "MX");
    assert_eq!(finding.verdict, Verdict::Note);
    // The old file does not state the switches of its driver: no change is claimed.
    assert!(!finding.headline.contains("switches"), "{}", finding.headline);
    assert!(
        finding.headline.contains("800 mA in place of 400 mA"),
        "{}",
        finding.headline
    );
    assert!(
        finding.headline.contains("0.24 N m") && finding.headline.contains("0.12 N m"),
        "{}",
        finding.headline
    );
}

#[test]
fn another_supply() {
    let fast = Case::new()
        .device("PS", "old_voltage = '12 V'")
        .axis("X", "max_speed = '600 mm/s'");
    let finding = about(&fast, "MX");
    assert_eq!(finding.verdict, Verdict::Note);
    assert!(
        finding.headline.contains("24 V in place of 12 V"),
        "{}",
        finding.headline
    );
}

#[test]
fn a_new_motor_has_nothing_to_compare() {
    let findings = Case::new()
        .cable_without("MX", "old_port")
        .load()
        .wholes("motor-changes");
    assert!(
        findings
            .iter()
            .all(|finding| finding.subject.device.as_deref() != Some("MX"))
    );
}

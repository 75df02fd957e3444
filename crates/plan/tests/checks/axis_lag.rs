//! `axis-lag`: friction against the torque of one microstep.

use crate::support::Case;
use plan::Verdict;

fn about(friction: &str) -> plan::Finding {
    let case = Case::new()
        .axis("X", "efficiency = '0.9'")
        .axis("X", &format!("friction = '{friction}'"));
    let findings = case.load().wholes("axis-lag");
    findings
        .into_iter()
        .find(|finding| finding.subject.other.as_deref() == Some("X"))
        .expect("a finding")
}

/// The torque of one of 16 microsteps is 9.80 % of the holding torque: 0.24 N m · sin(90°/16) · 2 π · 0.9 / 0.04 = 3.3257 N (law of the sine,
/// from memory). At that friction the axis lags by just that microstep, 40 mm / 3200.
#[test]
fn friction_of_one_microstep() {
    assert_eq!(about("3.325 N").verdict, Verdict::Pass);
    let over = about("3.326 N");
    assert_eq!(over.verdict, Verdict::Note);
    assert!((over.value.expect("a length").nominal - 12.5e-6).abs() < 5e-9);
}

/// A load above the holding torque: the whole full step.
#[test]
fn no_more_than_a_full_step() {
    assert!((about("100 N").value.expect("a length").nominal - 0.2e-3).abs() < 1e-12);
}

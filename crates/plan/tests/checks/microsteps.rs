//! `microsteps`: kept, changed, or not to be had.

use crate::support::Case;
use plan::Verdict;

#[test]
fn kept_finer_and_coarser() {
    let base = Case::new();
    assert_eq!(base.pair("microsteps", "MX", "M1").verdict, Verdict::Pass);
    let wished = base.clone().axis("X", "microsteps = 64");
    assert_eq!(wished.pair("microsteps", "MX", "M1").verdict, Verdict::Note);
    let coarser = wished.driver("D1", "max_microsteps = 32");
    let finding = coarser.pair("microsteps", "MX", "M1");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding.headline.contains("16 microsteps to 32"),
        "{}",
        finding.headline
    );
    let fixed = base.driver("D1", "fixed_microsteps = 32");
    assert_eq!(fixed.pair("microsteps", "MX", "M1").verdict, Verdict::Note);
}

/// Sine of torque: one of 16 microsteps adds 9.80 % of the holding torque, one of 32 adds 4.91 %.
#[test]
fn a_microstep_adds_little_torque() {
    for (microsteps, share) in [(16, 0.0980), (32, 0.0491)] {
        let case = Case::new().axis("X", &format!("microsteps = {microsteps}"));
        let torque = case.pair("microsteps", "MX", "M1").working[0].result.nominal;
        assert!((torque / 0.45 - share).abs() < 5e-5);
    }
}

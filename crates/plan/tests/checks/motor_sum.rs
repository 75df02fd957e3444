//! `motor-sum`: all motors together.

use crate::support::Case;
use plan::Verdict;

#[test]
fn run_currents_are_summed_where_a_limit_is_stated() {
    assert!(Case::new().load().wholes("motor-sum").is_empty());
    // 0.8 + 0.6 + 0.6 + 0.55 A.
    let at = |limit: &str| {
        Case::new()
            .board("[input]", &format!("motor_current = '{limit}'"))
            .whole("motor-sum")
            .verdict
    };
    assert_eq!(at("2.551 A"), Verdict::Pass);
    assert_eq!(at("2.549 A"), Verdict::Blocker);
}

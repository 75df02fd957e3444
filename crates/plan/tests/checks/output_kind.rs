//! `output-kind`: heaters on outputs for heaters.

use crate::support::Case;
use plan::Verdict;

#[test]
fn a_heater_wants_an_output_for_heaters() {
    let verdict = |port: &str| Case::new().pair("output-kind", "H1", port).verdict;
    assert_eq!(verdict("HEAT1"), Verdict::Pass);
    assert_eq!(verdict("FAN1"), Verdict::Caution);
    assert!(Case::new().load().pairs("output-kind", "F1", "FAN1").is_empty());
}

#[test]
fn the_plan_keeps_heaters_off_other_outputs() {
    let loaded = Case::new().load();
    let plan = loaded.plan();
    assert!(
        plan.findings
            .iter()
            .filter(|finding| finding.check == "output-kind")
            .all(|finding| finding.verdict == Verdict::Pass)
    );
}

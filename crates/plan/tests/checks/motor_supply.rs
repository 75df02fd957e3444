//! `motor-supply`: in and out of the driver's range.

use crate::support::Case;
use plan::Verdict;

#[test]
fn in_and_out_at_both_ends() {
    let with = |range: &str, supply: &str| {
        let case = Case::new()
            .driver("D1", &format!("voltage = '{range}'"))
            .device("PS", &format!("voltage = '{supply}'"));
        case.pair("motor-supply", "MX", "M1").verdict
    };
    assert_eq!(with("6 V .. 24 V", "24 V"), Verdict::Pass);
    assert_eq!(with("6 V .. 24 V", "24 V ± 1 %"), Verdict::Blocker);
    assert_eq!(with("24 V .. 30 V", "24 V"), Verdict::Pass);
    assert_eq!(with("24.1 V .. 30 V", "24 V"), Verdict::Blocker);
}

#[test]
fn a_driver_without_a_range_is_left_to_the_board() {
    assert!(Case::new().load().pairs("motor-supply", "MX", "M2").is_empty());
}

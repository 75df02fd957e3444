//! `pull-resistor`: wetting current and the bounds of a pull-up.

use crate::support::Case;
use plan::Verdict;

#[test]
fn contacts_get_their_wetting_current() {
    let with = |resistor: &str| {
        let case = Case::new().port("IN1", &format!("pull_resistor = '{resistor}'"));
        case.pair("pull-resistor", "LX", "IN1")
    };
    let finding = with("10 kΩ");
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.value.expect("a current").nominal - 0.33e-3).abs() < 1e-12);
    // 3.3 V over 33 kΩ are 0.1 mA.
    assert_eq!(with("32.9 kΩ").verdict, Verdict::Pass);
    assert_eq!(with("33.1 kΩ").verdict, Verdict::Caution);
    assert_eq!(with("32 kΩ ± 5 %").verdict, Verdict::Caution);
}

#[test]
fn open_collectors_stay_between_strong_and_weak() {
    let with = |resistor: &str| {
        let case = Case::new().port("IN2", &format!("pull_resistor = '{resistor}'"));
        case.pair("pull-resistor", "FS", "IN2").verdict
    };
    assert_eq!(with("0.99 kΩ"), Verdict::Caution);
    assert_eq!(with("1 kΩ"), Verdict::Pass);
    assert_eq!(with("50 kΩ"), Verdict::Pass);
    assert_eq!(with("50.1 kΩ"), Verdict::Caution);
}

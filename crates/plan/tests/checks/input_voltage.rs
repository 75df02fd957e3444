//! `input-voltage`: range of the board, and what is no extra-low voltage.

use crate::support::Case;
use plan::{Finding, Verdict};

fn at(supply: &str) -> Vec<Finding> {
    Case::new()
        .device("PS", &format!("voltage = '{supply}'"))
        .load()
        .wholes_at("input-voltage", &[("PS", "POWER")])
}

/// The board bears 12 V to 28 V.
#[test]
fn a_label_outside_refuses_and_a_corner_outside_warns() {
    let verdict = |supply: &str| at(supply)[0].verdict;
    assert_eq!(verdict("28 V"), Verdict::Pass);
    assert_eq!(verdict("28.01 V"), Verdict::Blocker);
    assert_eq!(verdict("27 V ± 5 %"), Verdict::Caution);
    assert_eq!(verdict("26.6 V ± 5 %"), Verdict::Pass);
    assert_eq!(verdict("12 V"), Verdict::Pass);
    assert_eq!(verdict("12 V ± 1 %"), Verdict::Caution);
    assert_eq!(verdict("11.9 V"), Verdict::Blocker);
}

/// 60 V DC is where extra-low voltage (PELV) ends: IEC 60204-1, 6.4, as quoted.
#[test]
fn above_sixty_volts_is_work_for_others() {
    let findings = at("61 V");
    assert_eq!(findings.len(), 2);
    assert!(findings.iter().all(|finding| finding.verdict == Verdict::Blocker));
    assert_eq!(at("60 V").len(), 1);
}

//! `paired-motors`: together or against each other.

use crate::support::Case;
use plan::{Finding, Verdict};

fn of(case: &Case) -> Finding {
    let loaded = case.load();
    loaded
        .wholes_at("paired-motors", &[("MZ", "M2"), ("MZ2", "M3")])
        .remove(0)
}

#[test]
fn one_socket_the_other_way_round() {
    let base = Case::new();
    assert_eq!(of(&base).verdict, Verdict::Pass);
    let odd = base.port("M3", "pins = ['A2', 'A1', 'B1', 'B2']");
    let finding = of(&odd);
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding.headline.contains("against each other"),
        "{}",
        finding.headline
    );
    let both = odd.port("M2", "pins = ['A2', 'A1', 'B1', 'B2']");
    assert_eq!(of(&both).verdict, Verdict::Pass);
}

#[test]
fn a_new_second_motor_is_tried_alone() {
    let new = Case::new().cable_without("MZ2", "old_port");
    assert_eq!(of(&new).verdict, Verdict::Caution);
}

//! `regulator-heat`: what a linear regulator takes off the voltage.

use crate::support::Case;
use plan::Verdict;

/// (5 V − 3.3 V) · 0.15 A = 0.255 W; at most 70 K/W.
#[test]
fn the_loss_is_the_difference_times_the_current() {
    let finding = Case::new().load().wholes("regulator-heat").remove(0);
    assert!((finding.working[0].result.nominal - 0.255).abs() < 1e-12);
    assert!((finding.value.expect("a rise").high - 0.255 * 70.0).abs() < 1e-9);
    assert_eq!(finding.verdict, Verdict::Pass);
}

#[test]
fn a_regulator_is_held_at_the_rise_that_the_case_leaves() {
    // 40 °C in the case leave 85 K to 125 °C: 1.2143 W, that is 0.7143 A at 1.7 V.
    let at = |milliamperes: f64| {
        Case::new()
            .board("[rails.\"3.3V\"]", "current = '1 A'")
            .board(
                "[rails.\"3.3V\"]",
                &format!("board_current = '{milliamperes} mA'"),
            )
            .load()
            .wholes_at("regulator-heat", &[])
            .remove(0)
            .verdict
    };
    assert_eq!(at(714.0), Verdict::Pass);
    assert_eq!(at(715.0), Verdict::Caution);
}

//! `active-level`: kept, turned, or new.

use crate::support::Case;
use plan::Verdict;

#[test]
fn the_pull_decides_what_a_contact_reads() {
    let kept = Case::new().pair("active-level", "LX", "IN1");
    assert_eq!(kept.verdict, Verdict::Pass);
    assert!(kept.headline.contains("low at rest"), "{}", kept.headline);
    let turned = Case::new()
        .port("IN2", "pull = 'down'")
        .pair("active-level", "LX", "IN2");
    assert_eq!(turned.verdict, Verdict::Note);
    assert!(
        turned.headline.contains("reads high at rest"),
        "{}",
        turned.headline
    );
}

#[test]
fn a_new_sensor_is_a_note() {
    assert_eq!(
        Case::new().pair("active-level", "BP", "PROBE").verdict,
        Verdict::Note
    );
}

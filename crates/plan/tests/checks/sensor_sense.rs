//! `sensor-sense`: kept, turned, or new.

use crate::support::Case;
use plan::Verdict;

#[test]
fn the_pull_decides_what_a_contact_reads() {
    let kept = Case::new().pair("sensor-sense", "LX", "IN1");
    assert_eq!(kept.verdict, Verdict::Pass);
    assert!(kept.headline.contains("low at rest"), "{}", kept.headline);
    let turned = Case::new()
        .port("IN2", "pull = 'down'")
        .pair("sensor-sense", "LX", "IN2");
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
        Case::new().pair("sensor-sense", "BP", "PROBE").verdict,
        Verdict::Note
    );
}

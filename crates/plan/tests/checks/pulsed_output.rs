//! `pulsed-output`: part fans and hot ends.

use crate::support::Case;
use plan::Verdict;

#[test]
fn a_part_fan_and_a_hot_end_want_pulses() {
    for (tag, port) in [("F1", "FAN1"), ("H1", "HEAT1")] {
        assert_eq!(
            Case::new().pair("pulsed-output", tag, port).verdict,
            Verdict::Pass
        );
        let plain = Case::new().port(port, "pwm = false");
        assert_eq!(plain.pair("pulsed-output", tag, port).verdict, Verdict::Caution);
    }
}

#[test]
fn others_do_without() {
    let case = Case::new()
        .port("FAN1", "pwm = false")
        .port("BED", "pwm = false")
        .load();
    assert!(case.pairs("pulsed-output", "F2", "FAN1").is_empty());
    assert!(case.pairs("pulsed-output", "H2", "BED").is_empty());
}

#[test]
fn a_switched_plus_does_not_reach_a_fan_behind_a_converter() {
    let base = Case::new().device("F1", "voltage = '12 V'");
    let verdict = |case: Case| {
        let case = case.load();
        let way = case.ways("F1", "FAN1")[1];
        case.pairs_in("pulsed-output", "F1", way)[0].verdict
    };
    assert_eq!(verdict(base.clone()), Verdict::Pass);
    let high = base
        .port("FAN1", "side = 'high side'")
        .port("FAN1", "pins = ['switched +', '-']");
    assert_eq!(verdict(high), Verdict::Caution);
}

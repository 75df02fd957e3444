//! `always-on`: permanent and switched outputs for fans and lights.

use crate::support::Case;
use plan::Verdict;

fn verdict(case: &Case, tag: &str, port: &str) -> Verdict {
    case.pair("always-on", tag, port).verdict
}

#[test]
fn a_part_fan_is_never_always_on() {
    assert_eq!(verdict(&Case::new(), "F1", "ALWAYS"), Verdict::Blocker);
    assert!(Case::new().load().pairs("always-on", "F1", "FAN1").is_empty());
}

#[test]
fn a_heat_sink_fan_may_be_but_must_be_told_to_run_where_it_is_switched() {
    assert_eq!(verdict(&Case::new(), "F2", "ALWAYS"), Verdict::Pass);
    let switched = Case::new().pair("always-on", "F2", "FAN1");
    assert_eq!(switched.verdict, Verdict::Note);
    assert!(switched.remedy.is_some_and(|remedy| remedy.contains("50 °C")));
}

#[test]
fn plain_lights_are_lit_as_long_as_there_is_power() {
    let case = Case::new()
        .without_line("machine.toml", "[[device]]\ntag = \"LS\"", "led_count")
        .without_line("machine.toml", "[[device]]\ntag = \"LS\"", "current_per_led")
        .device("LS", "current = '0.3 A'")
        .device("LS", "voltage = '24 V'")
        .cable("LS", "pins = ['+', '-']");
    assert_eq!(verdict(&case, "LS", "ALWAYS"), Verdict::Note);
}

//! `timers`: what shares the frequency of its pulses.

use crate::support::Case;
use plan::Verdict;

const PLACES: [(&str, &str); 4] = [("H1", "HEAT1"), ("F1", "FAN1"), ("F2", "FAN2"), ("LS", "LIGHT")];

#[test]
fn heaters_and_part_fans_want_different_pulses() {
    assert_eq!(
        Case::new().load().wholes_at("timers", &PLACES)[0].verdict,
        Verdict::Pass
    );
    let shared = Case::new().port("FAN1", "timer = 'T3'").load();
    let findings = shared.wholes_at("timers", &PLACES);
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].verdict, Verdict::Caution);
    assert!(findings[0].headline.contains("H1") && findings[0].headline.contains("F1"));
}

#[test]
fn a_fan_that_is_only_switched_does_not_mind() {
    let shared = Case::new().port("FAN2", "timer = 'T3'").load();
    assert_eq!(shared.wholes_at("timers", &PLACES)[0].verdict, Verdict::Pass);
}

/// One light takes 24 bits of 1.25 µs (addressable-light-sheet, data transfer time).
#[test]
fn data_of_lights_tolerates_no_other() {
    let shared = Case::new().port("LIGHT", "timer = 'T15'").load();
    let finding = &shared.wholes_at("timers", &PLACES)[0];
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(finding.headline.contains("1.25 µs"));
    assert!(
        finding
            .remedy
            .as_ref()
            .is_some_and(|remedy| remedy.contains("another timer"))
    );
}

/// What is too fast to be made without a timer has one, told or not; what is slow may have none.
#[test]
fn a_timer_that_nobody_stated_is_asked_for() {
    let without = |port: &str| {
        let head = format!("[[port]]\nname = \"{port}\"");
        Case::new().without_line("new.toml", &head, "timer")
    };
    let findings = without("LIGHT").load().wholes_at("timers", &PLACES);
    assert_eq!(findings.len(), 1);
    assert_eq!(
        (findings[0].verdict, findings[0].id.as_str()),
        (Verdict::Caution, "timers:unstated")
    );
    assert!(
        findings[0].asks && findings[0].headline.contains("LIGHT (LS)"),
        "{}",
        findings[0].headline
    );
    let slow = without("HEAT1").load().wholes_at("timers", &PLACES);
    assert_eq!(slow[0].verdict, Verdict::Pass);
    // A board that tells of no timer at all was never described that far.
    let heads = ["HEAT1", "BED", "FAN1", "FAN2", "LIGHT"].map(|port| format!("[[port]]\nname = \"{port}\""));
    let none = heads.iter().fold(Case::new(), |case, head| {
        case.without_line("new.toml", head, "timer")
    });
    assert_eq!(none.load().wholes_at("timers", &PLACES)[0].verdict, Verdict::Note);
}

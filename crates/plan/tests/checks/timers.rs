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

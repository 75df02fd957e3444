//! `level-to-device`: lights, probes and panels, in and out at the limit.

use crate::support::Case;
use plan::Verdict;

fn lights(level: &str) -> Case {
    Case::new().port("LIGHT", &format!("level = '{level}'"))
}

/// Addressable light (addressable-light-sheet), electrical characteristics: high from 0.7 VDD, 3.5 V at 5.0 V; a 3.3 V output falls 0.2 V short.
#[test]
fn lights_need_seven_tenths_of_their_supply() {
    let short = lights("3.3 V").pair("level-to-device", "LS", "LIGHT");
    assert_eq!(short.verdict, Verdict::Caution);
    assert_eq!(short.parts[0].name, "level shifter");
    let (value, limit) = (short.value.expect("a level"), short.limit.expect("a limit"));
    assert!((limit.bound.nominal - value.nominal - 0.2).abs() < 1e-12);
    assert_eq!(
        lights("3.71 V").pair("level-to-device", "LS", "LIGHT").verdict,
        Verdict::Pass
    );
    let thin = lights("3.6 V").pair("level-to-device", "LS", "LIGHT");
    assert_eq!((thin.verdict, thin.parts.len()), (Verdict::Caution, 0));
}

/// The same sheet at 4.5 V: 3.15 V.
#[test]
fn a_lower_supply_asks_for_less() {
    let case = lights("3.3 V")
        .board("[rails.5V]", "voltage = '4.5 V'")
        .device("LS", "voltage = '4.5 V'");
    let finding = case.pair("level-to-device", "LS", "LIGHT");
    assert!(finding.parts.is_empty(), "{}", finding.headline);
    assert!((finding.working[0].result.nominal - 3.15).abs() < 1e-12);
}

#[test]
fn the_worst_corner_counts() {
    // 0.7 · 5.25 V + 0.2 V = 3.875 V; 4 V less 3 % is 3.88 V, less 4 % it is 3.84 V.
    let case = |level| lights(level).board("[rails.5V]", "voltage = '5 V ± 5 %'");
    assert_eq!(
        case("4 V ± 3 %").pair("level-to-device", "LS", "LIGHT").verdict,
        Verdict::Pass
    );
    assert_eq!(
        case("4 V ± 4 %").pair("level-to-device", "LS", "LIGHT").verdict,
        Verdict::Caution
    );
}

#[test]
fn probes_take_pulses_of_3_3_volt() {
    let at = |level: &str| {
        let case = Case::new().port("PROBE", &format!("level = '{level}'"));
        case.pair("level-to-device", "BP", "PROBE")
    };
    assert_eq!(at("3.3 V").verdict, Verdict::Pass);
    assert_eq!(at("2.3 V").parts[0].name, "level shifter");
}

#[test]
fn panels_may_be_content_with_less() {
    let at = |level: &str| {
        let case = Case::new().port("PANEL", &format!("level = '{level}'"));
        case.pair("level-to-device", "PA", "PANEL")
    };
    assert_eq!(at("5 V").verdict, Verdict::Pass);
    let perhaps = at("3.3 V");
    assert_eq!((perhaps.verdict, perhaps.parts.len()), (Verdict::Caution, 0));
    assert_eq!(at("1.8 V").parts[0].name, "level shifter");
}

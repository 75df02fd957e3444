//! `port-current`: in and out at the limit, and the external switch above it.

use crate::support::Case;
use plan::Verdict;

/// 40 W at 24 V are 14.4 Ω and 1.667 A; from the law P = U²/R (IEC 80000-6).
#[test]
fn a_heater_is_held_against_its_port() {
    let base = Case::new();
    let finding = base.pair("port-current", "H1", "HEAT1");
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.value.expect("a current").nominal - 40.0 / 24.0).abs() < 1e-12);
    // 80 % for long: 2.08333 A; the rating itself: 1.66667 A.
    let at = |line: &str| {
        base.clone()
            .port("HEAT1", line)
            .pair("port-current", "H1", "HEAT1")
    };
    assert_eq!(at("current = '2.0834 A'").verdict, Verdict::Pass);
    assert_eq!(at("current = '2.0833 A'").verdict, Verdict::Caution);
    assert!(at("current = '1.66667 A'").parts.is_empty());
    // Above it the port drives an external switch.
    let mended = at("current = '1.66666 A'");
    assert_eq!(mended.verdict, Verdict::Caution);
    assert_eq!(mended.parts[0].name, "external heater switch");
}

#[test]
fn the_worst_corner_counts() {
    let case = Case::new()
        .device("H1", "power = '40 W ± 10 %'")
        .device("PS", "voltage = '24 V ± 5 %'");
    // Highest: 25.2 V over the resistance of 44 W at 24 V.
    let highest = 25.2 * 44.0 / (24.0 * 24.0);
    let value = case.pair("port-current", "H1", "HEAT1").value.expect("a current");
    assert!((value.high - highest).abs() < 1e-9);
    let rated = |line: &str| {
        case.clone()
            .port("HEAT1", line)
            .pair("port-current", "H1", "HEAT1")
    };
    assert!(rated("current = '1.926 A'").parts.is_empty());
    assert!(!rated("current = '1.924 A'").parts.is_empty());
}

#[test]
fn a_fan_above_the_rating_is_refused() {
    let at = |line: &str| {
        Case::new()
            .port("FAN1", line)
            .pair("port-current", "F1", "FAN1")
            .verdict
    };
    assert_eq!(at("current = '0.251 A'"), Verdict::Pass);
    assert_eq!(at("current = '0.249 A'"), Verdict::Caution);
    assert_eq!(at("current = '0.2 A'"), Verdict::Caution);
    assert_eq!(at("current = '0.199 A'"), Verdict::Blocker);
}

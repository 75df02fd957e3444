//! `port-current`: in and out at the limit.

use crate::support::Case;
use plan::Verdict;
use quantity::Number;
use quantity::si::ampere;

/// 40 W at 24 V are 14.4 Ω and 1.667 A; from the law P = U²/R (IEC 80000-6).
#[test]
fn a_heater_is_held_against_its_port() {
    let base = Case::new();
    let finding = base.pair("port-current", "H1", "HEAT1");
    assert_eq!(finding.verdict, Verdict::Pass);
    let current = finding.value.expect("a current");
    assert!((current.nominal - 40.0 / 24.0).abs() < 1e-12);
    let just_in = base.clone().port("HEAT1", "current = '1.66667 A'");
    assert_eq!(just_in.pair("port-current", "H1", "HEAT1").verdict, Verdict::Pass);
    let just_out = base.port("HEAT1", "current = '1.66666 A'");
    assert_eq!(
        just_out.pair("port-current", "H1", "HEAT1").verdict,
        Verdict::Blocker
    );
}

#[test]
fn the_worst_corner_counts() {
    let case = Case::new()
        .device("H1", "power = '40 W ± 10 %'")
        .device("PS", "voltage = '24 V ± 5 %'");
    // Highest: 25.2 V over the resistance of 44 W at 24 V.
    let highest = 25.2 * 44.0 / (24.0 * 24.0);
    let finding = case.pair("port-current", "H1", "HEAT1");
    let value = finding.value.expect("a current");
    assert!((value.high - ampere(highest).base()).abs() < 1e-9);
    let out = case.port("HEAT1", "current = '1.92 A'");
    assert_eq!(out.pair("port-current", "H1", "HEAT1").verdict, Verdict::Blocker);
}

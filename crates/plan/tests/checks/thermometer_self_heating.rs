//! `thermometer-self-heating`: power over dissipation.

use crate::support::Case;
use plan::Verdict;

/// 100 °C on 4.7 kΩ and 3.3 V: 0.562 mW, 0.22 K at 2.5 mW/K (NTCLG100E2 data sheet).
#[test]
fn the_worked_number() {
    let finding = Case::new().pair("thermometer-self-heating", "T2", "TH2");
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.working[0].result.nominal - 0.562e-3).abs() < 0.5e-6);
    assert!((finding.value.expect("kelvin").nominal - 0.22).abs() < 0.006);
}

#[test]
fn in_and_out_at_half_a_kelvin() {
    // 1.25 mW at 100 °C: U² · 6674 / (6674 + 4700)² reaches it at 4.922 V.
    let with = |volt: &str| {
        let case = Case::new().port("TH2", &format!("reference = '{volt}'"));
        case.pair("thermometer-self-heating", "T2", "TH2").verdict
    };
    assert_eq!(with("4.92 V"), Verdict::Pass);
    assert_eq!(with("4.93 V"), Verdict::Caution);
    assert_eq!(with("4.9 V ± 1 %"), Verdict::Caution);
}

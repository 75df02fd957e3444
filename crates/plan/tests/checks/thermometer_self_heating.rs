//! `thermometer-self-heating`: power over dissipation.

use crate::support::Case;
use plan::Verdict;

/// 100 °C on 4.7 kΩ and 3.3 V: 0.562 mW, 0.22 K at 2.5 mW/K (glass-ntc-sheet).
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

/// A platinum resistor of 1000 Ω has 1385.06 Ω at 100 °C (IEC 60751): on 4.7 kΩ and 3.3 V it takes 0.407 mW, at 2 mW/K 0.20 K.
#[test]
fn platinum_warms_itself_too() {
    let case = Case::new().device("T2", "sensor = 'Pt1000'");
    let finding = case.pair("thermometer-self-heating", "T2", "TH2");
    let power = 3.3_f64.powi(2) * 1385.06 / (1385.06_f64 + 4700.0).powi(2);
    assert!(
        (finding.working[0].result.nominal - power).abs() < 1e-6,
        "{power}"
    );
    let heating = finding.value.expect("kelvin");
    assert!(
        (heating.high - power / 2e-3).abs() < 0.01 * heating.high,
        "{heating:?}"
    );
}

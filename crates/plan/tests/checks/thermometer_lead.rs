//! `thermometer-lead`: ohms of a lead as kelvin of platinum.

use crate::support::Case;
use plan::Verdict;

/// 1 m of 26 AWG, out and back: 2 · 0.1339 Ω at 20 °C (printed wire table), 0.3620 Ω/K at 250 °C (IEC 60751 formula).
#[test]
fn two_wires_read_too_hot() {
    let base = Case::new().device("T1", "sensor = 'Pt100'");
    let finding = base.pair("thermometer-lead", "T1", "TH1");
    assert_eq!(finding.verdict, Verdict::Note);
    let value = finding.value.expect("kelvin");
    assert!((value.low - 0.2678 / 0.3620).abs() < 0.01, "{value}");
    let ten_times = base
        .device("T1", "sensor = 'Pt1000'")
        .pair("thermometer-lead", "T1", "TH1");
    assert_eq!(ten_times.verdict, Verdict::Pass);
    assert!((ten_times.value.expect("kelvin").low - value.low / 10.0).abs() < 1e-9);
}

#[test]
fn thermistors_are_left_alone() {
    assert!(
        Case::new()
            .load()
            .pairs("thermometer-lead", "T1", "TH1")
            .is_empty()
    );
}

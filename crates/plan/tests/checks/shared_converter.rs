//! `shared-converter`: one for two.

use crate::support::Case;
use plan::Verdict;

#[test]
fn two_devices_of_one_voltage_share_a_converter() {
    let case = Case::new()
        .device("F1", "voltage = '12 V'")
        .device("F2", "voltage = '12 V'")
        .load();
    let mut ways = vec![None; case.swap.machine.devices.len()];
    ways[case.id("F1").0] = Some(case.ways("F1", "FAN1")[1]);
    assert!(case.wholes_of("shared-converter", &ways).is_empty());
    ways[case.id("F2").0] = Some(case.ways("F2", "ALWAYS")[1]);
    let findings = case.wholes_of("shared-converter", &ways);
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].verdict, Verdict::Note);
    // 0.2 A and 0.1 A.
    assert!(
        findings[0].headline.contains("300 mA"),
        "{}",
        findings[0].headline
    );
}

//! `thermometer-tolerance`: classes of IEC 60751, and per cents of thermistors.

use crate::support::Case;

/// IEC 60751, class B: ±(0.3 + 0.005 |t|) K, 1.3 K at 200 °C.
#[test]
fn platinum_is_within_class_b() {
    let finding = Case::new()
        .device("T1", "sensor = 'Pt1000'")
        .device("T1", "working_temperature = '200 °C'")
        .port("TH1", "pull_up = '4.7 kΩ ± 0.000001 %'")
        .pair("thermometer-tolerance", "T1", "TH1");
    let value = finding.value.expect("kelvin");
    assert!(
        (value.high - 1.3).abs() < 1e-4 && (value.low + 1.3).abs() < 1e-4,
        "{value}"
    );
}

#[test]
fn a_thermistor_off_by_its_resistance_and_its_b() {
    // 1 % of the resistance and 1 % of 3950 K from 25 °C to 100 °C: 0.01 + 39.5 · (1/298.15 − 1/373.15) = 0.0366; one kelvin is
    // 3.01 % there (rows 95 and 105 °C), so that makes 1.2 K.
    let finding =
        Case::new()
            .port("TH2", "pull_up = '4.7 kΩ ± 0.000001 %'")
            .pair("thermometer-tolerance", "T2", "TH2");
    let value = finding.value.expect("kelvin");
    assert!(
        (value.high - 1.22).abs() < 0.04 && (value.low + 1.22).abs() < 0.04,
        "{value}"
    );
}

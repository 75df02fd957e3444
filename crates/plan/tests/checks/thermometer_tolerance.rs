//! `thermometer-tolerance`: classes of IEC 60751, and per cents of thermistors.

use crate::support::Case;
use plan::Verdict;

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

/// A converter of 3.3 V ± 1 % and a pull-up on another 3.3 V ± 1 % may lie 2.02 % apart. At 100 °C 6674 Ω on 4.7 kΩ (NTCLG100E2 data sheet) lose
/// 3.01 % for each kelvin: 0.0202 · (1 + 6674/4700) / 0.0301 = 1.63 K (derivative of the divider). With one supply it cancels.
#[test]
fn two_supplies_do_not_cancel() {
    let with = |line: &str| {
        Case::new()
            .port("TH2", "pull_up = '4.7 kΩ ± 0.000001 %'")
            .port("TH2", "reference = '3.3 V ± 1 %'")
            .port("TH2", line)
            .pair("thermometer-tolerance", "T2", "TH2")
    };
    let (one, two) = (with("adc_bits = 12"), with("pull_up_supply = '3.3 V ± 1 %'"));
    let high = |finding: &plan::Finding| finding.value.expect("kelvin").high;
    assert!(
        (high(&two) - high(&one) - 1.63).abs() < 0.03,
        "{} {}",
        high(&one),
        high(&two)
    );
    assert!(two.headline.contains("separate supplies") && !one.headline.contains("separate supplies"));
}

/// A thermistor of 100 kΩ of unknown kind: loads, is judged by its circuit and at room temperature, and is not believed when hot.
#[test]
fn a_kind_that_nobody_knows_does_not_pass() {
    let unknown = Case::new().device("T1", "sensor = 'NTC 100 kΩ, kind unknown'");
    let finding = unknown.pair("thermometer-tolerance", "T1", "TH1");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding.headline.contains("sensor type of T1"),
        "{}",
        finding.headline
    );
    // 8 % of B move 250 °C by T² · (1/T₂₅ − 1/T) · 8 % = 32 K each way (the B law, IEC 60539-1); pull-up and resistance at 25 °C add to it.
    let value = finding.value.expect("an error");
    assert!(value.high - value.low > 50.0, "{value}");
    assert_eq!(
        unknown.pair("thermometer-circuit", "T1", "TH1").verdict,
        Verdict::Pass
    );
    assert_ne!(
        Case::new().pair("thermometer-tolerance", "T1", "TH1").verdict,
        Verdict::Caution
    );
}

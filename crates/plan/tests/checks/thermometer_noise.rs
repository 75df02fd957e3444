//! `thermometer-noise`: noise and steps together.

use crate::support::Case;
use plan::Verdict;

/// Bennett (1948): a step over the root of 12; 12 bits on 3.3 V make 232.6 µV.
#[test]
fn steps_and_noise_add_in_squares() {
    let finding =
        Case::new()
            .device("T1", "working_temperature = '200 °C'")
            .pair("thermometer-noise", "T1", "TH1");
    assert_eq!(finding.verdict, Verdict::Pass);
    let volts = (0.7e-3_f64.powi(2) + 232.6e-6_f64.powi(2)).sqrt();
    let step = finding.working[0].result.nominal;
    let expected = step * volts / 805.66e-6;
    assert!((finding.value.expect("kelvin").nominal / expected - 1.0).abs() < 1e-4);
}

#[test]
fn much_noise_is_a_note() {
    let loud = Case::new().port("TH1", "noise = '2 mV'");
    assert_eq!(loud.pair("thermometer-noise", "T1", "TH1").verdict, Verdict::Note);
}

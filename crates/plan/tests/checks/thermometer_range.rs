//! `thermometer-range`: shares of full scale in the cold and above the working temperature.

use crate::support::Case;
use plan::Verdict;

fn pull_up(text: &str) -> Case {
    Case::new().port("TH1", &format!("pull_up = '{text}'"))
}

/// Glass thermistor (glass-ntc-tables) at 20 °C: 124 833 Ω. 98 % of full scale is reached with a pull-up of R · 0.02 / 0.98 = 2547.6 Ω. That is
/// 82 of 4096 steps from an open wire, far more than the noise: a note. With 100 Ω it is 3 steps, which nothing tells apart.
#[test]
fn a_small_pull_up_hides_the_cold() {
    assert_eq!(
        pull_up("2.55 kΩ").pair("thermometer-range", "T1", "TH1").verdict,
        Verdict::Pass
    );
    let out = pull_up("2.54 kΩ").pair("thermometer-range", "T1", "TH1");
    assert_eq!(out.verdict, Verdict::Note);
    assert!(out.headline.contains("open wire"), "{}", out.headline);
    assert!(out.headline.contains("82 steps away"), "{}", out.headline);
    let hidden = pull_up("100 Ω").pair("thermometer-range", "T1", "TH1");
    assert_eq!(hidden.verdict, Verdict::Caution);
    assert_eq!(
        pull_up("2.55 kΩ ± 1 %")
            .pair("thermometer-range", "T1", "TH1")
            .verdict,
        Verdict::Note
    );
}

/// The same table at 220 °C, with 20 K of headroom above 200 °C: 392 Ω, 1 % of full scale with 38.8 kΩ.
#[test]
fn a_large_pull_up_hides_the_heat() {
    let case = |text: &str| pull_up(text).device("T1", "working_temperature = '200 °C'");
    assert_eq!(
        case("38.8 kΩ").pair("thermometer-range", "T1", "TH1").verdict,
        Verdict::Pass
    );
    let out = case("38.9 kΩ").pair("thermometer-range", "T1", "TH1");
    assert_eq!(out.verdict, Verdict::Note);
    assert!(out.headline.contains("short circuit"), "{}", out.headline);
    // 392 Ω of 500 kΩ are 3 steps.
    assert_eq!(
        case("500 kΩ").pair("thermometer-range", "T1", "TH1").verdict,
        Verdict::Caution
    );
}

#[test]
fn an_input_at_its_stop_is_refused() {
    let case = Case::new()
        .device("T1", "sensor = 'Pt1000'")
        .port("TH1", "circuit = 'platinum amplifier'")
        .port("TH1", "amplification = '10'");
    assert_eq!(
        case.pair("thermometer-range", "T1", "TH1").verdict,
        Verdict::Blocker
    );
}

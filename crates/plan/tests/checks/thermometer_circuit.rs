//! `thermometer-circuit`: kinds on circuits.

use crate::support::Case;
use plan::Verdict;

fn amplifier(case: Case) -> Case {
    case.port("TH1", "circuit = 'platinum amplifier'")
        .port("TH1", "pull_up = '4.02 kΩ'")
        .port("TH1", "amplification = '10'")
}

#[test]
fn each_kind_wants_its_circuit() {
    let base = Case::new();
    assert_eq!(
        base.pair("thermometer-circuit", "T1", "TH1").verdict,
        Verdict::Pass
    );
    let stopped = amplifier(base.clone()).pair("thermometer-circuit", "T1", "TH1");
    assert_eq!(stopped.verdict, Verdict::Blocker);
    // 10 · R / (R + 4020 Ω) falls below 1 at 446.7 Ω, between the 220 °C and 215 °C rows (392 Ω, 431 Ω) and 210 °C (474 Ω).
    assert!(stopped.headline.contains("below 446.7 Ω"), "{}", stopped.headline);
    let platinum = base.device("T1", "sensor = 'Pt100'");
    assert_eq!(
        platinum.pair("thermometer-circuit", "T1", "TH1").verdict,
        Verdict::Note
    );
    assert_eq!(
        amplifier(platinum)
            .pair("thermometer-circuit", "T1", "TH1")
            .verdict,
        Verdict::Pass
    );
}

#[test]
fn an_amplifier_for_100_ohm_stops_at_1000() {
    // 10 · 1078 Ω / (1078 Ω + 4020 Ω) = 2.1 of full scale.
    let case = amplifier(Case::new().device("T1", "sensor = 'Pt1000'"));
    assert_eq!(
        case.pair("thermometer-circuit", "T1", "TH1").verdict,
        Verdict::Blocker
    );
}

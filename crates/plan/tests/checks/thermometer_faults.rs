//! `thermometer-faults`: stops of the converter, what is told from them, how fast a slipped one falls.

use crate::support::{Case, one};
use plan::{Finding, Verdict};

fn of(case: &Case, what: &str) -> Finding {
    let findings = case.load().wholes_at("thermometer-faults", &[("T1", "TH1")]);
    let of = |finding: &Finding| finding.subject.other.as_deref() == Some(what);
    one(findings.into_iter().filter(of).collect(), what)
}

#[test]
fn a_thermistor_that_breaks_looks_cold() {
    let cold = of(&Case::new(), "looks cold");
    assert_eq!(cold.verdict, Verdict::Pass);
    assert!(cold.headline.starts_with("an open wire"), "{}", cold.headline);
    assert!(
        of(&Case::new(), "looks hot")
            .headline
            .starts_with("a short circuit")
    );
}

#[test]
fn a_platinum_resistor_that_breaks_looks_hot() {
    let case = Case::new().device("T1", "sensor = 'Pt1000'");
    assert!(of(&case, "looks cold").headline.starts_with("a short circuit"));
    assert!(of(&case, "looks hot").headline.starts_with("an open wire"));
}

/// 0.7 mV of noise on 3.3 V and 12 bits: full scale less 1 + 4.2 / 0.806 codes, 659 times the pull-up. With 150 Ω that is 98.8 kΩ, what the
/// thermometer has a little above 25 °C.
#[test]
fn a_small_pull_up_takes_cold_and_broken_for_one() {
    let with = |ohms: &str| {
        of(
            &Case::new().port("TH1", &format!("pull_up = '{ohms}'")),
            "looks cold",
        )
    };
    assert_eq!(with("470 Ω").verdict, Verdict::Pass);
    let small = with("150 Ω");
    assert_eq!(small.verdict, Verdict::Caution);
    let told = small.value.expect("a temperature").nominal - 273.15;
    assert!((25.0..25.5).contains(&told), "{told}");
    assert!(
        small.headline.contains("No limit tells the two apart"),
        "{}",
        small.headline
    );
}

/// A bead of 6 s falls from 250 °C by 12 K, which no healthy part does, towards 20 °C in 6 s · ln(230 / 218) = 0.3215 s (glass-ntc-sheet, lumped body).
#[test]
fn the_time_of_a_slipped_one() {
    let finding = of(&Case::new(), "slipped");
    assert_eq!(finding.verdict, Verdict::Note);
    let time = finding.working[0].result.nominal;
    assert!((time - 0.3215).abs() < 1e-3, "{time}");
}

//! `attainable-temperature`: where it ends, and which share of its power holds it.

use crate::support::{Case, one};
use plan::{Finding, Verdict};

/// Where it ends without `what`.
fn of(case: &Case, what: Option<&str>) -> Finding {
    let findings = case
        .load()
        .wholes_at("attainable-temperature", &[("H1", "HEAT1")]);
    let of = |finding: &Finding| finding.subject.other.as_deref() == what;
    one(
        findings.into_iter().filter(of).collect(),
        "attainable temperature",
    )
}

/// 24 V over 14.4 Ω are 40 W; over 0.14 W/K that is 285.7 K above 20 °C (lumped body, any textbook of heat transfer). The lead takes
/// less than 2 % of it.
#[test]
fn the_worked_number() {
    let end = of(&Case::new(), None).value.expect("a temperature");
    assert!(end.high <= 20.0 + 273.15 + 285.72, "{end}");
    assert!(end.low > 20.0 + 273.15 + 285.71 * 0.97, "{end}");
    // (250 − 20) K · 0.14 W/K over 40 W.
    let duty = of(&Case::new(), Some("duty")).value.expect("a share");
    assert!(duty.low >= 0.805 - 1e-9 && duty.high < 0.83, "{duty}");
}

#[test]
fn in_and_out_at_the_working_temperature() {
    let end = of(&Case::new(), None).value.expect("a temperature");
    let asked = |kelvin: f64| {
        of(
            &Case::new().device("H1", &format!("working_temperature = '{kelvin} K'")),
            None,
        )
        .verdict
    };
    assert_eq!(asked(end.low - 1.0), Verdict::Pass);
    // Not all of it is the lead's share: the middle of the interval lies between.
    assert_eq!(
        asked(f64::midpoint(end.low, end.nominal) + 0.01),
        if end.low < end.nominal - 0.1 {
            Verdict::Caution
        } else {
            Verdict::Blocker
        }
    );
    assert_eq!(asked(end.nominal + 1.0), Verdict::Blocker);
    let tolerant = |asked: &str| {
        let case = Case::new().device("H1", "thermal_conductance = '0.14 W/K ± 20 %'");
        of(
            &case.device("H1", &format!("working_temperature = '{asked}'")),
            None,
        )
        .verdict
    };
    // 20 °C + 40 W / 0.168 W/K is 258 °C, less what the lead takes.
    assert_eq!(tolerant("250 °C"), Verdict::Pass);
    assert_eq!(tolerant("260 °C"), Verdict::Caution);
    assert_eq!(tolerant("306 °C"), Verdict::Blocker);
}

#[test]
fn a_high_share_of_power_is_a_note() {
    let with = |asked: &str| {
        of(
            &Case::new().device("H1", &format!("working_temperature = '{asked}'")),
            Some("duty"),
        )
        .verdict
    };
    assert_eq!(with("270 °C"), Verdict::Pass);
    assert_eq!(with("280 °C"), Verdict::Note);
}

#[test]
fn a_second_body_takes_its_part() {
    let case = Case::new()
        .device("H1", "coupling = '0.1 W/K'")
        .device("H1", "second_conductance = '0.1 W/K'")
        .device("H1", "second_capacity = '5 J/K'");
    // 0.14 + 0.1 · 0.1 / 0.2 = 0.19 W/K: 210.5 K above the room at the most.
    let end = of(&case, None).value.expect("a temperature");
    assert!(
        end.high < 20.0 + 273.15 + 210.6 && end.low > 20.0 + 273.15 + 204.0,
        "{end}"
    );
}

#[test]
fn without_a_loss_it_says_so() {
    let case = Case::new().without_line("machine.toml", "[[device]]\ntag = \"H1\"", "thermal_conductance");
    let finding = one(
        case.load()
            .wholes_at("attainable-temperature", &[("H1", "HEAT1")]),
        "attainable-temperature",
    );
    assert_eq!(finding.verdict, Verdict::Note);
}

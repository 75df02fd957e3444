//! `temperature-limits`: the work against parts, sensor and cut-out. Limits are the files' own; 10 K of overshoot are common practice, no source.

use crate::support::Case;
use plan::{Finding, Verdict};

const PLACES: [(&str, &str); 3] = [("PS", "POWER"), ("H1", "HEAT1"), ("T1", "TH1")];

fn of(case: &Case, what: &str) -> Option<Finding> {
    let mut found = case.load().wholes_at("temperature-limits", &PLACES);
    found.retain(|finding| finding.subject.other.as_deref() == Some(what));
    assert!(found.len() <= 1, "{found:#?}");
    found.pop()
}

fn base() -> Case {
    Case::new()
        .device("H1", "working_temperature = '230 °C'")
        .device("T1", "working_temperature = '230 °C'")
        .device("T1", "sensor = 'Pt1000'")
}

fn parts(line: &str) -> Verdict {
    of(&base().device("H1", line), "parts")
        .expect("a finding")
        .verdict
}

#[test]
fn the_work_is_held_against_the_temperature_limit() {
    assert_eq!(parts("temperature_limit = '240 °C'"), Verdict::Pass);
    assert_eq!(parts("temperature_limit = '239.9 °C'"), Verdict::Caution);
    assert_eq!(parts("temperature_limit = '230 °C'"), Verdict::Caution);
    assert_eq!(parts("temperature_limit = '229.9 °C'"), Verdict::Blocker);
    assert_eq!(parts("temperature_limit = '235 °C ± 6 K'"), Verdict::Caution);
    assert_eq!(parts("working_temperature = '300 °C'"), Verdict::Blocker);
}

/// The element of the glass thermistor is published up to 250 °C (glass-ntc-tables).
#[test]
fn the_work_is_held_against_the_range_of_the_sensor() {
    let at = |celsius: &str| {
        let case = base()
            .device("T1", "sensor = 'NTC 100 kΩ glass B3950'")
            .device("H1", "temperature_limit = '400 °C'")
            .device("H1", &format!("working_temperature = '{celsius}'"));
        of(&case, "parts").expect("a finding")
    };
    assert_eq!(at("240 °C").verdict, Verdict::Pass);
    assert_eq!(at("241 °C").verdict, Verdict::Caution);
    let beyond = at("251 °C");
    assert_eq!(beyond.verdict, Verdict::Blocker);
    assert!(
        beyond.headline.contains("range of the thermometer T1"),
        "{}",
        beyond.headline
    );
}

#[test]
fn a_cut_out_leaves_the_work_alone() {
    let at = |opens: &str| {
        let case = base().device("H1", &format!("cut_out = '{opens}'"));
        of(&case, "cut-out").expect("a finding").verdict
    };
    assert!(of(&base(), "cut-out").is_none());
    assert_eq!(at("240 °C"), Verdict::Pass);
    assert_eq!(at("239.9 °C"), Verdict::Caution);
    assert_eq!(at("229.9 °C"), Verdict::Blocker);
    assert_eq!(at("232 °C ± 3 K"), Verdict::Blocker);
}

/// A cut-out that the work opens settles nothing: the heater that fails closed stays a caution.
#[test]
fn a_cut_out_below_the_work_is_no_pass() {
    let at = |opens: &str| {
        let case = base()
            .device("H1", "temperature_limit = '285 °C'")
            .device("H1", "heat_capacity = '13 J/K'")
            .device("H1", "thermal_conductance = '0.1 W/K'")
            .device("H1", &format!("cut_out = '{opens}'"));
        case.load().wholes_at("switch-short", &PLACES).remove(0)
    };
    assert_eq!(at("260 °C").verdict, Verdict::Pass);
    let below = at("100 °C");
    assert_eq!(below.verdict, Verdict::Caution);
    assert!(
        below.headline.contains("counts for nothing"),
        "{}",
        below.headline
    );
    assert_eq!(at("290 °C").verdict, Verdict::Caution);
}

#[test]
fn sensor_and_heater_of_one_part_agree() {
    assert!(of(&base(), "sensor").is_none());
    let short = base().device("T1", "working_temperature = '100 °C'");
    assert_eq!(of(&short, "sensor").expect("a finding").verdict, Verdict::Caution);
    let long = base().device("T1", "working_temperature = '231 °C'");
    assert_eq!(of(&long, "sensor").expect("a finding").verdict, Verdict::Caution);
}

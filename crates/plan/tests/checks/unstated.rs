//! `unstated`: a fact that nobody stated, and without which another check says nothing, is asked for by name.

use crate::support::Case;
use plan::{Finding, Verdict};

const PLACES: [(&str, &str); 4] = [("H1", "HEAT1"), ("MX", "M1"), ("LS", "LIGHT"), ("F1", "FAN1")];

fn found(case: &Case) -> Vec<Finding> {
    case.load().wholes_at("unstated", &PLACES)
}

/// What is asked for, each as "`key` of NAMES".
fn asked(case: &Case) -> Vec<String> {
    let findings = found(case);
    let open = findings.iter().filter(|finding| finding.verdict != Verdict::Pass);
    open.map(|finding| {
        assert_eq!(finding.verdict, Verdict::Caution, "{}", finding.headline);
        assert!(finding.asks && finding.remedy.is_some());
        let (what, _) = finding
            .headline
            .split_once(" is not stated")
            .expect("who lacks what");
        what.to_owned()
    })
    .collect()
}

/// The base with a driver that has no heat sink.
fn bare() -> Case {
    Case::new().driver("D1", "heat_sink = false")
}

#[test]
fn a_description_with_every_fact_passes() {
    let findings = found(&Case::new());
    assert_eq!(findings.len(), 1, "{:?}", asked(&Case::new()));
    assert_eq!(findings[0].verdict, Verdict::Pass);
}

#[test]
fn each_fact_is_asked_for_by_its_key_and_who_lacks_it() {
    let (motor, driver) = ("[[device]]\ntag = \"MX\"", "[[driver]]\nname = \"D1\"");
    let (heater, light) = ("[[port]]\nname = \"HEAT1\"", "[[port]]\nname = \"LIGHT\"");
    for (file, head, key, who) in [
        ("machine.toml", motor, "resistance", "MX"),
        ("machine.toml", motor, "inductance", "MX"),
        ("machine.toml", motor, "holding_torque", "MX"),
        ("new.toml", driver, "on_resistance", "D1"),
        ("new.toml", driver, "thermal_resistance", "D1"),
        ("new.toml", heater, "switch_resistance", "HEAT1 (H1)"),
        ("new.toml", light, "rail", "LIGHT (LS)"),
    ] {
        let asked = asked(&bare().without_line(file, head, key));
        let wanted = format!("`{key}` of {who}");
        assert!(
            asked.len() == 1 && asked[0].starts_with(&wanted),
            "{key}: {asked:?}"
        );
    }
}

/// A heat sink that is fitted counts with its own figure, and the bare one stands in for it.
#[test]
fn the_thermal_resistance_of_a_heat_sink_will_do() {
    let head = "[[driver]]\nname = \"D1\"";
    let sink = Case::new().without_line("new.toml", head, "thermal_resistance");
    assert!(asked(&sink).is_empty());
    assert_eq!(asked(&sink.clone().driver("D1", "heat_sink = false")).len(), 1);
    let neither = sink.without_line("new.toml", head, "thermal_resistance_with_sink");
    assert_eq!(asked(&neither), ["`thermal_resistance` of D1"]);
}

/// What feeds the processor draws something.
#[test]
fn the_board_itself_draws_from_the_rail_of_its_processor() {
    let none = Case::new().without_line("new.toml", "[rails.\"3.3V\"]", "board_current");
    assert_eq!(asked(&none), ["`board_current` of 3.3V"]);
    let other = Case::new().without_line("new.toml", "[rails.5V]", "board_current");
    assert!(asked(&other).is_empty());
}

/// What is not connected is asked for nothing.
#[test]
fn unused_parts_may_stay_unknown() {
    let case = Case::new().without_line("new.toml", "[[driver]]\nname = \"D1\"", "on_resistance");
    let findings = case.load().wholes_at("unstated", &[("H1", "HEAT1")]);
    assert_eq!(findings[0].verdict, Verdict::Pass, "{}", findings[0].headline);
}

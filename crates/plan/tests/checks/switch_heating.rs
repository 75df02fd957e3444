//! `switch-heating`: loss and junction temperature.

use crate::support::Case;
use plan::Verdict;

/// I² R: 10 A through 5 mΩ are 0.5 W; the on-resistance rises 1.5 to 1.8 times from 25 °C to 125 °C (data sheets of
/// power MOSFETs, from memory).
#[test]
fn the_loss_is_that_of_a_hot_switch() {
    let case = Case::new()
        .device("H2", "power = '240 W'")
        .device("H2", "element = 'alloy'")
        .port("BED", "switch_resistance = '5 mΩ'");
    let finding = case.pair("switch-heating", "H2", "BED");
    let loss = &finding.working[1].result;
    assert!(
        (loss.low - 0.5 * 1.5).abs() < 1e-9 && (loss.high - 0.5 * 1.8).abs() < 1e-9,
        "{loss}"
    );
    // 0.9 W over 70 K/W at the worst; 40 °C in the case leave 60 K to 100 °C.
    assert!((finding.value.expect("a rise").high - 0.9 * 70.0).abs() < 1e-9);
    let junction = &finding.working[2].result;
    assert!((junction.high - 273.15 - (40.0 + 0.9 * 70.0)).abs() < 1e-9);
    assert_eq!(finding.verdict, Verdict::Caution);
}

/// 40 W at 24 V: 1.6667 A. A caution counts the worst end of what is assumed, 40 °C + I² · R · 1.8 · 70 K/W; a refusal its middle,
/// 1.65 and 50 K/W.
#[test]
fn a_switch_is_held_at_its_limits() {
    let at = |line: &str| {
        Case::new()
            .port("HEAT1", line)
            .pair("switch-heating", "H1", "HEAT1")
            .verdict
    };
    // 100 °C is reached at 0.171429 Ω, 125 °C at 0.370909 Ω.
    assert_eq!(at("switch_resistance = '171.4 mΩ'"), Verdict::Pass);
    assert_eq!(at("switch_resistance = '171.5 mΩ'"), Verdict::Caution);
    assert_eq!(at("switch_resistance = '370.8 mΩ'"), Verdict::Caution);
    assert_eq!(at("switch_resistance = '171 mΩ ± 1 %'"), Verdict::Caution);
}

/// A copper track has 1 + 0.00393/K · 80 K = 1.3144 times its resistance at 100 °C (IEC 60028).
#[test]
fn a_copper_track_warms_the_switch_less_once_it_is_hot() {
    let finding = Case::new().pair("switch-heating", "H2", "BED");
    let current = finding.working[1].inputs[0].value.nominal;
    assert!((current - 8.0 / 1.3144).abs() < 1e-9, "{current}");
}

#[test]
fn a_heater_that_would_cook_the_switch_goes_over_an_external_one() {
    let case = Case::new().port("HEAT1", "switch_resistance = '371 mΩ'");
    assert!(case.load().pairs("switch-heating", "H1", "HEAT1").is_empty());
    let finding = case.pair("port-current", "H1", "HEAT1");
    assert_eq!(finding.parts[0].name, "external heater switch");
    assert!(finding.headline.contains("too hot"), "{}", finding.headline);
}

#[test]
fn a_fan_that_would_cook_the_switch_is_refused() {
    // 1 A: 85 K over 1.65 · 50 K/W are reached at 1.0303 Ω.
    let at = |line: &str| {
        Case::new()
            .device("F1", "current = '1 A'")
            .port("FAN1", line)
            .pair("switch-heating", "F1", "FAN1")
            .verdict
    };
    assert_eq!(at("switch_resistance = '1.03 Ω'"), Verdict::Caution);
    assert_eq!(at("switch_resistance = '1.031 Ω'"), Verdict::Blocker);
}

#[test]
fn an_unknown_switch_is_named_where_heat_matters() {
    let unknown =
        |case: Case| case.without_line("new.toml", "[[port]]\nname = \"HEAT1\"", "switch_resistance");
    let finding = unknown(Case::new()).pair("switch-heating", "H1", "HEAT1");
    assert_eq!(finding.verdict, Verdict::Note);
}

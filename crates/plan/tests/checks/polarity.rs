//! `polarity`: what a plug meets that is put over as it is.

use crate::support::Case;
use plan::Verdict;

fn verdict(case: &Case, tag: &str, port: &str) -> Verdict {
    case.pair("polarity", tag, port).verdict
}

#[test]
fn a_fan_is_caught_when_its_poles_would_be_swapped() {
    assert_eq!(verdict(&Case::new(), "F1", "FAN1"), Verdict::Pass);
    let swapped = Case::new().port("FAN1", "pins = ['switched -', '+']");
    let finding = swapped.pair("polarity", "F1", "FAN1");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding
            .headline
            .contains("Wire 1 (+) would meet pin 1 (switched -)"),
        "{}",
        finding.headline
    );
    // The pair is not refused: the contacts can be moved.
    assert!(swapped.load().plan().ways[Case::new().load().id("F1").0].is_some());
}

#[test]
fn a_supply_on_a_signal_is_caught() {
    let case = Case::new().port("PROBE", "pins = ['+', 'signal', 'control', '-']");
    assert_eq!(verdict(&case, "BP", "PROBE"), Verdict::Caution);
}

#[test]
fn what_has_no_poles_or_gets_a_new_plug_cannot_be_put_on_wrongly() {
    let loaded = Case::new().load();
    assert!(loaded.pairs("polarity", "T1", "TH1").is_empty());
    assert!(loaded.pairs("polarity", "H1", "HEAT1").is_empty());
    let crimped = Case::new()
        .port("FAN1", "connector = 'crimp 2.0 mm'")
        .port("FAN1", "pins = ['switched -', '+']");
    assert!(crimped.load().pairs("polarity", "F1", "FAN1").is_empty());
}

#[test]
fn the_supply_is_warned_of_when_its_terminals_changed_places() {
    assert_eq!(verdict(&Case::new(), "PS", "POWER"), Verdict::Pass);
    let turned = Case::new().port("POWER", "pins = ['-', '+']");
    assert_eq!(verdict(&turned, "PS", "POWER"), Verdict::Caution);
}

/// Wires that go on one by one, and look alike.
#[test]
fn wires_that_look_alike_are_told_apart_before_they_come_off() {
    let found = |case: &Case, tag: &str, port: &str| {
        let all = case.load().pairs("polarity", tag, port);
        all.into_iter()
            .any(|finding| finding.id == format!("polarity:{tag}-colours"))
    };
    for (colours, expected) in [
        ("['BK', 'BK']", true),
        ("['RD', 'BK']", false),
        ("['--', '--']", false),
    ] {
        let case = Case::new().cable("PS", &format!("colours = {colours}"));
        assert_eq!(found(&case, "PS", "POWER"), expected, "{colours}");
    }
    // A plug that goes on as it is needs no colours; one that is made anew does.
    let fan = Case::new().cable("F1", "colours = ['BK', 'BK']");
    assert!(!found(&fan, "F1", "FAN1"));
    let crimped = fan.port("FAN1", "connector = 'crimp 2.0 mm'");
    assert!(found(&crimped, "F1", "FAN1"));
}

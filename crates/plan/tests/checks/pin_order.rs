//! `pin-order`: wires without a pin, contacts that move.

use crate::support::Case;
use plan::Verdict;

#[test]
fn straight_moved_and_missing() {
    let straight = Case::new().pair("pin-order", "F1", "FAN1");
    assert_eq!(straight.verdict, Verdict::Pass);
    let moved = Case::new()
        .port("FAN1", "pins = ['switched -', '+']")
        .pair("pin-order", "F1", "FAN1");
    assert_eq!(moved.verdict, Verdict::Note);
    assert!(moved.headline.contains("1→2, 2→1"), "{}", moved.headline);
    // The filament switch needs 5 V; IN1 has no pin for it.
    let missing = Case::new().pair("pin-order", "FS", "IN1");
    assert_eq!(missing.verdict, Verdict::Blocker);
    assert!(missing.headline.contains("wire 1 (+)"), "{}", missing.headline);
}

#[test]
fn the_speed_wire_of_a_fan_may_stay_out() {
    let case = Case::new()
        .cable("F1", "pins = ['-', '+', 'signal']")
        .old_port("FAN", "pins = ['switched -', '+', 'signal']")
        .old_port("FAN", "role = 'switched output'");
    let findings = case.load().pairs("pin-order", "F1", "FAN1");
    assert_eq!(findings[0].verdict, Verdict::Note);
    assert!(findings.iter().all(|finding| finding.verdict <= Verdict::Note));
}

#[test]
fn two_wires_of_one_pole_share_a_pin() {
    let case = Case::new().cable("PS", "pins = ['+', '+', '-', '-']");
    let case = case.old_port("POWER", "pins = ['+', '+', '-', '-']");
    let findings = case.load().pairs("pin-order", "PS", "POWER");
    assert!(!findings.is_empty());
    assert!(
        findings.iter().all(|finding| finding.verdict <= Verdict::Note),
        "{findings:#?}"
    );
}

#[test]
fn contacts_that_cannot_be_moved_need_an_adaptor() {
    let family = catalogue::built_in()
        .connectors()
        .families()
        .rows()
        .iter()
        .find(|row| !row.removable && row.termination == catalogue::Termination::Displacement)
        .expect("a ribbon connector");
    let connector = format!("connector = '{}'", family.name);
    let case = Case::new()
        .cable("PA", &connector)
        .port("PANEL", &connector)
        .port("PANEL", "pins = ['-', '+', 'transmit', 'receive']");
    let finding = case.pair("pin-order", "PA", "PANEL");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert_eq!(finding.parts[0].name, "connector adaptor");
}

#[test]
fn a_plus_wire_that_goes_to_a_converter_is_not_missed() {
    let case = Case::new().device("F1", "voltage = '12 V'").load();
    let way = case.ways("F1", "FAN1")[1];
    let findings = case.pairs_in("pin-order", "F1", way);
    assert!(!findings.is_empty());
    assert!(
        findings.iter().all(|finding| finding.verdict <= Verdict::Note),
        "{findings:#?}"
    );
}

#[test]
fn a_plug_that_is_made_anew_has_no_contacts_to_move() {
    let told = |case: Case| case.pair("pin-order", "F1", "FAN1").headline;
    // Another number of contacts is another housing, though its family is the same.
    let larger = told(Case::new().port("FAN1", "pins = ['switched -', '+', 'unused']"));
    assert!(larger.contains("re-terminated"), "{larger}");
    // So is another family with the same number of contacts.
    let other = Case::new()
        .port("FAN1", "pins = ['switched -', '+']")
        .port("FAN1", "connector = 'screw terminal 5.0 mm'");
    let other = told(other);
    assert!(other.contains("re-terminated"), "{other}");
}

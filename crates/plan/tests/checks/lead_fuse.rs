//! `lead-fuse`: fuse, supply and rails in front of wires.

use crate::support::Case;
use plan::{Finding, Verdict};

fn findings(case: &Case) -> Vec<Finding> {
    let places = [("PS", "POWER"), ("H1", "HEAT1"), ("F1", "FAN1"), ("PA", "PANEL")];
    case.load().wholes_at("lead-fuse", &places)
}

fn heater(fuse: &str) -> Finding {
    let case = Case::new().board("[input]", &format!("fuse = '{fuse}'"));
    findings(&case).remove(0)
}

/// IEC 60364-4-43, 433.1 (from memory): the fuse opens for sure at 1.35 times its rating, which must stay below 1.45 times what the
/// wire bears. 20 AWG bears 4.9 A in a bundle: a fuse of 5.26 A just protects it.
#[test]
fn a_fuse_protects_a_wire_up_to_the_standards_share() {
    assert_eq!(heater("5.26 A").verdict, Verdict::Pass);
    assert_eq!(heater("5.27 A").verdict, Verdict::Caution);
}

#[test]
fn the_remedy_names_a_fuse_between_load_and_wire() {
    // 1.667 A of load ask for 2.22 A, and 3 A are made.
    let finding = heater("20 A");
    assert_eq!(finding.parts[0].words(), "fuse holder with blade fuse, 3 A");
    let remedy = finding.remedy.expect("a remedy");
    assert!(remedy.contains("blade fuse of 3 A"), "{remedy}");
    // 26 AWG bears 1.7 A in a bundle and 2.6 A by itself: 3 A are too much either way.
    let thin = Case::new().cable("H1", "wire = '26 AWG'");
    let finding = &findings(&thin)[0];
    assert!(finding.parts.is_empty(), "what fits nowhere is in no list");
    let remedy = finding.remedy.clone().expect("a remedy");
    assert!(
        remedy.contains("make the cable of 23 AWG, then fuse it with 3 A"),
        "{remedy}"
    );
    assert!(!remedy.contains("apart"), "{remedy}");
    // 25 AWG bears 2.1 A in a bundle, 3.2 A by itself: there a fuse of 3 A fits.
    let alone = Case::new().cable("H1", "wire = '25 AWG'");
    let remedy = findings(&alone)[0].remedy.clone().expect("a remedy");
    assert!(
        remedy.contains("keep it apart") && remedy.contains("a fuse of 3 A fits"),
        "{remedy}"
    );
}

#[test]
fn a_weak_supply_protects_by_its_limit() {
    // 120 W: 5 A, at most 7.5 A into a short circuit; 4.9 A bear 7.1 A for a while, 18 AWG much more.
    let weak = Case::new().device("PS", "power = '120 W'");
    assert_eq!(findings(&weak)[0].verdict, Verdict::Caution);
    let thick = weak.cable("H1", "wire = '18 AWG'");
    let finding = &findings(&thick)[0];
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!(finding.headline.contains("supply"), "{}", finding.headline);
}

#[test]
fn thin_leads_are_told_together() {
    let findings = findings(&Case::new());
    let thin = findings.last().expect("a finding about thin leads");
    assert_eq!(thin.verdict, Verdict::Caution);
    assert!(
        thin.headline.contains("24 AWG: ") && thin.headline.contains("F1") && thin.headline.contains("PA")
    );
    assert!(!thin.headline.contains("H1"));
}

/// The rating of a rail that a supply outside feeds limits nothing: only that supply does, where it is described.
#[test]
fn a_rail_from_outside_protects_by_its_supply_alone() {
    let outside = Case::new()
        .board("[rails.12V]", "source = 'external'")
        .device("H1", "voltage = '12 V'")
        .device("H1", "power = '20 W'")
        .port("HEAT1", "rail = '12V'");
    let finding = &findings(&outside)[0];
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding.headline.starts_with("nothing that is described"),
        "{}",
        finding.headline
    );
    assert_eq!(finding.parts.len(), 1, "a fuse is added: {finding:#?}");
    // 36 W at 12 V: 3 A, at most 4.5 A, and 20 AWG bears 7.1 A for a while.
    let second = "[[device]]\ntag = 'P2'\nname = 'second supply'\nkind = 'supply'\nvoltage = '12 V'\npower = '36 W'\n\
        cable = { connector = 'open wire', pins = ['+', '-'], wire = '18 AWG', length = '300 mm' }\n";
    let described = outside.clone().add("machine.toml", second);
    let finding = &findings(&described)[0];
    assert_eq!(finding.verdict, Verdict::Pass, "{finding:#?}");
    assert!(
        finding.headline.contains("the limit of the supply"),
        "{}",
        finding.headline
    );
    // One of another voltage feeds another rail.
    let other = outside.add("machine.toml", &second.replace("12 V", "5 V"));
    assert_eq!(findings(&other)[0].verdict, Verdict::Caution);
}

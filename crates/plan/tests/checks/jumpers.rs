//! `jumpers`: which rail, for whom.

use crate::support::Case;
use plan::Verdict;

#[test]
fn a_jumper_goes_where_its_device_wants_it() {
    let case = Case::new().device("F2", "voltage = '12 V'").load();
    let findings = case.wholes("jumpers");
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].verdict, Verdict::Note);
    assert!(
        findings[0].headline.contains("J1 goes on 12V (12 V) for F2"),
        "{}",
        findings[0].headline
    );
}

#[test]
fn an_empty_port_on_the_same_jumper_is_named() {
    let case = Case::new().port("FAN1", "jumper = 'J1'").without_line(
        "new.toml",
        "[[port]]\nname = \"FAN1\"",
        "rail",
    );
    let findings = case.load().wholes_at("jumpers", &[("F1", "FAN2")]);
    assert!(
        findings[0].headline.ends_with("FAN1 carries it too"),
        "{}",
        findings[0].headline
    );
}

#[test]
fn two_rails_at_once_cannot_be() {
    let case = Case::new()
        .port("FAN1", "jumper = 'J1'")
        .without_line("new.toml", "[[port]]\nname = \"FAN1\"", "rail")
        .device("F2", "voltage = '12 V'")
        .load();
    let mut ways = vec![None; case.swap.machine.devices.len()];
    ways[case.id("F1").0] = Some(case.ways("F1", "FAN1")[0]);
    ways[case.id("F2").0] = Some(case.ways("F2", "FAN2")[1]);
    let findings = case.wholes_of("jumpers", &ways);
    assert_eq!(findings[0].verdict, Verdict::Blocker);
    // The plan finds another way.
    assert!(
        case.wholes("jumpers")
            .iter()
            .all(|finding| finding.verdict == Verdict::Note)
    );
}

#[test]
fn an_unused_jumper_is_not_mentioned() {
    assert!(
        Case::new()
            .load()
            .wholes_at("jumpers", &[("F1", "FAN1")])
            .is_empty()
    );
}

const OTHER: &str = "[[jumper]]\nname = 'JU'\npurpose = 'supplies the processor from USB'\n";

/// What a jumper of another purpose does is said with its position; without one nobody knows.
#[test]
fn a_jumper_of_another_purpose() {
    let said = |more: &str| {
        let findings = Case::new()
            .add("new.toml", &format!("{OTHER}{more}"))
            .load()
            .wholes("jumpers");
        let own = findings
            .into_iter()
            .find(|finding| finding.headline.contains("JU"));
        own.expect("a finding about it")
    };
    let set = said("position = 'off'\n");
    assert_eq!(set.verdict, Verdict::Note);
    assert!(
        set.headline.contains("stands at off: it supplies"),
        "{}",
        set.headline
    );
    assert_eq!(said("").verdict, Verdict::Caution);
}

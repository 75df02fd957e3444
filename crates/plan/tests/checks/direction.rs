//! `direction`: predicted from coils, socket and driver.

use crate::support::Case;
use plan::Verdict;

fn socket(pins: &str) -> Case {
    Case::new().port("M1", &format!("pins = [{pins}]"))
}

#[test]
fn two_changes_cancel() {
    let base = Case::new();
    assert_eq!(base.pair("direction", "MX", "M1").verdict, Verdict::Pass);
    let crossed = socket("'B1', 'B2', 'A1', 'A2'");
    let finding = crossed.pair("direction", "MX", "M1");
    assert_eq!(finding.verdict, Verdict::Note);
    assert!(
        finding.headline.contains("becomes reversed"),
        "{}",
        finding.headline
    );
    let turned = crossed.driver("D1", "turn = 'reversed'");
    assert_eq!(turned.pair("direction", "MX", "M1").verdict, Verdict::Pass);
}

#[test]
fn coils_across_phases_are_moved() {
    let loaded = socket("'A1', 'B1', 'A2', 'B2'").load();
    let findings = loaded.pairs("direction", "MX", "M1");
    assert_eq!(findings.len(), 2, "{findings:#?}");
    assert_eq!(findings[0].verdict, Verdict::Caution);
    // A plug that is made anew follows the socket: then there is nothing to warn of.
    let other = socket("'A1', 'B1', 'A2', 'B2'").port("M1", "connector = 'crimp 2.0 mm'");
    assert_eq!(other.load().pairs("direction", "MX", "M1").len(), 1);
}

#[test]
fn what_is_not_known_is_said() {
    let unknown = Case::new().without_line("machine.toml", "[[axis]]\nname = \"X\"", "old_direction");
    let finding = unknown.pair("direction", "MX", "M1");
    assert_eq!(finding.verdict, Verdict::Note);
    assert!(finding.headline.contains("not known"), "{}", finding.headline);
    let new = Case::new().lead_without("MX", "old_port");
    assert!(new.pair("direction", "MX", "M1").headline.contains("new"));
}

//! `exclusions`: by word and by pin.

use crate::support::Case;
use plan::Verdict;

#[test]
fn a_shared_pin_keeps_the_other_port_empty() {
    let case = Case::new().port("IN1", "processor_pin = 'S15'").load();
    let used = case.wholes_at("exclusions", &[("BP", "PROBE")]);
    assert_eq!(used.len(), 1);
    assert_eq!(used[0].verdict, Verdict::Note);
    assert!(used[0].headline.contains("IN1 must stay empty") && used[0].headline.contains("S15"));
    let both = case.wholes_at("exclusions", &[("BP", "PROBE"), ("LX", "IN1")]);
    assert_eq!(both.len(), 1);
    assert_eq!(both[0].verdict, Verdict::Blocker);
}

#[test]
fn a_word_in_the_file_counts_both_ways() {
    let case = Case::new().port("IN1", "excludes = ['PROBE']").load();
    for places in [[("BP", "PROBE")], [("LX", "IN1")]] {
        assert_eq!(case.wholes_at("exclusions", &places)[0].verdict, Verdict::Note);
    }
}

#[test]
fn the_plan_never_uses_both() {
    let case = Case::new()
        .port("IN1", "excludes = ['PROBE']")
        .port("IN2", "excludes = ['PROBE']");
    let findings = case.load().wholes("exclusions");
    assert!(findings.iter().all(|finding| finding.verdict <= Verdict::Note));
    assert_eq!(Case::new().whole("exclusions").verdict, Verdict::Pass);
}

//! `lead-reach`: old way and reserve against the new way.

use crate::support::Case;
use plan::Verdict;

#[test]
fn a_lead_reaches_as_far_as_it_did_and_80_mm_more() {
    // The boards lie alike, so the ways differ just by the places of the ports: 48 mm and x.
    let at = |x: &str| {
        Case::new()
            .port("FAN1", &format!("at = ['{x}', '77 mm']"))
            .pair("lead-reach", "F1", "FAN1")
    };
    // Farther from the entry at the right wall by up to 80 mm: not possible on this board to the left, so the reserve is used up by hand.
    let same = at("48 mm");
    assert_eq!(same.verdict, Verdict::Pass);
    let value = same.value.expect("a way").nominal;
    assert!((same.limit.expect("a limit").bound.nominal - value - 0.080).abs() < 1e-12);
    let near = Case::new()
        .old_port("FAN", "at = ['108 mm', '56 mm']")
        .pair("lead-reach", "F1", "FAN1");
    assert_eq!(near.verdict, Verdict::Caution);
    // 60 mm to the left and 21 mm up: 1 mm too far.
    assert!(near.remedy.is_some_and(|remedy| remedy.contains("1 mm")));
}

#[test]
fn a_new_lead_is_cut_to_length() {
    assert!(Case::new().load().pairs("lead-reach", "BP", "PROBE").is_empty());
}

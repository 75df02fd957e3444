//! `wire-fit`: wires against the range of the new contact.

use crate::support::Case;
use plan::{Finding, Verdict};

/// 2.5 mm crimp contacts take 30 AWG to 22 AWG (crimp-2-5-data-sheet).
#[test]
fn a_new_crimp_takes_only_its_range() {
    let at = |wire: &str| -> Finding {
        let case = Case::new()
            .cable("F1", "connector = 'crimp 2.0 mm'")
            .cable("F1", &format!("wire = '{wire}'"));
        let mut found = case.load().pairs("wire-fit", "F1", "FAN1");
        found.retain(|finding| !finding.id.ends_with("own-plug"));
        found.remove(0)
    };
    assert_eq!(at("22 AWG").verdict, Verdict::Pass);
    assert_eq!(at("30 AWG").verdict, Verdict::Pass);
    let thick = at("20 AWG");
    assert_eq!(thick.verdict, Verdict::Caution);
    assert_eq!(thick.parts[0].name, "splice");
    assert_eq!(at("32 AWG").verdict, Verdict::Caution);
}

#[test]
fn a_clamp_takes_what_the_trade_pairs_with_its_gauge() {
    let at = |wire: &str| {
        Case::new()
            .cable("H2", &format!("wire = '{wire}'"))
            .pair("wire-fit", "H2", "BED")
    };
    // 2.5 mm² is sold for terminals of 14 AWG.
    assert_eq!(at("2.5 mm²").verdict, Verdict::Pass);
    let thick = at("4 mm²");
    assert_eq!(thick.verdict, Verdict::Caution);
    assert!(thick.parts.is_empty());
}

#[test]
fn a_plug_that_is_put_over_has_its_contacts_already() {
    let case = Case::new().load();
    assert!(case.pairs("wire-fit", "F1", "FAN1").is_empty());
}

/// A contact of a 2.5 mm crimp takes 30 AWG to 22 AWG: what says that 18 AWG are in it is wrong about one of the two.
#[test]
fn wires_are_held_against_their_own_plug() {
    let own = |wire: &str| {
        let case = Case::new().cable("F1", &format!("wire = '{wire}'"));
        case.load().pairs("wire-fit", "F1", "FAN1")
    };
    for wire in ["18 AWG", "34 AWG"] {
        let found = own(wire);
        assert_eq!(found[0].id, "wire-fit:F1-own-plug");
        assert_eq!(found[0].verdict, Verdict::Caution);
    }
    assert!(own("22 AWG").is_empty() && own("30 AWG").is_empty());
    // A plug that comes off takes its fault along.
    let off = Case::new()
        .cable("F1", "connector = 'crimp 2.0 mm'")
        .cable("F1", "wire = '18 AWG'");
    assert_eq!(
        off.load().pairs("wire-fit", "F1", "FAN1")[0].verdict,
        Verdict::Note
    );
}

/// A tail carries all of the current: 22 AWG by itself bears 3.6 A / 0.65 (IEC 60204-1 and IEC 60364-5-52, from memory), not 8 A.
#[test]
fn a_tail_that_does_not_bear_the_current_mends_nothing() {
    let bed = |power: &str| {
        let case = Case::new()
            .device("H2", power)
            .port("BED", "connector = 'crimp 2.5 mm'")
            .cable("H2", "connector = 'crimp 3.96 mm'")
            .cable("H2", "wire = '14 AWG'");
        let mut found = case.load().pairs("wire-fit", "H2", "BED");
        found.retain(|finding| !finding.id.ends_with("own-plug"));
        found
    };
    let light = bed("power = '48 W'").remove(0);
    assert_eq!(light.verdict, Verdict::Caution);
    assert_eq!(light.parts[0].words(), "splice, 22 AWG");
    // Above the contact it goes over an external switch, whose terminals take it.
    assert!(bed("power = '192 W'").is_empty());
}

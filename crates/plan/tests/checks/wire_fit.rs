//! `wire-fit`: wires against the range of the new contact.

use crate::support::Case;
use plan::{Finding, Verdict};

/// 2.5 mm crimp contacts take 30 AWG to 22 AWG (crimp-2-5-data-sheet).
#[test]
fn a_new_crimp_takes_only_its_range() {
    let at = |wire: &str| -> Finding {
        Case::new()
            .cable("F1", "connector = 'crimp 2.0 mm'")
            .cable("F1", &format!("wire = '{wire}'"))
            .pair("wire-fit", "F1", "FAN1")
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
fn a_plug_that_is_put_over_is_not_asked() {
    let case = Case::new().cable("F1", "wire = '18 AWG'").load();
    assert!(case.pairs("wire-fit", "F1", "FAN1").is_empty());
}

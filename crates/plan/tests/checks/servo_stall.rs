//! `servo-stall`: the rail while the probe is held fast.

use crate::support::Case;
use plan::{Finding, Verdict};

fn findings(case: &Case) -> Vec<Finding> {
    case.load().wholes_at("servo-stall", &[("BP", "PROBE")])
}

#[test]
fn in_and_out_of_the_rail() {
    let at =
        |stall: &str| findings(&Case::new().device("BP", &format!("stall_current = '{stall}'"))).remove(0);
    let rated = at("0.5 A");
    assert_eq!(rated.verdict, Verdict::Pass, "{}", rated.headline);
    let (limit, value) = (
        rated.limit.expect("a limit").bound.nominal,
        rated.value.expect("a current").nominal,
    );
    let left = limit - value;
    assert!(left > 0.0);
    assert_eq!(at(&format!("{} A", 0.5 + left * 0.999)).verdict, Verdict::Pass);
    assert_eq!(at(&format!("{} A", 0.5 + left * 1.001)).verdict, Verdict::Caution);
}

/// 0.8 A through 26 AWG: 2 · 134 mΩ/m at 20 °C (wire table), so that a lead of 6 m loses more than a fifth of 5 V.
#[test]
fn a_long_thin_lead_starves_it() {
    let long = Case::new()
        .device("BP", "stall_current = '0.8 A'")
        .cable("BP", "wire = '26 AWG'")
        .cable("BP", "length = '6 m'");
    let found = findings(&long);
    assert_eq!(found[1].verdict, Verdict::Caution, "{}", found[1].headline);
    let short = Case::new()
        .device("BP", "stall_current = '0.8 A'")
        .cable("BP", "wire = '22 AWG'");
    assert_eq!(findings(&short)[1].verdict, Verdict::Pass);
}

//! `inrush`: Joule integrals and ramps.

use crate::support::Case;
use plan::{Finding, Verdict};

fn findings(case: &Case, places: &[(&str, &str)]) -> Vec<Finding> {
    case.load().wholes_at("inrush", places)
}

#[test]
fn without_capacitors_nothing_is_said() {
    assert!(findings(&Case::new(), &[("PS", "POWER"), ("LS", "LIGHT")]).is_empty());
}

/// 24 V, 1000 µF and R of supply (20 to 100 mΩ) and lead: the Joule integral U² C / (2 R) is held by a fuse of U √(C / (2 R k)) with
/// k = 3.5² · 0.04 s (ISO 8820-3, from memory).
#[test]
fn a_fuse_holds_the_joule_integral() {
    let at = |fuse: &str| {
        let case = Case::new()
            .board("[input]", "capacitance = '1000 µF'")
            .board("[input]", &format!("fuse = '{fuse}'"));
        findings(&case, &[("PS", "POWER")]).remove(0)
    };
    let found = at("15 A");
    assert_eq!(found.verdict, Verdict::Pass);
    let needed = found.value.expect("a rating").high;
    // 300 mm of 2.5 mm² out and back have 4.3 mΩ at the least: solid copper.
    let cable = 2.0 * 0.3 * 0.017_241 / 2.5;
    let expected: f64 = 24.0 * f64::sqrt(1e-3 / (2.0 * (0.020 + cable) * 0.49));
    assert!((needed / expected - 1.0).abs() < 0.01, "{needed} {expected}");
    assert_eq!(at(&format!("{} A", needed * 0.99)).verdict, Verdict::Caution);
}

/// 1000 µF from 0 V to 5 V in 1 ms at the fastest take 5 A; in 10 ms half an ampere.
#[test]
fn a_rail_charges_what_hangs_on_it() {
    let at = |time: &str| {
        let case = Case::new()
            .device("LS", "capacitance = '1000 µF'")
            .board("[rails.5V]", "voltage = '5 V'")
            .board("[rails.5V]", &format!("start_time = '{time}'"));
        findings(&case, &[("LS", "LIGHT")]).remove(0)
    };
    let fast = at("1 ms");
    assert!((fast.working[0].result.nominal - 5.0).abs() < 1e-9);
    assert_eq!(fast.verdict, Verdict::Caution);
    assert_eq!(at("10 ms").verdict, Verdict::Pass);
}

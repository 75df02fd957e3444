//! `rail-budget`: loads, the board itself, and rails that a rail feeds.

use crate::support::Case;
use plan::{Finding, Verdict};

const PLACES: [(&str, &str); 3] = [("PA", "PANEL"), ("BP", "PROBE"), ("LS", "LIGHT")];

fn rail(case: &Case, name: &str) -> Finding {
    case.load()
        .wholes_at("rail-budget", &PLACES)
        .into_iter()
        .find(|finding| finding.subject.other.as_deref() == Some(name))
        .expect("a finding about the rail")
}

/// Own use 0.05 A, panel 0.2 A, probe 0.4 A, 20 lights of 50 mA, and the 0.15 A that a linear regulator passes on.
const SUM: f64 = 0.05 + 0.2 + 0.4 + 1.0 + 0.15;

#[test]
fn all_that_hangs_on_a_rail_is_summed() {
    let finding = rail(&Case::new(), "5V");
    assert!((finding.value.expect("a current").nominal - SUM).abs() < 1e-12);
    let at = |current: f64| {
        let case = Case::new().board("[rails.5V]", &format!("current = '{current:.4} A'"));
        rail(&case, "5V").verdict
    };
    assert_eq!(at(SUM / 0.8 + 0.001), Verdict::Pass);
    assert_eq!(at(SUM / 0.8 - 0.001), Verdict::Caution);
    assert_eq!(at(SUM + 0.001), Verdict::Caution);
    assert_eq!(at(SUM - 0.001), Verdict::Blocker);
}

/// A converter passes on power: 3.3 V · 0.15 A / 0.9 at 5 V are 0.11 A.
#[test]
fn a_switching_rail_passes_on_its_power() {
    let case = Case::new()
        .board("[rails.\"3.3V\"]", "source = 'switching'")
        .board("[rails.\"3.3V\"]", "efficiency = '90 %'");
    let value = rail(&case, "5V").value.expect("a current").nominal;
    assert!((value - (SUM - 0.15 + 0.11)).abs() < 1e-9, "{value}");
}

#[test]
fn a_device_with_a_converter_of_its_own_hangs_on_no_rail() {
    let loaded = Case::new().load();
    let mut ways = vec![None; loaded.swap.machine.devices.len()];
    let own = loaded.ways("LS", "LIGHT").into_iter().find(|way| way.own_supply);
    ways[loaded.id("LS").0] = own;
    let findings = loaded.wholes_of("rail-budget", &ways);
    let finding = findings.iter().find(|finding| finding.id.contains("5V"));
    let value = finding
        .and_then(|finding| finding.value)
        .expect("a current")
        .nominal;
    assert!((value - 0.2).abs() < 1e-12, "{value}");
}

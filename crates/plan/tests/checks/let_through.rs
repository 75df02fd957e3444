//! `let-through`: the slowest fuse of its class against the wire.

use crate::support::Case;
use plan::{Finding, Verdict};

fn findings(case: &Case) -> Vec<Finding> {
    case.load()
        .wholes_at("let-through", &[("PS", "POWER"), ("H1", "HEAT1")])
}

/// 1.667 A of load ask for a blade fuse of 3 A. The supply gives 16.7 A to 25 A into a short circuit, more than 3.5 times that: it opens
/// within 0.5 s (ISO 8820-3, from memory), while 20 AWG, 0.518 mm², bears 25 A for (115 · 0.518 / 25)² = 5.7 s (IEC 60364-4-43).
#[test]
fn an_added_fuse_opens_in_time() {
    let found = findings(&Case::new());
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].verdict, Verdict::Pass);
    assert!(
        found[0].headline.contains("the blade fuse to be added of 3 A"),
        "{}",
        found[0].headline
    );
    assert!((found[0].value.expect("a time").nominal - 0.5).abs() < 1e-9);
    let bears = found[0].limit.expect("a limit").bound.nominal;
    assert!((bears / 5.7 - 1.0).abs() < 0.02, "{bears}");
}

/// A fuse of 5 A on the board: 5 A wire fault currents above 17.5 A open it in 0.5 s; a supply of 200 W gives 8.75 A at the least, at which it
/// may take 600 s, and 20 AWG bears that for 46 s only.
#[test]
fn a_weak_supply_makes_a_fuse_slow() {
    let weak = Case::new()
        .board("[input]", "fuse = '5 A'")
        .device("PS", "power = '200 W'");
    let found = findings(&weak);
    assert_eq!(found[0].verdict, Verdict::Caution, "{}", found[0].headline);
    assert!((found[0].value.expect("a time").nominal - 600.0).abs() < 1e-6);
}

#[test]
fn what_need_not_open_is_said() {
    // 100 W: 4.4 A at the least, below 1.35 times 5 A.
    let weaker = Case::new()
        .board("[input]", "fuse = '5 A'")
        .device("PS", "power = '100 W'");
    let found = findings(&weaker);
    // The limit of so weak a supply acts before the fuse, so that there is no fuse to judge, or one that need not open.
    assert!(
        found.iter().all(|finding| finding.verdict == Verdict::Note),
        "{found:#?}"
    );
}

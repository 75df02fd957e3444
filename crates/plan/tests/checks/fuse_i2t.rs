//! `fuse-i2t`: the slowest fuse of its class against the wire.

use crate::support::Case;
use plan::{Finding, Verdict};

fn findings(case: &Case) -> Vec<Finding> {
    case.load()
        .wholes_at("fuse-i2t", &[("PS", "POWER"), ("H1", "HEAT1")])
}

/// 1.667 A of load ask for a blade fuse of 3 A. The supply gives 16.7 A to 25 A into a short circuit, more than 3.5 times that: it opens
/// within 0.5 s (ISO 8820-3, from memory), while 20 AWG, 0.518 mm², bears 25 A for (115 · 0.518 / 25)² = 5.7 s (IEC 60364-4-43).
#[test]
fn an_added_fuse_opens_in_time() {
    let found = findings(&Case::new());
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].verdict, Verdict::Pass);
    assert!(
        found[0].headline.contains("the blade fuse of the plan of 3 A"),
        "{}",
        found[0].headline
    );
    assert!((found[0].value.expect("a time").nominal - 0.5).abs() < 1e-9);
    let bears = found[0].limit.expect("a limit").bound.nominal;
    assert!((bears / 5.7 - 1.0).abs() < 0.02, "{bears}");
}

/// A fuse of 5 A on the board; a supply of 200 W gives 8.75 A to 12.5 A. Just below twice its rating the fuse may take the 600 s of the row before;
/// at twice it opens within 5 s (ISO 8820-3, from memory). What takes longer than the 5 s of the adiabatic law is an overload:
/// 1.35 · 5 A / (1.45 · I_z) (IEC 60364-4-43, 433.1).
#[test]
fn what_takes_longer_than_a_short_circuit_is_an_overload() {
    let weak = Case::new()
        .board("[input]", "fuse = '5 A'")
        .device("PS", "power = '200 W'");
    let found = findings(&weak);
    assert_eq!(found[0].verdict, Verdict::Pass, "{}", found[0].headline);
    assert!(
        found[0]
            .headline
            .starts_with("just below 10 A the fuse of the board of 5 A may take 600 s"),
        "{}",
        found[0].headline
    );
    let worked = &found[0].working[0];
    let bears = worked
        .inputs
        .iter()
        .find(|input| input.symbol == "I_z")
        .expect("I_z");
    let expected = 1.35 * 5.0 / (1.45 * bears.value.low);
    let share = found[0].value.expect("a share");
    assert!((share.high - expected).abs() < 1e-9, "{share}");
    assert!(
        share.kind == quantity::Kind::Ratio,
        "no time of the adiabatic law: {share}"
    );
}

/// 22 AWG has 0.326 mm² and bears the 93.75 A of a supply of 1500 W for (115 · 0.326 / 93.75)² = 0.16 s, and no fuse is promised to open sooner than
/// 0.5 s; the 3 A to be added are the least that hold the load.
#[test]
fn a_smaller_fuse_is_asked_for_only_where_one_holds_the_load_and_helps() {
    let strong = Case::new()
        .device("PS", "power = '1500 W'")
        .cable("H1", "wire = '22 AWG'");
    let found = findings(&strong);
    assert_eq!(found[0].verdict, Verdict::Caution, "{}", found[0].headline);
    let remedy = found[0].remedy.as_deref().expect("a remedy");
    assert!(remedy.contains("no smaller fuse"), "{remedy}");
    // 15 A to 22.5 A: just below 3.5 · 5 A the fuse of the board may take 5 s, which 20 AWG bears for 11.6 s.
    let weak = Case::new()
        .board("[input]", "fuse = '5 A'")
        .device("PS", "power = '360 W'")
        .cable("H1", "wire = '20 AWG'");
    assert_eq!(findings(&weak)[0].verdict, Verdict::Pass);
}

/// 60 W draw 2.5 A and ask for a fuse of 4 A or more; 28 AWG bears less.
#[test]
fn where_no_fuse_fits_it_says_so() {
    let thin = Case::new()
        .device("H1", "power = '60 W'")
        .cable("H1", "wire = '24 AWG'");
    let found = findings(&thin);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].verdict, Verdict::Caution);
    assert!(
        found[0].headline.contains("None that carries the load"),
        "{}",
        found[0].headline
    );
}

/// A supply of 75 W gives 3.1 A, at the least 3.3 A into a short circuit: less than the 1.35 · 3 A at which the fuse of the plan is sure to open
/// (ISO 8820-3, from memory). That is no note: the wires carry it until somebody smells it.
#[test]
fn what_need_not_open_is_a_caution() {
    let weak = Case::new()
        .device("PS", "power = '75 W'")
        .cable("H1", "wire = '23 AWG'");
    let found = findings(&weak);
    assert_eq!(found[0].verdict, Verdict::Caution, "{}", found[0].headline);
    assert!(
        found[0].headline.contains("need not open"),
        "{}",
        found[0].headline
    );
}

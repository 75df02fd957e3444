//! `motor-current`: what the driver gives and what the motor bears.

use crate::support::Case;
use plan::Verdict;

fn driver(range: &str, measure: &str) -> Case {
    Case::new()
        .driver("D1", &format!("current = '{range}'"))
        .driver("D1", &format!("current_definition = '{measure}'"))
        .device("MX", "run_current = '1 A'")
}

#[test]
fn in_and_out_at_the_highest_current() {
    let check = |range: &str| driver(range, "rms").pair("motor-current", "MX", "M1").verdict;
    assert_eq!(check("0.1 A .. 1 A"), Verdict::Pass);
    assert_eq!(check("0.1 A .. 0.99 A"), Verdict::Caution);
    assert_eq!(check("0.1 A .. 0.6 A"), Verdict::Caution);
    assert_eq!(
        check("0.1 A .. 0.59 A"),
        Verdict::Blocker,
        "less than 60 % of what it shall run at"
    );
}

/// Sine: peak over the root of two. 1 A effective is 1.4142 A peak.
#[test]
fn a_peak_is_more_than_an_effective_value() {
    let check = |range: &str| driver(range, "peak").pair("motor-current", "MX", "M1");
    assert_eq!(check("0.1 A .. 1.415 A").verdict, Verdict::Pass);
    let out = check("0.1 A .. 1.414 A");
    assert_eq!(out.verdict, Verdict::Caution);
    assert!((out.working[0].result.nominal - 0.99985).abs() < 1e-4);
}

#[test]
fn a_driver_can_be_too_strong() {
    let check = |range: &str| driver(range, "rms").pair("motor-current", "MX", "M1").verdict;
    assert_eq!(check("1 A .. 4 A"), Verdict::Pass);
    assert_eq!(check("1.1 A .. 4 A"), Verdict::Caution);
    assert_eq!(check("1.6 A .. 4 A"), Verdict::Blocker, "above the rated 1.5 A");
}

#[test]
fn the_motor_has_its_rating_and_its_least() {
    let run = |current: &str| {
        let case = driver("0.1 A .. 4 A", "rms").device("MX", &format!("run_current = '{current}'"));
        case.pair("motor-current", "MX", "M1").verdict
    };
    assert_eq!(run("1.5 A"), Verdict::Pass);
    assert_eq!(run("1.51 A"), Verdict::Caution);
    assert_eq!(run("1.5 A ± 1 %"), Verdict::Caution);
    assert_eq!(run("0.9 A"), Verdict::Pass);
    assert_eq!(run("0.89 A"), Verdict::Note);
}

/// Too weak a driver hides no hot motor, and less current is the remedy of both.
#[test]
fn above_its_rating_no_more_than_that_is_asked_of_the_driver() {
    let at = |driven: &str| {
        let case = driver(driven, "rms").device("MX", "run_current = '2.4 A'");
        let found = case.load().pairs("motor-current", "MX", "M1");
        found
            .into_iter()
            .map(|finding| (finding.id, finding.verdict))
            .collect::<Vec<_>>()
    };
    let hot = ("motor-current:MX-rating".to_owned(), Verdict::Caution);
    assert_eq!(at("0.1 A .. 1.5 A"), std::slice::from_ref(&hot));
    let weak = ("motor-current:MX-M1".to_owned(), Verdict::Caution);
    assert_eq!(at("0.1 A .. 1.4 A"), [hot, weak]);
}

#[test]
fn two_motors_side_by_side_need_twice_the_current() {
    let loaded = Case::new().driver("D2", "current = '0.1 A .. 1.19 A'").load();
    let ways = loaded.ways("MZ2", "M2");
    let second = ways.iter().find(|way| way.second).expect("a Y-lead");
    let finding = &loaded.pairs_in("motor-current", "MZ2", *second)[0];
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!((finding.value.expect("a current").nominal - 1.2).abs() < 1e-12);
    let alone = ways.iter().find(|way| !way.second).expect("the first socket");
    assert_eq!(
        loaded.pairs_in("motor-current", "MZ2", *alone)[0].verdict,
        Verdict::Pass
    );
}

//! `heat-up-time`: against the closed form, with bodies, with a second body.

use crate::support::{Case, one};
use plan::{Finding, Verdict};

fn of(case: &Case) -> Finding {
    one(
        case.load().wholes_at("heat-up-time", &[("H1", "HEAT1")]),
        "heat-up-time",
    )
}

/// `C / G · ln(285.7 K / 55.7 K)` with 13 J/K and 0.14 W/K is 151.8 s (lumped body, any textbook of heat transfer); the lead makes it slower.
#[test]
fn the_worked_number() {
    let finding = of(&Case::new());
    let time = finding.value.expect("a time");
    assert!((time.low - 151.8).abs() < 0.3, "{time}");
    assert!(time.nominal >= time.low && time.high < 151.8 * 1.08, "{time}");
    let closed = finding.working.last().expect("the closed form").result.nominal;
    assert!((closed - time.nominal).abs() < 0.3, "{closed} {time}");
}

/// 235 mm square of 3 mm aluminium: 404.2 J/K (tables of solids, from memory). As a hot end it would take 31 times as long.
#[test]
fn bodies_in_place_of_a_heat_capacity() {
    let case = Case::new()
        .without_line("machine.toml", "[[device]]\ntag = \"H1\"", "heat_capacity")
        .device(
            "H1",
            "body = [{ name = 'plate', material = 'aluminium', size = ['235 mm', '235 mm', '3 mm'] }]",
        );
    let finding = of(&case);
    let time = finding.value.expect("a time");
    assert!((time.low / 151.8 - 404.2 / 13.0).abs() < 0.1, "{time}");
    assert_eq!(finding.verdict, Verdict::Note, "more than five minutes");
    assert_eq!(finding.working[0].formula.id, "slab-capacity");
}

#[test]
fn a_second_body_makes_it_slower() {
    let case = Case::new()
        .device("H1", "coupling = '0.05 W/K'")
        .device("H1", "second_conductance = '0.001 W/K'")
        .device("H1", "second_capacity = '5 J/K'");
    let finding = of(&case);
    assert!(finding.value.expect("a time").low > 160.0);
    assert!(
        finding.headline.contains("The second body is then"),
        "{}",
        finding.headline
    );
    assert_eq!(
        finding.working.last().expect("a working").formula.id,
        "two-bodies"
    );
}

#[test]
fn what_never_gets_there_at_a_corner_says_so() {
    let case = Case::new().device("H1", "thermal_conductance = '0.14 W/K ± 40 %'");
    let finding = of(&case);
    assert_eq!(finding.verdict, Verdict::Note);
    assert!(finding.margin.is_some_and(|margin| margin < 0.0), "{finding:?}");
    assert!(finding.headline.contains("never"), "{}", finding.headline);
}

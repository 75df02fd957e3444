//! `protection-window`: where there is one, where there is none, and up to which temperature.

use crate::support::{Case, one};
use plan::{Finding, Verdict};

fn of(case: &Case, what: &str) -> Finding {
    let findings = case
        .load()
        .wholes_at("protection-window", &[("H1", "HEAT1"), ("T1", "TH1")]);
    let of = |finding: &Finding| finding.subject.other.as_deref() == Some(what);
    one(findings.into_iter().filter(of).collect(), what)
}

/// Just below 250 °C this part rises by (305.7 − 248) K · (1 − exp(−t · 0.14 / 13)) (lumped body, any textbook of heat transfer).
#[test]
fn a_healthy_part_has_both_windows() {
    let rise = of(&Case::new(), "heat-up");
    assert_eq!(rise.verdict, Verdict::Pass, "{}", rise.headline);
    let healthy = &rise.working[0];
    let time = healthy.inputs.last().expect("the time").value.nominal;
    let expected = (healthy_end() - 248.0) * (1.0 - (-time * 0.14 / 13.0_f64).exp());
    assert!(
        (healthy.result.nominal - expected).abs() < expected * 0.1,
        "{} against {expected}",
        healthy.result
    );
    let fall = of(&Case::new(), "holding");
    assert_eq!(fall.verdict, Verdict::Pass, "{}", fall.headline);
    assert!(
        fall.headline.contains("12.0 K below its goal"),
        "{}",
        fall.headline
    );
}

/// A thermometer that slips out just below the goal leaves the heater on from there, not from the room: harm counts from how hot the part is
/// then, ahead of its reading by the dead time, and the window is told by that.
#[test]
fn a_slip_on_the_way_counts_from_where_the_part_is() {
    let finding = of(
        &Case::new().device("H1", "temperature_limit = '275 °C'"),
        "heat-up",
    );
    assert!(
        finding.headline.contains("just as it reads 250 °C"),
        "{}",
        finding.headline
    );
    let harm = finding.working.last().expect("when harm begins");
    let start = harm
        .inputs
        .iter()
        .find(|input| input.symbol == "ϑ₀")
        .expect("a start");
    assert!(start.value.nominal > 250.0 + 273.15, "{}", start.value.nominal);
    let [.., noticed, _, _] = finding.working.as_slice() else {
        panic!("four lines of working");
    };
    let room = harm.result.nominal / noticed.result.nominal / 1.5 - 1.0;
    assert!((finding.margin.expect("a margin") - room).abs() < 1e-9, "{room}");
    let tighter = of(
        &Case::new().device("H1", "temperature_limit = '254 °C'"),
        "heat-up",
    );
    assert_eq!(tighter.verdict, Verdict::Caution, "{}", tighter.headline);
}

fn healthy_end() -> f64 {
    20.0 + 40.0 / 0.14
}

#[test]
fn a_part_that_hardly_gets_there_has_no_watch_over_its_heat_up() {
    let finding = of(
        &Case::new()
            .device("H1", "working_temperature = '304 °C'")
            .device("H1", "temperature_limit = '400 °C'"),
        "heat-up",
    );
    assert_eq!(finding.verdict, Verdict::Caution);
    let remedy = finding.remedy.expect("a remedy");
    assert!(remedy.contains("ask for no more than"), "{remedy}");
}

#[test]
fn a_weak_part_just_above_the_work_leaves_no_time() {
    let with = |bears: &str| {
        of(
            &Case::new().device("H1", &format!("temperature_limit = '{bears}'")),
            "holding",
        )
        .verdict
    };
    assert_eq!(with("275 °C"), Verdict::Pass);
    assert_eq!(with("254 °C"), Verdict::Caution);
}

#[test]
fn without_the_body_it_says_so() {
    let case = Case::new().without_line("machine.toml", "[[device]]\ntag = \"H1\"", "heat_capacity");
    assert_eq!(of(&case, "windows").verdict, Verdict::Note);
}

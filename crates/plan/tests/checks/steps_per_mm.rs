//! `steps-per-mm`: the usual drives.

use crate::support::Case;
use plan::{Finding, Verdict};

fn of(case: &Case, axis: &str) -> Finding {
    let findings = case.load().wholes("steps-per-mm");
    let found = findings
        .into_iter()
        .find(|finding| finding.subject.other.as_deref() == Some(axis));
    found.expect("the axis")
}

/// Algebra of the drives: a belt of 2 mm on 20 teeth at 1/16 makes 80 step/mm, on 16 teeth 100, with a motor of 0.9° 160; a screw
/// of 8 mm 400, of 2 mm 1600.
#[test]
fn belts_and_screws() {
    let number = |case: &Case, axis| of(case, axis).value.expect("steps").nominal / 1000.0;
    let base = Case::new();
    assert!((number(&base, "X") - 80.0).abs() < 1e-9);
    assert!((number(&base.clone().axis("X", "teeth = 16"), "X") - 100.0).abs() < 1e-9);
    assert!((number(&base.clone().device("MX", "steps_per_turn = 400"), "X") - 160.0).abs() < 1e-9);
    assert!((number(&base, "Z") - 400.0).abs() < 1e-9);
    assert!((number(&base.clone().axis("Z", "lead = '2 mm'"), "Z") - 1600.0).abs() < 1e-9);
    // 200 · 16 · 4.8 over the circumference of 11.6 mm.
    let extruder = 15_360.0 / (core::f64::consts::PI * 11.6);
    assert!((number(&base, "E") - extruder).abs() < 1e-9);
}

#[test]
fn kept_or_changed() {
    let base = Case::new();
    assert_eq!(of(&base, "X").verdict, Verdict::Pass);
    let finer = of(&base.axis("X", "microsteps = 32"), "X");
    assert_eq!(finer.verdict, Verdict::Note);
    assert!(
        finer.headline.contains("160 step/mm with 32 microsteps"),
        "{}",
        finer.headline
    );
}

#[test]
fn drivers_of_one_axis_agree() {
    let odd = Case::new()
        .driver("D2", "fixed_microsteps = 8")
        .driver("D1", "fixed_microsteps = 16")
        .load();
    let findings = odd.wholes_at("steps-per-mm", &[("MZ", "M1"), ("MZ2", "M2")]);
    assert_eq!(findings.len(), 2, "{findings:#?}");
    assert_eq!(findings[0].verdict, Verdict::Caution);
}

/// 200 full steps at 32 microsteps and 400 at 16 are 6400 steps a turn (arithmetic): with other numbers the motors of one axis do not move together.
#[test]
fn motors_of_unlike_full_steps() {
    let at = |case: &Case| {
        let loaded = case.load();
        loaded.wholes_at("steps-per-mm", &[("MZ", "M2"), ("MZ2", "M3")])
    };
    let about = |findings: Vec<Finding>| {
        let mut own = findings
            .into_iter()
            .filter(|finding| finding.subject.other.as_deref() == Some("Z"));
        own.next().expect("a finding")
    };
    let unlike = Case::new().device("MZ2", "steps_per_turn = 400");
    let finding = about(at(&unlike));
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding.headline.contains("200 and 400 full steps"),
        "{}",
        finding.headline
    );
    let remedy = finding.remedy.expect("a remedy");
    assert!(
        remedy.contains("MZ to 16") && remedy.contains("MZ2 to 8"),
        "{remedy}"
    );
    assert_ne!(about(at(&Case::new())).verdict, Verdict::Caution);
    let shared = unlike
        .port("M3", "driver = 'D2'")
        .without("new.toml", "[[driver]]\nname = \"D3\"");
    let loaded = shared.load();
    let finding = loaded
        .plan()
        .findings
        .iter()
        .find(|finding| finding.id == "steps-per-mm:Z")
        .cloned()
        .expect("a finding");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(finding.remedy.expect("a remedy").contains("same full steps"));
}

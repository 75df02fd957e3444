//! `max-speed`: a published figure of what is left at speed, turned into a speed of an axis.

use crate::support::Case;
use plan::{Finding, Verdict};

fn about(case: &Case, axis: &str) -> Finding {
    let findings = case.load().wholes("max-speed");
    findings
        .into_iter()
        .find(|finding| finding.subject.other.as_deref() == Some(axis))
        .expect("a finding")
}

/// 1.65 Ω, 3.2 mH, 0.45 N m at 1.5 A and 24 V: at 15 rev/s the pull-out torque is 0.28019 N m (largest over all load angles, tried in steps of
/// 0.01° in another language). Half of it pulls 0.1401 · 2 π · 0.9 / 0.04 = 19.806 N. 15 rev/s are 600 mm/s.
fn case() -> Case {
    Case::new()
        .without_line("machine.toml", "[[axis]]\nname = \"X\"", "mass")
        .axis("X", "friction = '19.806 N'")
        .axis("X", "efficiency = '0.9'")
        .device("MX", "run_current = '1.06066 A'")
        .driver("D1", "on_resistance = '0.1 mΩ'")
        .driver("D1", "current = '0.1 A .. 2 A'")
}

#[test]
fn the_published_speed() {
    let finding = about(&case(), "X");
    let speed = finding.value.expect("a speed").nominal;
    // Winding tolerances are assumed where the file states none; the nominal one is the published.
    assert!((speed / 0.6 - 1.0).abs() < 3e-3, "{speed}");
}

#[test]
fn in_and_out_of_the_speed() {
    let least = about(&case(), "X").value.expect("a speed").low;
    let asked = |share: f64| {
        about(
            &case().axis("X", &format!("max_speed = '{} mm/s'", least * share * 1e3)),
            "X",
        )
        .verdict
    };
    assert_eq!(asked(0.999), Verdict::Pass);
    assert_eq!(
        asked(1.001),
        Verdict::Caution,
        "no acceleration is asked that another check would warn of"
    );
}

#[test]
fn with_an_acceleration_it_only_tells_the_speed() {
    let heavy = Case::new().axis("X", "mass = '20 kg'");
    assert_eq!(about(&heavy, "X").verdict, Verdict::Note);
    assert_eq!(heavy.pair("acceleration", "MX", "M1").verdict, Verdict::Caution);
}

#[test]
fn an_extruder_needs_the_force_of_its_filament() {
    let findings = Case::new().load().wholes("max-speed");
    assert!(
        findings
            .iter()
            .all(|finding| finding.subject.other.as_deref() != Some("E"))
    );
}

#[test]
fn the_remedy_names_the_speed_that_is_left() {
    let finding = about(&case().axis("X", "max_speed = '900 mm/s'"), "X");
    assert_eq!(finding.verdict, Verdict::Caution);
    let remedy = finding.remedy.expect("a remedy");
    assert!(remedy.starts_with("set the maximum speed to at most"), "{remedy}");
}

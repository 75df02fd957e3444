//! `corner-speed`: a change of speed within one full step.

use crate::support::Case;
use plan::Verdict;

fn about(case: &Case) -> plan::Finding {
    let findings = case.load().wholes("corner-speed");
    findings
        .into_iter()
        .find(|finding| finding.subject.other.as_deref() == Some("X"))
        .expect("a finding")
}

/// 0.45 N m · 0.8 / 1.5 = 0.24 N m, half of it kept: 0.12 · 2 π · 0.9 / 0.04 = 16.965 N move 0.5 kg with 33.93 m/s²; within a full step of
/// 0.2 mm that makes up √(2 · 33.93 · 0.0002) = 0.11650 m/s (uniform acceleration, ISO 80000-3).
fn case() -> Case {
    Case::new()
        .axis("X", "friction = '0 N'")
        .axis("X", "efficiency = '0.9'")
}

#[test]
fn within_a_full_step() {
    let free = about(&case());
    assert_eq!(free.verdict, Verdict::Pass);
    assert!(
        (free.working[0].result.nominal - 0.116_498).abs() < 1e-6,
        "{:?}",
        free.working[0].result
    );
}

#[test]
fn in_and_out_of_what_is_asked() {
    let asked = |speed: &str| about(&case().axis("X", &format!("corner_speed = '{speed}'"))).verdict;
    assert_eq!(asked("116.4 mm/s"), Verdict::Pass);
    assert_eq!(asked("116.6 mm/s"), Verdict::Caution);
}

#[test]
fn an_axis_without_mass_has_none() {
    let findings = case().load().wholes("corner-speed");
    assert!(
        findings
            .iter()
            .all(|finding| finding.subject.other.as_deref() != Some("Z"))
    );
}

/// Of crossed belts each motor carries half of both axes, and both axes change at once, so that its belt changes twice as much: 16.965 N move
/// (0.5 kg + 0.5 kg) / 2 with 33.93 m/s², within a full step of 0.2 mm of the belt, which is 0.1 mm of each axis: √(2 · 33.93 · 0.0001) = 82.376 mm/s,
/// 1/√2 of the 116.5 mm/s above.
#[test]
fn crossed_belts_in_coordinates_of_the_axis() {
    let crossed = case()
        .replace("machine.toml", "kinematics = \"cartesian\"", "kinematics = \"crossed belts\"")
        .add(
            "machine.toml",
            "[[axis]]\nname = 'Y'\ndrive = 'belt'\npitch = '2 mm'\nteeth = 20\nmax_speed = '150 mm/s'\nacceleration = '1 m/s²'\nmass = '0.5 kg'\nfriction = '0 N'\nefficiency = '0.9'\n",
        );
    let found = about(&crossed).working[0].result.nominal;
    assert!((found - 0.082_376).abs() < 1e-6, "{found}");
}

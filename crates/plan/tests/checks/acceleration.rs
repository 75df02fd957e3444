//! `acceleration`: Newton, and the torque that is left.

use crate::support::Case;
use plan::Verdict;

/// 0.5 kg at 1 m/s² is 0.5 N; with 40 mm a turn and 90 % that is 0.5 · 0.04 / (2 π · 0.9) = 3.537 mN m (work, ISO 80000-4).
#[test]
fn force_becomes_torque() {
    let finding = Case::new().pair("acceleration", "MX", "M1");
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.value.expect("a torque").nominal - 3.5368e-3).abs() < 1e-7);
}

#[test]
fn in_and_out_of_the_reserve() {
    let asked = |acceleration: f64| {
        let case = Case::new().axis("X", &format!("acceleration = '{acceleration} mm/s²'"));
        case.pair("acceleration", "MX", "M1")
    };
    let finding = asked(1000.0);
    let (value, limit) = (finding.value.expect("a torque"), finding.limit.expect("a limit"));
    let most = 1000.0 * limit.bound.low / value.high;
    assert_eq!(asked(most * 0.999).verdict, Verdict::Pass);
    let out = asked(most * 1.001);
    assert_eq!(out.verdict, Verdict::Caution);
    // At rest 0.8 A effective of 1.5 A are 53 % of 0.45 N m; half of that is kept in reserve.
    assert!((limit.bound.nominal - 0.45 * 0.8 / 1.5 / 2.0).abs() < 1e-9);
}

#[test]
fn a_screw_lifts_the_weight() {
    let case = Case::new()
        .axis("Z", "mass = '2 kg'")
        .axis("Z", "acceleration = '100 mm/s²'");
    // Two motors carry 1 kg each: 9.907 N, 8 mm a turn, 40 %.
    let finding = case.pair("acceleration", "MZ", "M2");
    let expected = 1.0 * (0.1 + 9.80665) * 0.008 / (core::f64::consts::TAU * 0.4);
    assert!((finding.value.expect("a torque").nominal - expected).abs() < 1e-9);
}

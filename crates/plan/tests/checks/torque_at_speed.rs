//! `torque-at-speed`: the phasor diagram, in and out at the supply.

use crate::support::Case;
use plan::Verdict;

/// 1.5 A peak through 1.65 Ω and 3.2 mH, 0.45 N m at 1.5 A: 16.84 V at 7.5 rev/s, 21.84 V at 10, 31.88 V at 15
/// (phasor diagram of the synchronous machine, any machines textbook; from memory, recomputed).
fn at(speed: &str) -> Case {
    Case::new()
        .device("MX", &format!("run_current = '{} A'", 1.5 / 2.0_f64.sqrt()))
        .driver("D1", "on_resistance = '0.1 mΩ'")
        .axis("X", &format!("max_speed = '{speed}'"))
}

#[test]
fn the_phasor_diagram() {
    for (speed, volt) in [("300 mm/s", 16.84), ("400 mm/s", 21.84), ("600 mm/s", 31.88)] {
        let finding = at(speed).pair("torque-at-speed", "MX", "M1");
        let needed = finding.value.expect("a voltage").nominal;
        assert!((needed - volt).abs() < 0.005, "{speed}: {needed} V");
    }
    assert_eq!(
        at("300 mm/s").pair("torque-at-speed", "MX", "M1").verdict,
        Verdict::Pass
    );
    let out = at("600 mm/s").pair("torque-at-speed", "MX", "M1");
    assert_eq!(out.verdict, Verdict::Caution);
    assert!(out.remedy.is_some_and(|remedy| remedy.contains("mm/s")));
}

/// The driver's two switches lie in series with the winding: 1.65 Ω + 0.4 Ω, and at the worst corner 1.8 times as much as stated; the copper of
/// the winding has 1 + 0.00393/K · 80 K = 1.31 times its resistance at 100 °C (IEC 60028).
/// Phasor diagram as above, written out anew.
#[test]
fn winding_and_switches_count_hot() {
    let exact = |case: Case| {
        case.device("MX", "resistance = '1.65 Ω ± 0.000001 %'")
            .device("MX", "inductance = '3.2 mH ± 0.000001 %'")
            .driver("D1", "on_resistance = '0.4 Ω'")
    };
    let found = exact(at("400 mm/s")).pair("torque-at-speed", "MX", "M1");
    let omega = 10.0 * core::f64::consts::TAU;
    let emf = 0.45 / (2.0_f64.sqrt() * 1.5) * omega;
    let needed = |ohms: f64| f64::hypot(ohms * 1.5 + emf, 50.0 * omega * 3.2e-3 * 1.5);
    let value = found.value.expect("a voltage");
    assert!((value.nominal / needed(2.05) - 1.0).abs() < 1e-6, "{value}");
    assert!(
        (value.high / needed(1.65 * 1.31 + 0.4 * 1.8) - 1.0).abs() < 1e-6,
        "{value}"
    );
}

#[test]
fn the_worst_corner_of_winding_and_supply() {
    // 21.84 V at the middle of the tolerances passes 24 V, the highest corner (10 % of R, 20 % of L) does not.
    assert_eq!(
        at("400 mm/s").pair("torque-at-speed", "MX", "M1").verdict,
        Verdict::Caution
    );
    let exact = at("400 mm/s")
        .device("MX", "resistance = '1.65 Ω ± 0.001 %'")
        .device("MX", "inductance = '3.2 mH ± 0.001 %'");
    assert_eq!(exact.pair("torque-at-speed", "MX", "M1").verdict, Verdict::Pass);
    let weak = exact.device("PS", "voltage = '24 V ± 10 %'");
    assert_eq!(weak.pair("torque-at-speed", "MX", "M1").verdict, Verdict::Caution);
}

/// Both motors of crossed belts turn by x + y and x − y (kinematics of the machine): with 180 mm/s and 150 mm/s at once one belt runs 330 mm/s.
#[test]
fn crossed_belts_move_by_both_axes_together() {
    let volts = |case: &Case| {
        case.pair("torque-at-speed", "MX", "M1")
            .value
            .expect("a voltage")
            .nominal
    };
    let crossed = at("180 mm/s")
        .replace(
            "machine.toml",
            "kinematics = \"cartesian\"",
            "kinematics = \"crossed belts\"",
        )
        .add(
            "machine.toml",
            "[[axis]]\nname = 'Y'\ndrive = 'belt'\npitch = '2 mm'\nteeth = 20\nmax_speed = '150 mm/s'\n",
        );
    let same = at("330 mm/s");
    assert!((volts(&crossed) / volts(&same) - 1.0).abs() < 1e-9);
}

#[test]
fn without_figures_it_says_so() {
    // The extruder's motor has no holding torque in its file.
    assert_eq!(
        Case::new().pair("torque-at-speed", "ME", "M4").verdict,
        Verdict::Note
    );
}

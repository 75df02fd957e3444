//! `step-rate`: all axes at once against the processor.

use crate::support::Case;
use plan::Verdict;

/// 300 mm/s at 80 step/mm: 24 000 steps per second (algebra).
#[test]
fn the_worked_number() {
    let loaded = Case::new().axis("X", "max_speed = '300 mm/s'").load();
    let finding = loaded.wholes_at("step-rate", &[("MX", "M1")]).remove(0);
    assert!((finding.value.expect("a rate").nominal - 24_000.0).abs() < 1e-6);
}

#[test]
fn in_and_out_at_the_share() {
    // 80 % of 30 kHz is 24 kHz.
    let at = |rate: &str| {
        let loaded = Case::new()
            .axis("X", "max_speed = '300 mm/s'")
            .board("[processor]", &format!("step_rate = '{rate}'"))
            .load();
        loaded.wholes_at("step-rate", &[("MX", "M1")]).remove(0).verdict
    };
    assert_eq!(at("30.001 kHz"), Verdict::Pass);
    assert_eq!(at("29.99 kHz"), Verdict::Caution);
}

#[test]
fn a_second_motor_steps_with_the_first() {
    let loaded = Case::new().load();
    let both = loaded
        .wholes_at("step-rate", &[("MZ", "M2"), ("MZ2", "M3")])
        .remove(0);
    // 10 mm/s at 400 step/mm, twice.
    assert!((both.value.expect("a rate").nominal - 8000.0).abs() < 1e-6);
}

/// x + y and |x − y| of crossed belts are together twice the larger: 300 mm/s and 200 mm/s at 80 step/mm make 40 000 and 8000 steps per second.
#[test]
fn crossed_belts_step_by_the_faster_axis() {
    let loaded = Case::new()
        .axis("X", "max_speed = '300 mm/s'")
        .without_device("MZ2")
        .device("MZ", "axis = 'Y'")
        .replace(
            "machine.toml",
            "kinematics = \"cartesian\"",
            "kinematics = \"crossed belts\"",
        )
        .add(
            "machine.toml",
            "[[axis]]\nname = 'Y'\ndrive = 'belt'\npitch = '2 mm'\nteeth = 20\nmax_speed = '200 mm/s'\n",
        )
        .load();
    let finding = loaded
        .wholes_at("step-rate", &[("MX", "M1"), ("MZ", "M2")])
        .remove(0);
    assert!((finding.value.expect("a rate").nominal - 48_000.0).abs() < 1e-6);
}

/// Three towers with arms of 250 mm, 150 mm from the middle, at 300 mm/s and 80 step/mm: at the rim of 90 mm one carriage is 3.5714 times as fast as the
/// nozzle (L / h of the arm, 250 mm / 70 mm), 85.714 kHz, and all three make 111.904 kHz at the worst place in the worst direction (all directions
/// tried, in another language); three times the speed of the nozzle would be 72 kHz.
#[test]
fn towers_step_by_the_fastest_carriage() {
    let tower = "drive = 'belt'\npitch = '2 mm'\nteeth = 20\nmax_speed = '300 mm/s'\n";
    let loaded = Case::new()
        .axis("X", "max_speed = '300 mm/s'")
        .replace(
            "machine.toml",
            "drive = \"lead screw\"\nlead = \"8 mm\"",
            "drive = \"belt\"\npitch = \"2 mm\"\nteeth = 20",
        )
        .axis("Z", "max_speed = '300 mm/s'")
        .device("MZ2", "axis = 'Y'")
        .cable_without("MZ2", "old_port")
        .replace(
            "machine.toml",
            "kinematics = \"cartesian\"",
            "kinematics = \"delta\"",
        )
        .add("machine.toml", &format!("[[axis]]\nname = 'Y'\n{tower}"))
        .add(
            "machine.toml",
            "[geometry]\narm = '250 mm'\nradius = '150 mm'\nreach = '90 mm'\nnozzle_mass = '0.3 kg'\n",
        )
        .load();
    let finding = loaded
        .wholes_at("step-rate", &[("MX", "M1"), ("MZ", "M2"), ("MZ2", "M3")])
        .remove(0);
    let rate = finding.value.expect("a rate").nominal;
    assert!((rate - 111_903.820_8).abs() < 1e-3, "{rate}");
    let one = finding.working[0].result.nominal;
    assert!((one - 85_714.285_7).abs() < 1e-3, "{one}");
}

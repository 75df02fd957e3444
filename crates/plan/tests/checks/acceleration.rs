//! `acceleration`: Newton, and the torque that is left.

use crate::support::Case;
use plan::Verdict;
use quantity::Number;

/// 0.5 kg at 1 m/s² is 0.5 N; with 40 mm a turn and 90 % that is 0.5 · 0.04 / (2 π · 0.9) = 3.537 mN m (work, ISO 80000-4).
#[test]
fn force_becomes_torque() {
    let finding = Case::new()
        .axis("X", "friction = '0 N'")
        .pair("acceleration", "MX", "M1");
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.value.expect("a torque").nominal - 3.5368e-3).abs() < 1e-7);
}

#[test]
fn in_and_out_of_the_reserve() {
    let asked = |acceleration: f64| {
        let case = Case::new()
            .axis("X", "friction = '0 N'")
            .axis("X", &format!("acceleration = '{acceleration} mm/s²'"));
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

/// Where the file states none, friction of 1 N to 6 N is counted: `axis.friction`.
#[test]
fn friction_is_counted() {
    let torque = |friction: &str| {
        Case::new()
            .axis("X", friction)
            .pair("acceleration", "MX", "M1")
            .value
            .expect("a torque")
    };
    let (stated, usual) = (
        torque("friction = '6 N'"),
        Case::new()
            .pair("acceleration", "MX", "M1")
            .value
            .expect("a torque"),
    );
    // 6.5 N · 40 mm / (2 π · 0.85)
    assert!((usual.high - 6.5 * 0.04 / (core::f64::consts::TAU * 0.85)).abs() < 1e-9);
    assert!((stated.high - usual.high).abs() < 1e-12);
}

/// What each kind of kinematics asks of one motor, by a balance of forces.
mod kinematics {
    use super::*;
    use model::machine::AxisId;

    const Y: &str = "[[axis]]\nname = 'Y'\ndrive = 'belt'\npitch = '2 mm'\nteeth = 20\nmax_speed = '150 mm/s'\nacceleration = '2000 mm/s²'\nmass = '1.5 kg'\nfriction = '2 N'\n";

    fn of(kinematics: &str, more: &str) -> Case {
        Case::new()
            .axis("X", "friction = '0 N'")
            .replace(
                "machine.toml",
                "kinematics = \"cartesian\"",
                &format!("kinematics = \"{kinematics}\""),
            )
            .add("machine.toml", more)
    }

    fn asked(case: &Case, axis: usize) -> plan::torque::Asked {
        let loaded = case.load();
        plan::torque::asked(&loaded.swap.machine, loaded.swap.catalogue.limits(), AxisId(axis))
            .expect("a load")
    }

    fn newton(force: quantity::Value<quantity::si::Force>) -> f64 {
        force.nominal().base()
    }

    /// (0.5 kg · 1 m/s² + 1.5 kg · 2 m/s²) / 2 and 2 N / 2: each of the two motors pulls half of both.
    #[test]
    fn crossed_belts_share_both_axes() {
        let case = of("crossed belts", Y);
        for axis in [0, 3] {
            let asked = asked(&case, axis);
            assert!((newton(asked.accelerating.expect("a force")) - 1.75).abs() < 1e-12);
            assert!((newton(asked.friction) - 1.0).abs() < 1e-12);
        }
    }

    /// 57 g cm² on a wheel of 40 mm of travel stand for 57e-7 · (2 π / 0.04)² = 0.14064 kg, on a screw of 8 mm for 25 times that, 3.516 kg (kinetic energy); the
    /// weight that Z lifts stays that of its mass.
    #[test]
    fn the_rotor_counts_as_a_mass_without_weight() {
        let with = |inertia: &str| {
            Case::new()
                .axis("Z", "mass = '2.4 kg'")
                .axis("Z", "acceleration = '100 mm/s²'")
                .device("MX", &format!("rotor_inertia = '{inertia}'"))
                .device("MZ", &format!("rotor_inertia = '{inertia}'"))
        };
        let (none, some) = (with("0 g cm²"), with("57 g cm²"));
        for (axis, acceleration, mass) in [(0, 1.0, 0.140_64), (1, 0.1, 3.516)] {
            let (before, after) = (asked(&none, axis), asked(&some, axis));
            let more =
                newton(after.accelerating.expect("a force")) - newton(before.accelerating.expect("a force"));
            assert!((more / (mass * acceleration) - 1.0).abs() < 1e-3, "{more}");
            assert!((newton(after.weight) - newton(before.weight)).abs() < 1e-12);
        }
    }

    /// A rotor of crossed belts follows X and Y at once: 0.14064 kg · (1 + 2) m/s² more than the 1.75 N above.
    #[test]
    fn the_rotor_of_crossed_belts_follows_both_axes() {
        let case = of("crossed belts", Y).device("MX", "rotor_inertia = '57 g cm²'");
        let found = newton(asked(&case, 0).accelerating.expect("a force"));
        assert!((found - (1.75 + 0.140_64 * 3.0)).abs() < 1e-4, "{found}");
    }

    /// Where the file says nothing a motor has what is usual for its frame of 42 mm.
    #[test]
    fn a_rotor_of_which_nothing_is_said_is_a_usual_one() {
        let case = Case::new().without_line("machine.toml", "[[device]]\ntag = \"MX\"", "rotor_inertia");
        let mass = asked(&case, 0).mass.expect("a mass");
        // 0.5 kg on the axis; 40 to 68 g cm² at 40 mm.
        assert!(
            (mass.low().base() - 0.5 - 0.0987).abs() < 1e-3,
            "{}",
            mass.low().base()
        );
        assert!(
            (mass.high().base() - 0.5 - 0.1678).abs() < 1e-3,
            "{}",
            mass.high().base()
        );
    }

    /// Arms of 220 mm on towers 100 mm from the middle stand 195.96 mm high: a radial newton pulls 2/3 · 195.96/100 = 1.3064 N from a tower,
    /// an upright one 1/3 N; the carriage runs √(1 + (100/195.96)²) = 1.1227 times as fast as the nozzle.
    #[test]
    fn a_tower_pulls_at_the_worst_place() {
        let geometry =
            "[geometry]\narm = '220 mm'\nradius = '100 mm'\nreach = '0.01 mm'\nnozzle_mass = '0.2 kg'\n";
        let case = of("delta", geometry);
        let height = (0.22_f64.powi(2) - 0.1_f64.powi(2)).sqrt();
        // Nozzle and carriage accelerate in one direction: towards the tower and up, each by its own share.
        let radial = 0.2 * 2.0 / 3.0 * height / 0.1 + 0.5 * 0.1 / height;
        let found = asked(&case, 0);
        let expected = radial.hypot(0.2 / 3.0 + 0.5);
        // The rim of a hundredth of a millimetre is worse by as little.
        assert!((newton(found.accelerating.expect("a force")) / expected - 1.0).abs() < 3e-4);
        let weight = (0.2 / 3.0 + 0.5) * 9.80665;
        assert!((newton(found.weight) / weight - 1.0).abs() < 3e-4);
        // Farther out the arms lie flatter.
        let wide = asked(&of("delta", &geometry.replace("0.01 mm", "80 mm")), 0);
        let whole =
            |asked: &plan::torque::Asked| newton(asked.accelerating.expect("a force")) + newton(asked.weight);
        assert!(whole(&wide) > 1.02 * whole(&found));
    }

    /// Arms of 250 mm, towers 150 mm from the middle, a nozzle of 0.3 kg up to 90 mm from there at 3 m/s², carriages of 0.1 kg: at the worst of the
    /// places the tower pulls 0.41808 kg · 3 m/s² and the weight of 0.3 kg · 0.83109 + 0.1 kg, 4.6799 N (three equations of forces solved by
    /// determinants, in another language).
    #[test]
    fn weight_and_acceleration_of_a_tower_are_those_of_one_place() {
        let geometry =
            "[geometry]\narm = '250 mm'\nradius = '150 mm'\nreach = '90 mm'\nnozzle_mass = '0.3 kg'\n";
        let case = of("delta", geometry)
            .axis("X", "mass = '0.1 kg'")
            .axis("X", "acceleration = '3 m/s²'");
        let found = asked(&case, 0);
        let force = newton(found.accelerating.expect("a force")) + newton(found.weight);
        assert!((force - 4.679_946).abs() < 1e-5, "{force}");
    }

    /// Whatever of the geometry is missing, no tower passes: it is not judged, and that is said.
    #[test]
    fn without_its_geometry_no_tower_passes() {
        let keys = [
            "arm = '220 mm'",
            "radius = '100 mm'",
            "reach = '80 mm'",
            "nozzle_mass = '0.2 kg'",
        ];
        for left in 0..keys.len() {
            let kept: Vec<&str> = (0..keys.len())
                .filter(|at| *at != left)
                .map(|at| keys[at])
                .collect();
            let loaded = of("delta", &format!("[geometry]\n{}\n", kept.join("\n"))).load();
            let missing = keys[left].split(' ').next().expect("a key");
            let said = loaded.wholes("completeness");
            let caution = said
                .iter()
                .find(|finding| finding.id == "completeness:geometry")
                .expect("a caution");
            assert_eq!(caution.verdict, Verdict::Caution);
            assert!(caution.headline.contains(missing), "{}", caution.headline);
            assert!(loaded.pairs("acceleration", "MX", "M1").is_empty(), "{missing}");
            let known = left == 3;
            assert_eq!(
                loaded.wholes("step-rate")[0].verdict == Verdict::Pass,
                known,
                "{missing}"
            );
            let turns = loaded.pair("torque-at-speed", "MX", "M1").verdict;
            assert_eq!(turns != Verdict::Note, known, "{missing}");
        }
    }

    /// Both belts run over the pulleys of both axes: the worse of both drives counts for both motors.
    #[test]
    fn the_worse_drive_of_crossed_belts_counts_for_both() {
        let case = of("crossed belts", &format!("{Y}efficiency = '0.7'\n")).axis("X", "efficiency = '0.9'");
        for axis in [0, 3] {
            assert!((asked(&case, axis).efficiency.nominal().base() - 0.7).abs() < 1e-12);
        }
    }

    /// sin 45° of the weight where no tilt is stated, and that is said.
    #[test]
    fn a_gantry_without_tilt_is_assumed_at_45_degrees() {
        let case = of("belt bed", Y);
        let found = asked(&case, 3);
        assert!((newton(found.weight) - 1.5 * 9.80665 * core::f64::consts::FRAC_1_SQRT_2).abs() < 1e-9);
        let said = case.load().wholes("completeness");
        let geometry = said
            .iter()
            .find(|finding| finding.id == "completeness:geometry")
            .expect("it is said");
        assert_eq!(geometry.verdict, Verdict::Caution);
        assert!(geometry.headline.contains("45°"), "{}", geometry.headline);
    }

    #[test]
    fn two_carriages_carry_each_their_own() {
        let second = "[[device]]\ntag = 'MX2'\nname = 'motor X, right'\nkind = 'motor'\naxis = 'X'\ncurrent = '1.5 A'\nrotor_inertia = '0 g cm²'\n[device.cable]\nconnector = 'crimp 2.5 mm'\npins = ['A1', 'A2', 'B1', 'B2']\nwire = '24 AWG'\nlength = '0.5 m'\n";
        let shared = asked(&of("cartesian", second), 0);
        let each = asked(&of("two carriages", second), 0);
        assert!((newton(shared.accelerating.expect("a force")) - 0.25).abs() < 1e-12);
        assert!((newton(each.accelerating.expect("a force")) - 0.5).abs() < 1e-12);
        let loaded = of("two carriages", second).load();
        assert!(
            loaded.ways("MX2", "M1").iter().all(|way| !way.second),
            "each carriage has a driver of its own"
        );
        assert!(
            loaded
                .wholes("paired-motors")
                .iter()
                .all(|finding| finding.subject.other.as_deref() != Some("X"))
        );
    }

    /// A gantry at 45° lifts sin 45° of its weight along its own way.
    #[test]
    fn a_tilted_gantry_lifts() {
        let found = asked(&of("belt bed", &format!("{Y}[geometry]\ntilt = '45°'\n")), 3);
        assert!((newton(found.weight) - 1.5 * 9.80665 * core::f64::consts::FRAC_1_SQRT_2).abs() < 1e-9);
        let stated = asked(&of("belt bed", &format!("{Y}weight_share = '0.5'\n")), 3);
        assert!((newton(stated.weight) - 1.5 * 9.80665 * 0.5).abs() < 1e-9);
    }
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

//! Torque over speed as a picture shows it, held against the checks that judge by it and against the phasor diagram.

use model::Swap;
use plan::torque::{Curve, CurvePoint, curves};
use plan::{Finding, Setup, Way};
use quantity::Number;

use crate::support::{Case, Loaded};

/// The point of a curve at the top speed of its axis.
fn top(curve: &Curve) -> CurvePoint {
    let speed = curve.max_speed.high();
    let mut points = curve.points.iter();
    *points.find(|point| point.speed == speed).expect("the top speed")
}

fn of<'a>(loaded: &'a Loaded, ways: &'a [Option<Way>], axis: &str) -> Curve {
    let setup = Setup::new(loaded.site(), ways);
    let found: Vec<Curve> = curves(&setup.facts())
        .into_iter()
        .filter(|curve| curve.axis == axis)
        .collect();
    assert_eq!(found.len(), 1, "{axis}");
    found.into_iter().next().expect("one curve")
}

fn planned(case: &Case, axis: &str) -> Curve {
    let loaded = case.load();
    let plan = loaded.plan();
    of(&loaded, &plan.ways, axis)
}

/// 1.65 Ω, 3.2 mH, 0.45 N m at 1.5 A and 24 V: at 15 rev/s, which are 600 mm/s, 0.28019 N m (pull-out over the load angle, any textbook of
/// electric machines; from memory, all load angles tried in another language); at rest all of 0.45 / √2 N m at 1.5 A peak.
fn published() -> Case {
    Case::new()
        .device("MX", "run_current = '1.06066 A'")
        .driver("D1", "on_resistance = '0.1 mΩ'")
        .driver("D1", "current = '0.1 A .. 2 A'")
        .axis("X", "max_speed = '600 mm/s'")
}

#[test]
fn the_published_torque() {
    let curve = planned(&published(), "X");
    let (found, at_rest) = (
        top(&curve).torque.nominal().base(),
        curve.points[0].torque.nominal().base(),
    );
    assert!((found / 0.28019 - 1.0).abs() < 3e-3, "{found}");
    assert!((at_rest / (0.45 / 2.0_f64.sqrt()) - 1.0).abs() < 1e-5);
}

/// The driver's 0.4 Ω lie in series with the winding: the largest current in phase with the back-EMF at 15 rev/s is found here by trying load
/// angles, with E = 0.2121 V s · ω and X = 50 · ω · L.
#[test]
fn the_switches_of_the_driver_take_their_share() {
    let (omega, inductance, resistance) = (15.0 * std::f64::consts::TAU, 3.2e-3, 1.65 + 0.4);
    let emf = 0.45 / (2.0_f64.sqrt() * 1.5) * omega;
    let reactance = 50.0 * omega * inductance;
    let mut fits = 0.0_f64;
    for step in 0..=200_000 {
        let angle = f64::from(step) / 200_000.0 * std::f64::consts::FRAC_PI_2;
        // |(R + jX) I exp(jψ) + E| = U, solved for I.
        let half = emf * (resistance * angle.cos() - reactance * angle.sin());
        let square = resistance * resistance + reactance * reactance;
        let root = half * half - square * (emf * emf - 24.0 * 24.0);
        let amps = if root < 0.0 {
            0.0
        } else {
            (root.sqrt() - half) / square
        };
        fits = fits.max(amps.min(1.5) * angle.cos());
    }
    let torque = 0.45 * fits / (2.0_f64.sqrt() * 1.5);
    let curve = planned(&published().driver("D1", "on_resistance = '0.4 Ω'"), "X");
    let found = top(&curve).torque.nominal().base();
    assert!((found / torque - 1.0).abs() < 1e-4, "{found} {torque}");
    // At the worst corner they are hot, and the winding has its tolerances.
    assert!(top(&curve).torque.low().base() < found);
}

fn about(findings: Vec<Finding>, axis: &str) -> Finding {
    let mut own = findings.into_iter();
    own.find(|finding| finding.subject.other.as_deref() == Some(axis))
        .expect("a finding about the axis")
}

#[test]
fn the_curve_is_what_the_checks_judge_by() {
    for case in [
        Case::new().axis("X", "mass = '3 kg'"),
        Case::new()
            .axis("X", "mass = '0.5 kg ± 10 %'")
            .axis("X", "friction = '2 N ± 40 %'"),
        Case::new()
            .axis("X", "max_speed = '600 mm/s'")
            .device("PS", "voltage = '24 V ± 5 %'"),
    ] {
        let loaded = case.load();
        let ways = loaded.plan().ways;
        let curve = of(&loaded, &ways, "X");
        let demand = curve.demand.expect("a demand");
        let way = ways[loaded.id("MX").0].expect("X is connected");
        let finding = plan_one(&loaded, "acceleration", "MX", way);
        let (value, limit) = (finding.value.expect("a torque"), finding.limit.expect("a limit"));
        assert!((value.high / demand.accelerating.high().base() - 1.0).abs() < 1e-12);
        let kept = loaded
            .swap
            .catalogue
            .limits()
            .motor_torque_reserve
            .value
            .high()
            .base();
        let usable = top(&curve).torque.low().base() * (1.0 - kept);
        assert!(
            (limit.bound.low / usable - 1.0).abs() < 1e-12,
            "{} {usable}",
            limit.bound.low
        );
        let speed = about(loaded.wholes_of("max-speed", &ways), "X");
        let (speed, holds) = (speed.value.expect("a speed"), curve.holds.expect("a speed"));
        assert_eq!(
            (speed.low, speed.nominal, speed.high),
            (holds.low().base(), holds.nominal().base(), holds.high().base())
        );
    }
}

fn plan_one(loaded: &Loaded, check: &str, tag: &str, way: Way) -> Finding {
    crate::support::one(loaded.pairs_in(check, tag, way), check)
}

/// On both sides of the speed that holds, the least torque lies above and below what is needed.
#[test]
fn the_speed_that_holds_is_where_the_curve_crosses_the_demand() {
    let curve = planned(
        &Case::new()
            .axis("X", "mass = '3 kg'")
            .axis("X", "max_speed = '600 mm/s'"),
        "X",
    );
    let (demand, holds) = (curve.demand.expect("a demand"), curve.holds.expect("a speed"));
    let needed = demand.with_reserve.high();
    for point in &curve.points {
        let enough = point.torque.low() >= needed;
        assert_eq!(enough, point.speed <= holds.low(), "{point:?} {holds:?}");
    }
    assert!(curve.points.iter().any(|point| point.speed > holds.low()));
}

#[test]
fn no_torque_rises_with_speed_and_each_lies_in_its_band() {
    for swap in ["demo", "second"] {
        let swap: Swap = crate::support::example(swap);
        for board in &swap.candidates {
            let plan = plan::plan(&swap, board);
            for curve in curves(&plan.facts()) {
                for point in &curve.points {
                    let torque = point.torque;
                    assert!(torque.low() <= torque.nominal() && torque.nominal() <= torque.high());
                }
                for pair in curve.points.windows(2) {
                    assert!(pair[0].speed < pair[1].speed);
                    for end in [
                        |point: &CurvePoint| point.torque.low(),
                        |point: &CurvePoint| point.torque.high(),
                    ] {
                        assert!(end(&pair[1]) <= end(&pair[0]), "{} {}", board.name, curve.axis);
                    }
                }
            }
        }
    }
}

/// Two motors on one driver: in series each has half of the supply, and the switches carry one current; side by side the switches carry
/// the current of both, which is twice the drop. Held against the same motor alone with figures put right by hand.
#[test]
fn two_motors_on_one_driver() {
    let base = || Case::new().axis("Z", "max_speed = '80 mm/s'");
    // A second socket of its own joins as the driver's row says, a Y-lead joins side by side.
    let sockets = base()
        .driver("D2", "motor_connection = 'series'")
        .port("M3", "driver = 'D2'")
        .without("new.toml", "[[driver]]\nname = \"D3\"");
    let nominal = |curve: &Curve| -> Vec<f64> {
        let points = curve.points.iter();
        points.map(|point| point.torque.nominal().base()).collect()
    };
    let alone = |supply: &str, switches: &str| {
        let case = base()
            .device("PS", &format!("voltage = '{supply}'"))
            .driver("D2", &format!("on_resistance = '{switches}'"));
        nominal(&at(&case, &[("MZ", "M2")]))
    };
    let series = at(&sockets, &[("MZ", "M2"), ("MZ2", "M3")]);
    assert_eq!(
        (series.joint, series.motors.len()),
        (Some(model::Connection::Series), 2)
    );
    close(&nominal(&series), &alone("12 V", "0.2 Ω"));
    let parallel = at(&base(), &[("MZ", "M2"), ("MZ2", "M2")]);
    assert_eq!(parallel.joint, Some(model::Connection::Parallel));
    close(&nominal(&parallel), &alone("24 V", "0.8 Ω"));
}

/// The Z motors at these ports, the second as the second on its driver, and nothing else.
fn at(case: &Case, places: &[(&str, &str)]) -> Curve {
    let loaded = case.load();
    let mut ways = vec![None; loaded.swap.machine.devices.len()];
    for (at, (tag, port)) in places.iter().enumerate() {
        let mut all = loaded.ways(tag, port).into_iter();
        let way = all.find(|way| way.second == (at > 0));
        ways[loaded.id(tag).0] = Some(way.unwrap_or_else(|| panic!("{tag} has no such way at {port}")));
    }
    of(&loaded, &ways, "Z")
}

fn close(one: &[f64], other: &[f64]) {
    assert_eq!(one.len(), other.len());
    for (one, other) in one.iter().zip(other) {
        assert!((one - other).abs() < 1e-9, "{one} {other}");
    }
}

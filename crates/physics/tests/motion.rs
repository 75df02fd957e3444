//! Laws of motors and axes beyond single values.

use physics::motion::*;
use proptest::prelude::*;
use quantity::Number;
use quantity::si::*;

fn close(a: f64, b: f64, within: f64) -> bool {
    (a - b).abs() <= within * a.abs().max(b.abs()).max(1e-12)
}

proptest! {
    #[test]
    fn the_current_at_speed_needs_the_supply(u in 5.0..48.0_f64, r in 0.1..20.0_f64, l in 0.0005..0.05_f64, share in 0.0..0.999_f64, turns in 0.0..30.0_f64) {
        let speed = revolution_per_second(turns);
        let emf = volt(u * share);
        let current = current_at_speed(volt(u), ohm(r), henry(l), emf, ratio(50.0), speed);
        prop_assert!(current.base() >= 0.0);
        let voltage = voltage_at_speed(ohm(r), henry(l), current, emf, ratio(50.0), speed);
        prop_assert!(close(voltage.base(), u, 1e-9), "{voltage:?} {u}");
    }

    #[test]
    fn at_rest_the_current_is_that_of_ohm(u in 5.0..48.0_f64, r in 0.1..20.0_f64) {
        let current = current_at_speed(volt(u), ohm(r), henry(0.003), volt(0.0), ratio(50.0), radian_per_second(0.0));
        prop_assert!(close(current.base(), u / r, 1e-12));
    }

    #[test]
    fn rise_and_its_voltage_undo_each_other(i in 0.01..5.0_f64, r in 0.1..20.0_f64, l in 0.0005..0.05_f64, t in 1e-5..0.1_f64) {
        let voltage = voltage_for_rise(ampere(i), ohm(r), henry(l), second(t));
        prop_assert!(close(current_rise(voltage, ohm(r), henry(l), second(t)).base(), i, 1e-9));
    }

    #[test]
    fn a_setting_gives_the_wished_current(wish in 0.05..2.9_f64, steps in 8_u16..64) {
        let gain = CurrentLaw::Gain { gain: ratio(8.0), sense: ohm(0.1) };
        let scale = CurrentLaw::Scale { scale: ohm(1.32) };
        for law in [gain, scale] {
            let got = law.current(law.nearest(ampere(wish)).unwrap()).unwrap();
            prop_assert!(close(got.base(), wish, 1e-12));
            prop_assert_eq!(law.resolution(), None);
        }
        let bus = CurrentLaw::Bus { full_scale: ampere(3.0), steps };
        let got = bus.current(bus.nearest(ampere(wish)).unwrap()).unwrap();
        let step = bus.resolution().unwrap().base();
        // Below half a step the lowest step is still the nearest.
        prop_assert!((got.base() - wish).abs() <= step / 2.0 + 1e-12 || wish < step / 2.0);
    }

    #[test]
    fn speed_and_step_rate_undo_each_other(v in 0.0..1000.0_f64, s in 10.0..4000.0_f64) {
        let (v, s) = (millimetre_per_second(v), step_per_millimetre(s));
        prop_assert!(close(speed_of_step_rate(step_rate(v, s), s).base(), v.base(), 1e-12));
    }

    #[test]
    fn two_motors_share_what_the_driver_gives(i in 0.1..3.0_f64, a in 0.5..5.0_f64, b in 0.5..5.0_f64) {
        let (i, a, b) = (ampere(i), ohm(a), ohm(b));
        let sum = Pair::Parallel.current(i, a, b) + Pair::Parallel.current(i, b, a);
        prop_assert!(close(sum.base(), i.base(), 1e-12));
        prop_assert_eq!(Pair::Series.current(i, a, b), i);
        prop_assert!(Pair::Series.resistance(a, b) > Pair::Parallel.resistance(a, b) * 3.99);
    }
}

/// Two equal motors: in series twice, in parallel half of resistance and inductance. Kirchhoff's laws
#[test]
fn pairs_of_equal_motors() {
    let inductance = |pair: Pair| pair.inductance(millihenry(3.2), millihenry(3.2)).base();
    assert!(close(inductance(Pair::Series), 6.4e-3, 1e-12));
    assert!(close(inductance(Pair::Parallel), 1.6e-3, 1e-12));
    assert!(close(
        Pair::Parallel.driver_current(ampere(0.8)).base(),
        1.6,
        1e-12
    ));
    assert!(close(Pair::Series.driver_current(ampere(0.8)).base(), 0.8, 1e-12));
}

/// 0.45 N m at 1.5 A: torque times speed is back-EMF times current, summed over two phases. Energy
#[test]
fn what_the_winding_takes_in_the_shaft_gives_out() {
    let speed = revolution_per_second(7.5);
    let emf = back_emf(newton_metre(0.45), ampere(1.5), speed);
    let torque = torque_at_current(newton_metre(0.45), ampere(1.5), ampere(1.5));
    let electrical = 2.0 * (emf.base() / 2_f64.sqrt()) * (1.5 / 2_f64.sqrt());
    assert!(close(electrical, torque.base() * speed.base(), 1e-12));
}

#[test]
fn a_setting_of_the_wrong_kind_is_refused() {
    let gain = CurrentLaw::Gain {
        gain: ratio(8.0),
        sense: ohm(0.1),
    };
    let bus = CurrentLaw::Bus {
        full_scale: ampere(3.0),
        steps: 32,
    };
    let error = gain.current(CurrentSetting::Step(3)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "step of a driver that takes a voltage is 3, which has no meaning here"
    );
    assert!(bus.current(CurrentSetting::Reference(volt(1.0))).is_err());
    assert!(bus.current(CurrentSetting::Step(33)).is_err());
    assert!(bus.current(CurrentSetting::Step(0)).is_err());
    assert!(gain.current(CurrentSetting::Reference(volt(-0.1))).is_err());
    assert!(gain.nearest(ampere(0.0)).is_err());
}

fn drive(supply: f64) -> MotorDrive {
    MotorDrive {
        holding: newton_metre(0.45),
        rated: ampere(1.5),
        resistance: ohm(1.65),
        inductance: millihenry(3.2),
        rotor_teeth: ratio(50.0),
        supply: volt(supply),
        current: ampere(1.2),
        drag: second(0.4e-3),
    }
}

proptest! {
    #[test]
    fn torque_falls_with_speed_and_rises_with_supply(slow in 0.0..25.0_f64, more in 0.0..5.0_f64) {
        let at = |supply: f64, turns: f64| drive(supply).torque(revolution_per_second(turns));
        prop_assert!(at(24.0, slow + more) <= at(24.0, slow));
        prop_assert!(at(28.0, slow) >= at(24.0, slow));
    }

    /// The largest torque over the load angle, by trying load angles: of each the largest current that is no more than set and needs no more
    /// voltage than there is.
    #[test]
    fn the_pull_out_torque_is_the_most_over_all_load_angles(supply in 10.0..30.0_f64, turns in 0.1..40.0_f64, ohms in 0.5..10.0_f64, drag in 0.0..0.5_f64) {
        let drive = MotorDrive { resistance: ohm(ohms), drag: second(drag * 1e-3), ..drive(supply) };
        let omega = core::f64::consts::TAU * turns;
        let constant = 0.45 / (core::f64::consts::SQRT_2 * 1.5);
        let (e, x) = (constant * omega, 50.0 * omega * 3.2e-3);
        let mut most = 0.0_f64;
        for step in -2000..=2000 {
            let angle = f64::from(step) / 2000.0 * core::f64::consts::FRAC_PI_2;
            // |Z I exp(jψ) + E|² = U², a quadratic in I.
            let (a, b, c) = (ohms * ohms + x * x, 2.0 * e * (ohms * angle.cos() - x * angle.sin()), e * e - supply * supply);
            let root = b * b - 4.0 * a * c;
            if root < 0.0 { continue; }
            let (low, high) = ((-b - root.sqrt()) / (2.0 * a), (-b + root.sqrt()) / (2.0 * a));
            let current = high.min(1.2);
            if current >= low.max(0.0) { most = most.max(current * angle.cos()); }
        }
        let expected = (constant * most - 0.45 * drag * 1e-3 * omega).max(0.0);
        let got = drive.torque(revolution_per_second(turns)).base();
        prop_assert!((got - expected).abs() < 2e-4, "{got} {expected}");
    }

    #[test]
    fn the_speed_for_a_torque_gives_it(share in 0.01..0.99_f64) {
        let drive = drive(24.0);
        let wanted = drive.torque(radian_per_second(0.0)) * share;
        let speed = drive.speed_for(wanted).unwrap();
        prop_assert!(close(drive.torque(speed).base(), wanted.base(), 1e-4));
    }

    #[test]
    fn force_torque_and_acceleration_undo_each_other(mass in 0.1..3.0_f64, a in 0.0..20.0_f64, share in 0.0..1.0_f64, friction in 0.0..10.0_f64, travel in 1.0..60.0_f64) {
        let (mass, share, friction, travel, good) = (kilogram(mass), ratio(share), newton(friction), millimetre(travel), ratio(0.7));
        let force = axis_force(mass, millimetre_per_second_squared(a * 1e3), share, friction);
        let back = reachable_acceleration(axis_torque(force, travel, good), travel, good, friction, mass, share);
        prop_assert!((back.base() - a).abs() < 1e-9);
    }

    #[test]
    fn speeds_are_the_derivatives_of_travels(x in -60.0..60.0_f64, y in -60.0..60.0_f64, z in 1.0..100.0_f64, v in prop::array::uniform3(-200.0..200.0_f64), tilt in 20.0..90.0_f64) {
        let place = |t: f64| Place { x: millimetre(x + v[0] * t), y: millimetre(y + v[1] * t), z: millimetre(z + v[2] * t) };
        let all = [
            Kinematics::Cartesian,
            Kinematics::CrossedBelts,
            Kinematics::Delta { arm: millimetre(250.0), radius: millimetre(120.0) },
            Kinematics::TwoCarriages { moving: Carriages::First },
            Kinematics::TwoCarriages { moving: Carriages::Second },
            Kinematics::TwoCarriages { moving: Carriages::Copy },
            Kinematics::TwoCarriages { moving: Carriages::Mirror },
            Kinematics::BeltBed { tilt: degree(tilt) },
        ];
        let step = 1e-5;
        for kinematics in all {
            let speeds = kinematics.speeds(place(0.0), v.map(millimetre_per_second)).unwrap();
            let shares = kinematics.largest_shares(place(0.0)).unwrap();
            let (before, after) = (kinematics.travels(place(-step)).unwrap(), kinematics.travels(place(step)).unwrap());
            prop_assert_eq!(speeds.len(), kinematics.motors().len());
            let speed = v.iter().map(|v| v * v).sum::<f64>().sqrt() * 1e-3;
            for (index, got) in speeds.iter().enumerate() {
                let difference = (after[index] - before[index]).base() / (2.0 * step);
                prop_assert!((got.base() - difference).abs() < 1e-6, "{kinematics:?} motor {index}: {got:?} {difference}");
                prop_assert!(got.base().abs() <= shares[index].base() * speed + 1e-12);
            }
        }
    }
}

#[test]
fn what_a_drive_or_an_arm_cannot_do() {
    assert!(drive(24.0).speed_for(newton_metre(0.4)).is_none());
    let delta = Kinematics::Delta {
        arm: millimetre(100.0),
        radius: millimetre(120.0),
    };
    let middle = Place {
        x: millimetre(0.0),
        y: millimetre(0.0),
        z: millimetre(0.0),
    };
    assert!(delta.travels(middle).is_err());
    assert!(Kinematics::BeltBed { tilt: degree(0.0) }.travels(middle).is_err());
    assert!(
        efficiency(ratio(1.01)).is_err() && efficiency(ratio(0.0)).is_err() && efficiency(ratio(0.9)).is_ok()
    );
    let shares = Kinematics::CrossedBelts.largest_shares(middle).unwrap();
    assert!(close(shares[0].base(), 2_f64.sqrt(), 1e-12) && close(shares[2].base(), 1.0, 1e-12));
}

proptest! {
    /// One of two motors in series, against both as one winding with twice the resistance, inductance and back-EMF.
    #[test]
    fn a_motor_in_series_sees_half_the_supply(turns in 0.0..15.0_f64) {
        let speed = revolution_per_second(turns);
        let one = drive(24.0).one_of(Pair::Series).current(speed);
        let both = MotorDrive {
            holding: newton_metre(0.9),
            resistance: Pair::Series.resistance(ohm(1.65), ohm(1.65)),
            inductance: Pair::Series.inductance(millihenry(3.2), millihenry(3.2)),
            ..drive(24.0)
        };
        prop_assert!(close(one.base(), both.current(speed).base(), 1e-9));
        let parallel = drive(24.0).one_of(Pair::Parallel).current(radian_per_second(0.0));
        prop_assert!(close(parallel.base(), 0.6, 1e-12));
    }
}

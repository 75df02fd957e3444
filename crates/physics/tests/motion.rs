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

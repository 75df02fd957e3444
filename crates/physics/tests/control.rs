//! Laws of control beyond single values: what steps, noise, limits and pulses do to a loop.

use physics::control::*;
use proptest::prelude::*;
use quantity::si::*;
use quantity::{Number, Range};

/// A hot end: 300 K at full power, 80 s, 4 s of dead time, reading in steps behind noise.
fn hot_end() -> Simulation {
    let model = FirstOrder {
        gain: kelvin(300.0),
        lag: second(80.0),
        delay: second(4.0),
    };
    let mut setup = Simulation::linear(
        model.into(),
        simc_pi(model, second(4.0)),
        second(0.02),
        second(600.0),
    );
    setup.sample = second(0.1);
    setup.wanted = kelvin(190.0);
    setup.limits = Some(Range::new(ratio(0.0), ratio(1.0)));
    setup
}

#[test]
fn a_limited_loop_does_not_wind_up() {
    let record = simulate(&hot_end()).unwrap();
    assert!(record.overshoot().base() < 0.05, "{:?}", record.overshoot());
    assert!(
        record
            .outputs
            .iter()
            .all(|output| (0.0..=1.0).contains(&output.base()))
    );
    assert!(record.swing(ratio(0.2)).base() < 0.01);
    let settled = record.settled(kelvin(1.0)).unwrap().base();
    assert!((60.0..300.0).contains(&settled), "{settled}");
    assert!(record.settled(kelvin(0.0)).is_none());
}

#[test]
fn coarse_steps_and_noise_make_a_swing() {
    let quiet = simulate(&hot_end()).unwrap().root_mean_square(ratio(0.3)).base();
    let stepped = simulate(&Simulation {
        resolution: kelvin(0.5),
        ..hot_end()
    })
    .unwrap();
    let noisy = simulate(&Simulation {
        noise: kelvin(0.3),
        ..hot_end()
    })
    .unwrap();
    assert!(stepped.root_mean_square(ratio(0.3)).base() > 3.0 * quiet);
    assert!(noisy.root_mean_square(ratio(0.3)).base() > 3.0 * quiet);
    // The part is slow: it hardly follows what shakes the reading.
    assert!(noisy.root_mean_square(ratio(0.3)).base() < 0.3);
    let again = simulate(&Simulation {
        noise: kelvin(0.3),
        ..hot_end()
    })
    .unwrap();
    assert_eq!(noisy, again, "one seed, one run");
    let other = simulate(&Simulation {
        noise: kelvin(0.3),
        seed: 2,
        ..hot_end()
    })
    .unwrap();
    assert_ne!(noisy, other);
}

#[test]
fn slow_pulses_ripple() {
    let swing = |pulse: f64| {
        let setup = Simulation {
            pulse: Some(second(pulse)),
            ..hot_end()
        };
        simulate(&setup).unwrap().swing(ratio(0.2)).base()
    };
    assert!(swing(0.1) < swing(2.0) && swing(2.0) < swing(8.0));
    // On for 63 % of 8 s with 300 K in 80 s: a ripple of about K · d · (1 − d) · T/τ = 7 K.
    assert!((swing(8.0) - 7.0).abs() < 2.0, "{}", swing(8.0));
}

proptest! {
    /// Doubling both time scales of process and controller changes no margin.
    #[test]
    fn margins_do_not_depend_on_the_clock(lag in 5.0..200.0_f64, share in 0.05..1.0_f64, factor in 0.1..10.0_f64) {
        let at = |scale: f64| {
            let model = FirstOrder { gain: kelvin(2.0), lag: second(lag * scale), delay: second(lag * share * scale) };
            margins(&model.into(), simc_pi(model, model.delay).into())
        };
        let (one, other) = (at(1.0), at(factor));
        prop_assert!((one.sensitivity_peak / other.sensitivity_peak).base() - 1.0 < 1e-6);
        prop_assert!(((one.gain_margin / other.gain_margin).base() - 1.0).abs() < 1e-6);
        prop_assert!((one.phase_margin - other.phase_margin).base().abs() < 1e-6);
        // The published promise of the rule at τc = θ: Ms at most about 1.7.
        prop_assert!(one.sensitivity_peak.base() < 1.71);
    }

    #[test]
    fn series_and_ideal_form_are_one_controller(gain in 0.01..2.0_f64, integral in 1.0..50.0_f64, share in 0.0..1.0_f64) {
        let derivative = integral * share;
        let process = Process::from(SecondOrder { gain: kelvin(2.0), lag: second(20.0), second_lag: second(3.0), delay: second(2.0) });
        let series = Controller::Series { gain: per_kelvin(gain), integral: second(integral), derivative: second(derivative), filter: second(0.0) };
        let ideal = Pid::from_series(per_kelvin(gain), second(integral), second(derivative)).into();
        let (one, other) = (margins(&process, series), margins(&process, ideal));
        prop_assert!(((one.sensitivity_peak / other.sensitivity_peak).base() - 1.0).abs() < 1e-6);
    }
}

proptest! {
    // Each case runs some hundred thousand steps.
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn a_relay_on_the_process_swings_as_computed(lag in 5.0..50.0_f64, share in 0.05..0.5_f64, band in 0.0..0.3_f64) {
        let model = FirstOrder { gain: kelvin(2.0), lag: second(lag), delay: second(lag * share) };
        let (swing, period) = relay_cycle(model, ratio(1.0), kelvin(band)).unwrap();
        // Stepped with a thousandth of the dead time.
        let step = lag * share / 1000.0;
        let left = (-step / lag).exp();
        let mut queue = std::collections::VecDeque::from(vec![1.0; 1000]);
        let (mut y, mut relay, mut turns, mut highest) = (0.0_f64, 1.0_f64, Vec::new(), 0.0_f64);
        for index in 0..2_000_000 {
            if relay > 0.0 && y > band { relay = -1.0; turns.push(index); if turns.len() > 8 { break } highest = 0.0; }
            if relay < 0.0 && y < -band { relay = 1.0; }
            queue.push_back(relay);
            let input = 2.0 * queue.pop_front().unwrap();
            y = input + (y - input) * left;
            highest = highest.max(y);
        }
        prop_assert!((highest / swing.base() - 1.0).abs() < 0.01, "{highest} {swing:?}");
        let simulated = (turns[8] - turns[7]) as f64 * step;
        prop_assert!((simulated / period.base() - 1.0).abs() < 0.01, "{simulated} {period:?}");
    }

}

#[test]
fn what_no_run_can_be_made_of() {
    assert!(
        simulate(&Simulation {
            step: second(0.0),
            ..hot_end()
        })
        .is_err()
    );
    assert!(
        simulate(&Simulation {
            step: second(1e-9),
            ..hot_end()
        })
        .is_err()
    );
    let mut lead = hot_end();
    lead.process.leads = vec![second(1.0)];
    assert!(simulate(&lead).is_err());
    assert!(lead.process.first_order().is_err());
    let mut nothing = hot_end();
    nothing.process.lags.clear();
    assert!(simulate(&nothing).is_err() && nothing.process.second_order().is_err());
    let model = FirstOrder {
        gain: kelvin(2.0),
        lag: second(10.0),
        delay: second(2.0),
    };
    assert!(relay_cycle(model, ratio(0.04), kelvin(0.1)).is_err());
    assert!(relay_gain(ratio(1.0), kelvin(0.1), kelvin(0.1)).is_err());
    // A single lag never oscillates.
    let lag = Process {
        delay: second(0.0),
        ..model.into()
    };
    assert!(ultimate(&lag).is_none());
    assert!(
        amigo(model, Terms::P).is_none()
            && tyreus_luyben(
                Ultimate {
                    gain: per_kelvin(1.0),
                    period: second(1.0)
                },
                Terms::P
            )
            .is_none()
    );
}

/// The published rule bears a doubled gain and a longer dead time; the worst margin is where both come together.
#[test]
fn margins_over_the_tolerances_of_a_process() {
    use quantity::Value;
    let nominal = FirstOrder {
        gain: kelvin(2.0),
        lag: second(10.0),
        delay: second(2.0),
    };
    let controller = simc_pi(nominal, second(2.0)).into();
    let model = TolerantModel {
        gain: Value::relative(nominal.gain, 0.3),
        lag: Value::relative(nominal.lag, 0.2),
        delay: Value::relative(nominal.delay, 0.3),
    };
    let (alone, worst) = (
        margins(&nominal.into(), controller),
        worst_margins(model, controller),
    );
    assert!(worst.sensitivity_peak > alone.sensitivity_peak && worst.gain_margin < alone.gain_margin);
    let corner = FirstOrder {
        gain: kelvin(2.6),
        lag: second(8.0),
        delay: second(2.6),
    };
    assert_eq!(worst.gain_margin, margins(&corner.into(), controller).gain_margin);
    assert!(worst.gain_margin.base() > 1.0, "still stable");
    let exact = TolerantModel {
        gain: Value::exact(nominal.gain),
        lag: Value::exact(nominal.lag),
        delay: Value::exact(nominal.delay),
    };
    assert_eq!(worst_margins(exact, controller), alone);
}

proptest! {
    /// The quick way finds the crossing that the grid finds.
    #[test]
    fn the_quick_gain_margin_is_that_of_the_grid(gain in 50.0..500.0_f64, lag in 20.0..600.0_f64, share in 0.005..0.6_f64, closed in 0.5..4.0_f64) {
        let model = FirstOrder { gain: kelvin(gain), lag: second(lag), delay: second(lag * share) };
        let pid = simc_pi(model, second(lag * share * closed));
        let quick = pi_gain_margin(model, pid).base();
        let grid = margins(&model.into(), pid.into()).gain_margin.base();
        prop_assert!((quick / grid - 1.0).abs() < 1e-6, "{quick} {grid}");
    }
}

/// With the rule's closed-loop time at the dead time and the lag cancelled the loop is `e^(−jx) / (2jx)`, x the frequency times the dead time: its
/// sensitivity peaks where `1 − sin x / x + 1 / (4x²)` is least. Published as 1.59. [skogestad-2003]
#[test]
fn the_peak_of_sensitivity_is_found_to_the_last_digits() {
    let model = FirstOrder {
        gain: kelvin(300.0),
        lag: second(30.0),
        delay: second(5.0),
    };
    let found = margins(&model.into(), simc_pi(model, model.delay).into())
        .sensitivity_peak
        .base();
    let least = (500_000..3_000_000)
        .map(|step| f64::from(step) * 1e-6)
        .map(|x| 1.0 - x.sin() / x + 0.25 / (x * x))
        .fold(f64::INFINITY, f64::min);
    let peak = 1.0 / least.sqrt();
    assert!((peak - 1.59).abs() < 0.005, "{peak}");
    assert!((found / peak - 1.0).abs() < 1e-9, "{found} for {peak}");
}

/// Two lags in steps of a second follow the course of fine steps: the mean over a step drives the next lag, so that the error goes with the
/// square of the step.
#[test]
fn coarse_steps_of_two_lags_follow_fine_ones() {
    let at = |step: f64| {
        let process = Process::from(SecondOrder {
            gain: kelvin(300.0),
            lag: second(80.0),
            second_lag: second(20.0),
            delay: second(4.0),
        });
        let pid = Pid {
            gain: per_kelvin(0.01),
            integral: None,
            derivative: second(0.0),
        };
        let mut setup = Simulation::linear(process, pid, second(step), second(60.0));
        setup.sample = second(2.0);
        setup.wanted = kelvin(100.0);
        simulate(&setup)
            .unwrap()
            .temperatures
            .last()
            .expect("a last step")
            .base()
    };
    let (coarse, fine) = (at(1.0), at(0.02));
    assert!(fine > 50.0, "{fine}");
    assert!((coarse / fine - 1.0).abs() < 2e-3, "{coarse} for {fine}");
}

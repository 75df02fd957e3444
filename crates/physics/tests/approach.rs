//! Laws of a heat-up under its controller.

use physics::control::Pid;
use physics::heat::*;
use proptest::prelude::*;
use quantity::Number;
use quantity::si::*;

/// Parts from a small hot end to a slow bed, some too weak for their setpoint, some slower to show a rise than anybody waits.
fn approach() -> impl Strategy<Value = Approach> {
    let part = (
        10.0..400.0_f64,
        0.05..3.0_f64,
        5.0..900.0_f64,
        0.0..4.0_f64,
        any::<bool>(),
    );
    let control = (
        0.01..1.0_f64,
        5.0..200.0_f64,
        prop_oneof![Just(0.0), 0.1..20.0_f64],
    );
    (part, control, 0.5..60.0_f64, 40.0..260.0_f64, 0.5..4.0_f64).prop_map(
        |(
            (power, loss, capacity, coupling, track),
            (gain, integral, derivative),
            dead_time,
            setpoint,
            near,
        )| {
            let body = |capacity, loss| Body {
                capacity: joule_per_kelvin(capacity),
                loss: watt_per_kelvin(loss),
            };
            let bodies = TwoBodies {
                heated: body(capacity, loss),
                other: body(capacity * 0.7, loss * 0.5),
                coupling: watt_per_kelvin(coupling),
            };
            let resistance = ohm(576.0 / power);
            let part = HeatedPart {
                bodies,
                heater: if track {
                    Heater::CopperTrack(resistance)
                } else {
                    Heater::Resistor(resistance)
                },
                voltage: volt(24.0),
                air: celsius(22.0),
            };
            Approach {
                part,
                dead_time: second(dead_time),
                setpoint: celsius(setpoint),
                near: kelvin(near),
                pid: Pid {
                    gain: per_kelvin(gain),
                    integral: Some(second(integral)),
                    derivative: second(derivative),
                },
            }
        },
    )
}

proptest! {
    /// What several heat-ups share changes none of them, whichever was asked for first, and neither do those beside them.
    #[test]
    fn the_common_course_changes_nothing(
        approaches in prop::collection::vec(approach(), 1..4),
        shares in prop::collection::vec((0.2..3.0_f64, any::<prop::sample::Index>()), 1..12),
        longest in 5.0..120.0_f64,
        (rise, within, overshoot) in (0.1..8.0_f64, 2.0..60.0_f64, 0.0..6.0_f64),
    ) {
        let full = |approach: &Approach| FullPower::of(approach.part, approach.dead_time).unwrap();
        let mut courses: Vec<FullPower> = approaches.iter().map(full).collect();
        let heat_ups = shares.iter().map(|(share, place)| {
            let place = place.index(approaches.len());
            let approach = approaches[place];
            (Approach { pid: Pid { gain: approach.pid.gain * *share, ..approach.pid }, ..approach }, place)
        });
        let heat_ups: Vec<(Approach, usize)> = heat_ups.collect();
        let alone = heat_ups.iter().map(|(approach, _)| approach.climb(second(longest)).unwrap());
        let alone: Vec<Climb> = alone.collect();
        let (first, rest) = heat_ups.split_at(heat_ups.len() / 3);
        let demand = Demand { rise: kelvin(rise), within: second(within), overshoot: kelvin(overshoot) };
        let met = Approach::climbs_from(&heat_ups, &mut courses, second(longest), Some(demand));
        let mut beside = Approach::climbs_from(first, &mut courses, second(longest), None);
        beside.extend(Approach::climbs_from(rest, &mut courses, second(longest), None));
        for (met, alone) in met.iter().zip(&alone) {
            prop_assert_eq!(demand.met_by(met), demand.met_by(alone));
            prop_assert!(!demand.met_by(alone) || met == alone);
        }
        prop_assert_eq!(beside, alone);
    }

    /// The bound holds for every controller: where a heat-up shows a rise within a time, it can do so.
    #[test]
    fn no_controller_is_sooner_than_the_bound(approach in approach(), window in 1.0..120.0_f64) {
        let climb = approach.climb(second(1e4)).unwrap();
        let rise = climb.least_rise(second(window));
        if rise.base() > 1e-6 {
            let soonest = approach.soonest(rise);
            prop_assert!(soonest.base() <= window * (1.0 + 1e-9), "{rise:?} within {window} s, {soonest:?}");
        }
    }
}

/// Two bodies of a hot end under the rule of its own dead time.
fn hot_end(coupling: f64) -> Approach {
    let body = |capacity, loss| Body {
        capacity: joule_per_kelvin(capacity),
        loss: watt_per_kelvin(loss),
    };
    Approach {
        part: HeatedPart {
            bodies: TwoBodies {
                heated: body(18.0, 0.12),
                other: body(6.0, 0.03),
                coupling: watt_per_kelvin(coupling),
            },
            heater: Heater::Resistor(ohm(14.4)),
            voltage: volt(24.0),
            air: celsius(20.0),
        },
        dead_time: second(3.0),
        setpoint: celsius(210.0),
        near: kelvin(2.0),
        pid: Pid {
            gain: per_kelvin(0.05),
            integral: Some(second(25.0)),
            derivative: second(0.0),
        },
    }
}

/// Whoever follows the number finds every quantity that it hangs on.
#[test]
fn the_working_of_a_rise_names_all_that_it_hangs_on() {
    let symbols = |coupling| -> Vec<&str> {
        let working = hot_end(coupling).working(second(20.0), kelvin(3.0));
        working.inputs.iter().map(|input| input.symbol).collect()
    };
    let one = ["w", "ϑₛ", "Δϑₙ", "ϑₐ", "P", "C", "G", "θ", "Kc", "Tᵢ"];
    assert_eq!(symbols(0.0), one);
    assert_eq!(symbols(0.2), [&one[..], &["K", "C₂", "G₂"]].concat());
}

/// One body by itself: the rise over the rate that full power gives at its lower end, `(P − G·ϑ) / C`, a reading below it.
#[test]
fn the_soonest_rise_is_that_of_full_power_at_its_lower_end() {
    let approach = hot_end(0.0);
    let (power, loss, capacity) = (40.0, 0.12, 18.0);
    let end = 190.0 - 2.0;
    let rate = |above: f64| (power - loss * above) / capacity;
    let found = approach.soonest(kelvin(6.0)).base();
    // The lower end lies lower by what one reading can rise: some kelvins at the most, so that the rate lies between these two.
    let (latest, soonest) = (6.0 / rate(end - 6.0), 6.0 / rate(end - 30.0));
    assert!(
        (soonest..=latest).contains(&found),
        "{found}: {soonest} to {latest}"
    );
}

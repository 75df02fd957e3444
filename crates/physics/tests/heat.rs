//! Laws of heat beyond single values.

use physics::heat::*;
use proptest::prelude::*;
use quantity::Number;
use quantity::si::*;

proptest! {
    #[test]
    fn time_and_temperature_undo_each_other(power in 20.0..80.0_f64, loss in 0.05..0.2_f64, capacity in 5.0..30.0_f64, share in 0.01..0.99_f64) {
        let (power, loss, capacity) = (watt(power), watt_per_kelvin(loss), joule_per_kelvin(capacity));
        let room = celsius(25.0);
        let end = final_temperature(room, power, loss).base();
        let goal = ThermodynamicTemperature::from_base(room.base() + share * (end - room.base()));
        let time = time_to(goal, room, room, power, loss, capacity);
        let back = temperature_after(room, room, power, loss, capacity, time);
        prop_assert!((back.base() - goal.base()).abs() < 1e-6);
    }

    #[test]
    fn a_body_at_its_duty_stays(temperature in 50.0..280.0_f64, loss in 0.05..0.2_f64, time in 0.0..1e4_f64) {
        let (at, room, loss) = (celsius(temperature), celsius(22.0), watt_per_kelvin(loss));
        let duty = hold_duty(at, room, loss, watt(60.0));
        let after = temperature_after(at, room, watt(60.0) * duty, loss, joule_per_kelvin(12.0), second(time));
        prop_assert!((after.base() - at.base()).abs() < 1e-9);
    }

    #[test]
    fn the_current_borne_brings_the_junction_there(junction in 80.0..150.0_f64, air in 0.0..70.0_f64, theta in 10.0..80.0_f64) {
        let (high, low, theta) = (ohm(0.2), ohm(0.25), kelvin_per_watt(theta));
        let current = current_borne(celsius(junction), celsius(air), theta, high, low).unwrap();
        let reached = junction_temperature(celsius(air), bridge_loss(current, high, low), theta);
        prop_assert!((reached.base() - celsius(junction).base()).abs() < 1e-9);
    }
}

#[test]
fn a_temperature_out_of_reach_takes_for_ever() {
    let time = |goal: f64| {
        time_to(
            celsius(goal),
            celsius(25.0),
            celsius(25.0),
            watt(40.0),
            watt_per_kelvin(0.12),
            joule_per_kelvin(12.0),
        )
    };
    assert_eq!(time(359.0).base(), f64::INFINITY);
    assert_eq!(time(20.0).base(), 0.0);
    assert!(
        current_borne(
            celsius(60.0),
            celsius(60.0),
            kelvin_per_watt(30.0),
            ohm(0.2),
            ohm(0.2)
        )
        .is_err()
    );
}

fn bed() -> TwoBodies {
    TwoBodies {
        heated: Body {
            capacity: joule_per_kelvin(400.0),
            loss: watt_per_kelvin(1.0),
        },
        other: Body {
            capacity: joule_per_kelvin(300.0),
            loss: watt_per_kelvin(1.2),
        },
        coupling: watt_per_kelvin(5.0),
    }
}

/// Two hundred seconds at most, a moment for each second.
fn run(duration: f64) -> Run {
    Run {
        step: second(0.01),
        duration: second(duration),
        keep: 100,
    }
}

proptest! {
    #[test]
    fn two_steps_are_one_long_one(first in 0.1..300.0_f64, second_step in 0.1..300.0_f64, power in 0.0..300.0_f64) {
        let (air, start) = (celsius(20.0), State::both(celsius(35.0)));
        let once = bed().after(start, watt(power), air, second(first + second_step)).unwrap();
        let half = bed().after(start, watt(power), air, second(first)).unwrap();
        let twice = bed().after(half, watt(power), air, second(second_step)).unwrap();
        prop_assert!((once.heated.base() - twice.heated.base()).abs() < 1e-9);
        prop_assert!((once.other.base() - twice.other.base()).abs() < 1e-9);
    }

    #[test]
    fn without_coupling_the_heated_body_is_alone(time in 0.1..1000.0_f64, power in 0.0..300.0_f64) {
        let bodies = TwoBodies { coupling: watt_per_kelvin(0.0), ..bed() };
        let air = celsius(20.0);
        let state = bodies.after(State::both(air), watt(power), air, second(time)).unwrap();
        let alone = temperature_after(air, air, watt(power), watt_per_kelvin(1.0), joule_per_kelvin(400.0), second(time));
        prop_assert!((state.heated.base() - alone.base()).abs() < 1e-9);
        prop_assert!((state.other.base() - air.base()).abs() < 1e-9);
    }

    #[test]
    fn strong_coupling_makes_one_body(time in 10.0..1000.0_f64) {
        let bodies = TwoBodies { coupling: watt_per_kelvin(1e6), ..bed() };
        let air = celsius(20.0);
        let state = bodies.after(State::both(air), watt(150.0), air, second(time)).unwrap();
        let one = temperature_after(air, air, watt(150.0), watt_per_kelvin(2.2), joule_per_kelvin(700.0), second(time));
        prop_assert!((state.heated.base() - one.base()).abs() < 1e-3);
        prop_assert!((state.other.base() - one.base()).abs() < 1e-3);
    }
}

#[test]
fn a_copper_track_draws_most_at_the_start() {
    let part = HeatedPart {
        bodies: bed(),
        heater: Heater::CopperTrack(ohm(2.88)),
        voltage: volt(24.0),
        air: celsius(20.0),
    };
    let moments = part
        .heat_up(State::both(celsius(20.0)), Some(celsius(60.0)), run(600.0))
        .unwrap();
    assert!((moments[0].power.base() - 200.0).abs() < 1e-9);
    assert!(moments[1..].iter().all(|moment| moment.power < moments[0].power));
    let hottest = moments
        .iter()
        .map(|moment| moment.state.heated.base())
        .fold(0.0, f64::max);
    assert!(hottest < celsius(60.1).base(), "on and off around the goal");
    assert_eq!(moments.len(), 601);
    assert!((moments[600].time.base() - 600.0).abs() < 1e-9);
}

#[test]
fn a_switch_that_stays_closed() {
    let part = HeatedPart {
        bodies: bed(),
        heater: Heater::CopperTrack(ohm(2.88)),
        voltage: volt(24.0),
        air: celsius(20.0),
    };
    let end = part.switch_short().unwrap();
    let long = part
        .heat_up(State::both(celsius(20.0)), None, run(20_000.0))
        .unwrap();
    assert!((end.heated.base() - long.last().unwrap().state.heated.base()).abs() < 1e-3);
    // The closed form of one body with the loss that both have together at rest.
    let loss = watt_per_kelvin(1.0 + 5.0 * 1.2 / 6.2);
    let closed = track_end(celsius(20.0), volt(24.0), ohm(2.88), loss).unwrap();
    assert!((end.heated.base() - closed.base()).abs() < 1e-6);
    let passes = |limit| {
        part.passes(
            State::both(celsius(20.0)),
            Which::Other,
            celsius(limit),
            run(20_000.0),
        )
        .unwrap()
    };
    assert!(passes(60.0).unwrap() < passes(70.0).unwrap());
    assert!(passes(end.other.base() - 273.15 + 1.0).is_none());
}

#[test]
fn bodies_that_cannot_be_are_refused() {
    let none = TwoBodies {
        heated: Body {
            capacity: joule_per_kelvin(0.0),
            ..bed().heated
        },
        ..bed()
    };
    assert!(none.end(watt(1.0), celsius(20.0)).is_err());
    let sealed = TwoBodies {
        heated: Body {
            loss: watt_per_kelvin(0.0),
            ..bed().heated
        },
        other: Body {
            loss: watt_per_kelvin(0.0),
            ..bed().other
        },
        ..bed()
    };
    assert!(sealed.end(watt(1.0), celsius(20.0)).is_err());
    let negative = TwoBodies {
        coupling: watt_per_kelvin(-1.0),
        ..bed()
    };
    assert!(negative.end(watt(1.0), celsius(20.0)).is_err());
    let part = HeatedPart {
        bodies: bed(),
        heater: Heater::Resistor(ohm(10.0)),
        voltage: volt(24.0),
        air: celsius(20.0),
    };
    assert!(
        part.heat_up(
            State::both(celsius(20.0)),
            None,
            Run {
                step: second(0.0),
                ..run(1.0)
            }
        )
        .is_err()
    );
    assert!(
        part.heat_up(
            State::both(celsius(20.0)),
            None,
            Run {
                step: second(1e-9),
                ..run(1.0)
            }
        )
        .is_err()
    );
}

fn guarded(slipped: f64) -> Guarded {
    use quantity::Value;
    Guarded {
        power: Value::relative(watt(40.0), 0.15),
        loss: Value::relative(watt_per_kelvin(0.09), 0.1),
        capacity: Value::relative(joule_per_kelvin(12.0), 0.1),
        air: Value::between(celsius(15.0), celsius(22.0), celsius(35.0)),
        held: celsius(230.0),
        limit: celsius(320.0),
        slipped_share: ratio(slipped),
        least_rise: kelvin(1.0),
        in_air: second(8.0),
        healthy_fall: kelvin(8.0),
        shortest: second(3.0),
        longest: second(120.0),
        dead_time: second(2.5),
    }
}

/// The slowest rise of [`guarded`] at full power just below a temperature.
fn rise_up_to(at: ThermodynamicTemperature, time: Time) -> TemperatureInterval {
    let late = second((time.base() - 2.5).max(0.0));
    rise_in(
        at,
        celsius(15.0),
        watt(34.0),
        watt_per_kelvin(0.099),
        joule_per_kelvin(13.2),
        late,
    )
}

/// A heat-up at full power up to 2 K below its setpoint.
fn at_full_power(time: Time) -> TemperatureInterval {
    rise_up_to(celsius(228.0), time)
}

/// A heat-up as a controller watches it, step by step: whether it is stopped, and when. `shown` makes the reading of the true temperature.
fn watched(
    window: &RiseWindow,
    anew_on_success: bool,
    mut at: impl FnMut(f64) -> f64,
    end: f64,
) -> Option<f64> {
    let (rise, time) = (window.rise.base(), window.time.base());
    let (mut began, mut from, mut now) = (0.0, at(0.0), 0.0);
    while now < end {
        now += 0.05;
        let reading = at(now);
        let success = reading - from >= rise;
        if now - began >= time - 1e-9 && !success {
            return Some(now);
        }
        if success && (anew_on_success || now - began >= time - 1e-9) {
            (began, from) = (now, reading);
        }
    }
    None
}

proptest! {
    /// Whatever the tolerances draw: a healthy heat-up is not stopped, and that of a slipped thermometer no later than it is said, and before harm.
    #[test]
    fn a_window_parts_healthy_from_slipped(
        power in 34.0..46.0_f64, loss in 0.081..0.099_f64, capacity in 10.8..13.2_f64, air in 15.0..35.0_f64, anew in proptest::bool::ANY,
    ) {
        let window = guarded(0.03).rise_window(ratio(1.5), at_full_power).unwrap();
        let (room, watt, loss, heat) = (celsius(air), watt(power), watt_per_kelvin(loss), joule_per_kelvin(capacity));
        let after = |time: f64| temperature_after(room, room, watt, loss, heat, second((time - 2.5).max(0.0))).base();
        let end = time_to(celsius(228.0), room, room, watt, loss, heat).base();
        prop_assert!(watched(&window, anew, after, end).is_none());
        // The lag of the part is no help against harm.
        let harm = time_to(celsius(320.0), room, room, watt, loss, heat).base();
        let caught = watched(&window, anew, |time| air + 0.03 * (after(time) - 273.15 - air), 1e4).unwrap();
        prop_assert!(caught < harm, "{caught} s, harm after {harm} s");
    }

    /// Whatever the tolerances draw, and at whatever moment of the heat-up the thermometer slips out: it is noticed before harm, with the room
    /// that is said. The part goes on from where it is in truth, ahead of its reading; the bead falls with its own lag to what it still sees.
    #[test]
    fn a_thermometer_that_slips_out_as_the_part_heats_up_is_noticed(
        power in 34.0..46.0_f64, loss in 0.081..0.099_f64, capacity in 10.8..13.2_f64, air in 15.0..35.0_f64, bead in 2.0..8.0_f64,
        moment in 0.0..1.0_f64, anew in proptest::bool::ANY,
    ) {
        let window = guarded(0.03).rise_window(ratio(1.5), at_full_power).unwrap();
        let (room, watt, loss, heat) = (celsius(air), watt(power), watt_per_kelvin(loss), joule_per_kelvin(capacity));
        let after = |time: f64| temperature_after(room, room, watt, loss, heat, second(time.max(0.0))).base();
        let slips = 2.5 + moment * time_to(celsius(230.0), room, room, watt, loss, heat).base();
        // The reading falls step by step, since the watch asks for it in order of time.
        let (mut reading, mut last) = (after(slips - 2.5), slips);
        let shown = |time: f64| {
            if time <= slips {
                return after(time - 2.5);
            }
            let seen = room.base() + 0.03 * (after(time) - room.base());
            reading += (seen - reading) * (1.0 - (-(time - last) / bead).exp());
            last = time;
            reading
        };
        let caught = watched(&window, anew, shown, 1e4).unwrap() - slips;
        let harm = time_to(celsius(320.0), room, room, watt, loss, heat).base() - slips;
        // A watch asks twenty times in a second.
        prop_assert!(harm / (caught - 0.05) >= window.slipped_margin().base(), "{caught} s, harm after {harm} s, {window:?}");
    }

    /// The fall is noticed no later than it is said, and before harm.
    #[test]
    fn a_thermometer_that_slips_out_of_the_hot_part_is_noticed(power in 34.0..46.0_f64, loss in 0.081..0.099_f64, capacity in 10.8..13.2_f64, air in 15.0..35.0_f64) {
        let window = guarded(0.03).fall_window(ratio(1.5));
        let room = celsius(air);
        // The bead sees its share of the part, which rises; its own lag makes it follow, in small steps.
        let (mut bead, mut now) = (celsius(230.0).base(), 0.0);
        while bead > celsius(230.0).base() - window.fall.base() {
            let part = temperature_after(celsius(230.0), room, watt(power), watt_per_kelvin(loss), joule_per_kelvin(capacity), second(now));
            bead += (room.base() + 0.03 * (part.base() - room.base()) - bead) * 0.01 / 8.0;
            now += 0.01;
        }
        prop_assert!(now + window.time.base() <= window.caught_after.base() + 0.02);
        let harm = time_to(celsius(320.0), celsius(230.0), room, watt(power), watt_per_kelvin(loss), joule_per_kelvin(capacity));
        prop_assert!(window.harm_after <= harm && window.slipped_margin().base() >= 1.5);
    }
}

#[test]
fn where_a_slipped_thermometer_shows_too_much_there_is_no_room() {
    let room = |guarded: Guarded| {
        guarded
            .rise_window(ratio(1.5), at_full_power)
            .unwrap()
            .slipped_margin()
            .base()
    };
    let window = guarded(0.03).rise_window(ratio(1.5), at_full_power).unwrap();
    assert!(
        window.healthy_margin().base() >= 1.5 && window.slipped_margin().base() >= 1.5,
        "{window:?}"
    );
    assert!(room(guarded(0.5)) < 1.0);
    assert!(
        guarded(0.03)
            .rise_window(ratio(1.1), |time| rise_up_to(celsius(400.0), time))
            .is_none(),
        "the slowest heat-up does not get there"
    );
    let fragile = Guarded {
        limit: celsius(230.5),
        ..guarded(0.03)
    };
    assert!(
        fragile.fall_window(ratio(1.5)).slipped_margin().base() < 1.0,
        "harm comes first"
    );
    let lasting = guarded(0.03).fall_window(ratio(1.5));
    assert_eq!(lasting.fall, kelvin(12.0));
    assert!(lasting.time.base() >= 4.5, "{lasting:?}");
}

/// A part that is soon past what it bears once it is hot, and far from it when cold: the last moment of the heat-up decides. The part is ahead
/// of its reading by what it rises in the dead time of 2.5 s.
#[test]
fn a_slip_near_the_goal_is_the_worst_moment_of_a_heat_up() {
    let near = Guarded {
        limit: celsius(275.0),
        ..guarded(0.03)
    };
    let window = near.rise_window(ratio(1.5), at_full_power).unwrap();
    assert_eq!(window.worst.reading, celsius(230.0), "{window:?}");
    // 46 W, 0.081 W/K, 10.8 J/K, 35 °C: ends at 602.9 °C with 133.3 s.
    let (end, constant): (f64, f64) = (35.0 + 46.0 / 0.081, 10.8 / 0.081);
    let part = end - (end - 230.0) * (-2.5_f64 / constant).exp();
    let harm = constant * ((end - part) / (end - 275.0)).ln();
    assert!((window.harm_after.base() - harm).abs() < 1e-6, "{window:?}");
    assert!(
        window.time.base() < 30.0 && window.caught_after > window.time,
        "a window that would do from the room alone is too long: {window:?}"
    );
}

/// Nothing rises within a window that no time would be too long for.
#[test]
fn a_part_that_never_gets_to_harm_leaves_room_without_end() {
    let safe = Guarded {
        limit: celsius(900.0),
        ..guarded(0.03)
    };
    assert_eq!(
        safe.rise_window(ratio(1.5), at_full_power)
            .unwrap()
            .slipped_margin()
            .base(),
        f64::INFINITY
    );
    assert_eq!(
        safe.fall_window(ratio(1.5)).slipped_margin().base(),
        f64::INFINITY
    );
}

/// Solids near 300 K: density, specific heat, conductivity. [heat-transfer-textbook], from memory
#[test]
fn materials_as_the_textbook_has_them() {
    let (area, thick) = (Area::from_base(0.04), metre(0.003));
    for (material, density, specific, conductivity) in [
        (Material::Aluminium, 2702.0, 903.0, 237.0),
        (Material::Copper, 8933.0, 385.0, 401.0),
        (Material::Brass, 8530.0, 380.0, 110.0),
        (Material::Steel, 7854.0, 434.0, 60.5),
        (Material::Glass, 2500.0, 750.0, 1.4),
    ] {
        let near = |found: f64, expected: f64| (found / expected - 1.0).abs() < 1e-9;
        let capacity = slab_capacity(material, area, thick).base();
        assert!(near(capacity, density * specific * 0.04 * 0.003), "{material:?}");
        let conductance = slab_conductance(material, area, thick).base();
        assert!(near(conductance, conductivity * 0.04 / 0.003), "{material:?}");
    }
}

/// Still air takes about 10 W/(m² K), a draught 50. [heat-transfer-textbook]
#[test]
fn a_draught_takes_five_times_what_still_air_takes() {
    let taken = |film| film_loss(film, Area::from_base(0.1)).base();
    assert!((taken(FilmCoefficient::still()) - 1.0).abs() < 1e-9);
    assert!((taken(FilmCoefficient::draught()) - 5.0).abs() < 1e-9);
}

/// Without a coupling the other body stays at the air's temperature, and the heated one is one lumped body:
/// `ϑ = P/G · (1 − exp(−t·G/C))`; also where both bodies are equally quick. [heat-transfer-textbook]
#[test]
fn a_body_by_itself_warms_as_one() {
    let body = |capacity, loss| Body {
        capacity: joule_per_kelvin(capacity),
        loss: watt_per_kelvin(loss),
    };
    for (other, coupling) in [
        (body(10.0, 0.5), 0.0),
        (body(30.0, 0.9), 0.0),
        (body(10.0, 0.0), 0.0),
    ] {
        let bodies = TwoBodies {
            heated: body(10.0, 0.5),
            other,
            coupling: watt_per_kelvin(coupling),
        };
        let air = celsius(20.0);
        let after = bodies
            .after(State::both(air), watt(40.0), air, second(13.0))
            .unwrap();
        let expected = 80.0 * (1.0 - (-13.0_f64 * 0.05).exp());
        assert!(
            (after.heated.base() - air.base() - expected).abs() < 1e-6,
            "{after:?}"
        );
        assert!((after.other.base() - air.base()).abs() < 1e-9, "{after:?}");
        let end = bodies.end(watt(40.0), air).unwrap();
        assert!(
            (end.heated.base() - air.base() - 80.0).abs() < 1e-9 && end.other == air,
            "{end:?}"
        );
    }
}

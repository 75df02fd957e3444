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

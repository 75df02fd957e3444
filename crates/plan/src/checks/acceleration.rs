//! Whether a motor gives the acceleration that is asked of its axis, at the top speed.

use model::machine::Drive;
use physics::{motion, named, work};
use quantity::si::{Force, Ratio};
use quantity::{Number, Value, si};

use crate::axes;
use crate::finding::{Finding, Verdict, brief};
use crate::judge::Judge;
use crate::setup::Pair;

pub(crate) const ID: &str = "acceleration";

/// A torque that is used up beyond its reserve loses steps now and then: a caution.
pub(crate) fn check(pair: &Pair<'_>, judge: &mut Judge) {
    let (Some(motor), Some(driver)) = (axes::motor(&pair.device().detail), pair.driver()) else { return };
    let axis = pair.swap.machine.axis(motor.axis);
    let (Some(mass), Some(acceleration), Some(winding)) = (axis.mass, axis.acceleration, axes::winding(pair, motor)) else {
        return;
    };
    let (weight, efficiency) = drive(&axis.drive);
    // The motors of an axis carry its mass together.
    let motors = pair.swap.machine.motors_of(motor.axis).count().max(1);
    let mass = mass.value.scale(1.0 / f64::from(u32::try_from(motors).unwrap_or(1)));
    let none = Force::from_base(0.0);
    let travel = axes::travel_per_turn(axis);
    let force = Value::between(
        motion::axis_force(mass.low(), acceleration.low(), weight, none),
        motion::axis_force(mass.nominal(), acceleration.nominal(), weight, none),
        motion::axis_force(mass.high(), acceleration.high(), weight, none),
    );
    let needed = Value::between(
        motion::axis_torque(force.low(), travel.low(), efficiency.high()),
        motion::axis_torque(force.nominal(), travel.nominal(), efficiency.nominal()),
        motion::axis_torque(force.high(), travel.high(), efficiency.low()),
    );
    let speed = axes::shaft_speed(axis, axes::top_speed(pair, axis)).high();
    let run = motor.run_current.low().smaller(driver.rms_range().high());
    let supply = pair.supply_voltage().low();
    let mut at_speed = winding.weakest(supply, motion::peak_of_rms(run));
    if pair.way.second && axes::joint(pair, driver) == model::Joint::Series {
        at_speed = at_speed.one_of(motion::Pair::Series);
    }
    let reserve = pair.limits().motor_torque_reserve.value.high().base();
    let given = at_speed.torque(speed);
    let limit = Value::exact(given * (1.0 - reserve));
    judge.at_most(needed, limit, Verdict::Caution, || {
        let inputs = (
            named("m", if motors > 1 { "mass on the axis, for each motor" } else { "mass on the axis" }, mass),
            named("a", "acceleration that is asked for", acceleration.value),
            named("s", "share of the weight that the motor lifts", Value::exact(weight)),
            named("Fᵣ", "friction, not known", Value::exact(none)),
        );
        let pull = work(&motion::AXIS_FORCE, "F", inputs, |(mass, acceleration, weight, friction)| {
            motion::axis_force(mass, acceleration, weight, friction)
        });
        let inputs = (
            named("F", "force on the axis", pull.value),
            named("h", "travel in one turn of the motor", travel),
            named("η", "efficiency of the drive", efficiency),
        );
        let torque = work(&motion::AXIS_TORQUE, "M", inputs, |(force, travel, efficiency)| {
            motion::axis_torque(force, travel, efficiency)
        });
        let reach = motion::reachable_acceleration(limit.nominal(), travel.high(), efficiency.low(), none, mass.high(), weight);
        let headline = format!(
            "{} asks {} for {} while it accelerates; at the top speed {} of its {} may be used",
            axis.name,
            pair.device_name(),
            brief(needed.high()),
            brief(limit.nominal()),
            brief(given)
        );
        Finding::new(headline, "iso-80000-4")
            .at(axis.acceleration.as_ref().map_or(axis.place, |asked| asked.place))
            .working(pull.working)
            .working(torque.working)
            .remedy(format!(
                "ask for {} at the most, run the motor at more current, or lower the top speed",
                brief(reach)
            ))
    });
}

/// What share of its weight the drive lifts, and how well it passes force on: common practice, no source.
fn drive(drive: &Drive) -> (Ratio, Value<Ratio>) {
    match drive {
        Drive::Belt { .. } | Drive::Extruder { .. } => {
            (si::ratio(0.0), Value::between(si::ratio(0.85), si::ratio(0.9), si::ratio(0.95)))
        }
        // A lead screw mostly lifts; one that lies is asked for more than it needs.
        Drive::Screw { .. } => (si::ratio(1.0), Value::between(si::ratio(0.3), si::ratio(0.4), si::ratio(0.5))),
    }
}

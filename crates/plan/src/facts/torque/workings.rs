//! How the torque comes about that an axis asks of its motor.

use std::borrow::Cow;

use catalogue::Limits;
use model::machine::{AxisId, Machine};
use physics::{Working, motion, named, work};
use quantity::si::{Acceleration, Force, Mass};
use quantity::{Number, Value, si};

use crate::facts::kinematics;
use crate::facts::torque::asked::Asked;
use crate::facts::torque::load::{Load, rotor_inertia};
use crate::facts::torque::on_axis::asked;

/// How the torque comes about that an axis asks of one of its motors, in the order of reading; empty where nothing is known of it.
#[must_use]
pub fn workings(machine: &Machine, limits: &Limits, id: AxisId) -> Vec<Working> {
    let Some(asked) = asked(machine, limits, id) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    let none = Value::exact(Acceleration::from_base(0.0));
    let mut pull = |what: Cow<'static, str>, load: &Load| {
        let Some(mass) = load.mass else { return };
        let inputs = (
            named("m", what, mass),
            named(
                "a",
                "acceleration that is asked for",
                load.acceleration.unwrap_or(none),
            ),
            named("s", "share of the weight that the motor lifts", load.lift),
            named("Fᵣ", "friction", load.friction),
        );
        let worked = work(
            &motion::AXIS_FORCE,
            "F",
            inputs,
            |(mass, acceleration, weight, friction)| motion::axis_force(mass, acceleration, weight, friction),
        );
        out.push(worked.working);
    };
    let axis = machine.axis(id);
    if kinematics::crosses(machine.kinematics, axis) {
        for other in (0..machine.axes.len()).map(AxisId) {
            let other_axis = machine.axis(other);
            if kinematics::crosses(machine.kinematics, other_axis)
                && let Some(load) = Load::of(machine, limits, other)
            {
                pull(
                    Cow::Owned(format!(
                        "mass on {}; each of the two motors pulls half of X and half of Y",
                        other_axis.name
                    )),
                    &load,
                );
            }
        }
    } else if kinematics::tower(machine, id).is_some() {
        // The force at a tower is found over the whole rim: told as its mass, not as one place.
        if let (Some(mass), Some(acceleration)) = (asked.mass, axis.acceleration) {
            let load = Load {
                mass: Some(mass),
                acceleration: Some(acceleration.value),
                lift: asked.weight / (mass * Value::exact(motion::free_fall())),
                friction: asked.friction,
                rotor: Value::exact(Mass::from_base(0.0)),
            };
            pull(
                "mass that a tower feels at the worst place that is printed".into(),
                &load,
            );
        }
    } else if let Some(load) = Load::of(machine, limits, id) {
        let sharing = machine.motors_of(id).count() > 1 && !kinematics::carries_each(machine, axis);
        let what = if sharing {
            "mass on the axis, for each motor"
        } else {
            "mass on the axis"
        };
        pull(what.into(), &load);
    }
    out.extend(rotor_workings(machine, limits, id, &asked));
    let inputs = (
        named(
            "F",
            "force at the belt, nut or wheel: all together",
            asked.force(),
        ),
        named("h", "travel in one turn of the motor", asked.travel),
        named("η", "efficiency of the drive", asked.efficiency),
    );
    let torque = work(
        &motion::AXIS_TORQUE,
        "M",
        inputs,
        |(force, travel, efficiency)| motion::axis_torque(force, travel, efficiency),
    );
    out.push(torque.working);
    out
}

/// The same with its working, and the force that it takes to accelerate the rotor; empty where nothing accelerates.
fn rotor_workings(machine: &Machine, limits: &Limits, id: AxisId, asked: &Asked) -> Vec<Working> {
    let axis = machine.axis(id);
    let crossed = kinematics::crosses(machine.kinematics, axis);
    let accelerations = (0..machine.axes.len()).map(AxisId).filter(|other| {
        *other == id || crossed && kinematics::crosses(machine.kinematics, machine.axis(*other))
    });
    let accelerations: Option<Vec<Value<Acceleration>>> = accelerations
        .map(|other| machine.axis(other).acceleration.map(|stated| stated.value))
        .collect();
    let Some(accelerations) = accelerations.filter(|_| asked.accelerating.is_some()) else {
        return Vec::new();
    };
    let inputs = (
        named(
            "J",
            "moment of inertia of the rotor",
            rotor_inertia(machine, limits, id),
        ),
        named("h", "travel in one turn of the motor", asked.travel),
    );
    let mass = work(&motion::ROTOR_MASS, "m", inputs, |(inertia, travel)| {
        motion::rotor_mass(inertia, travel)
    });
    if kinematics::tower(machine, id).is_some() {
        // Told within the mass that the tower feels.
        return vec![mass.working];
    }
    let what = if crossed {
        "accelerations of both axes, which the rotor follows"
    } else {
        "acceleration that is asked for"
    };
    let inputs = (
        named("m", "mass that the rotor stands for", mass.value),
        named("a", what, accelerations.into_iter().sum()),
        named(
            "s",
            "share of its weight that the motor lifts: none",
            Value::exact(si::ratio(0.0)),
        ),
        named(
            "Fᵣ",
            "friction, counted with the axis",
            Value::exact(Force::from_base(0.0)),
        ),
    );
    let force = work(
        &motion::AXIS_FORCE,
        "F",
        inputs,
        |(mass, acceleration, weight, friction)| motion::axis_force(mass, acceleration, weight, friction),
    );
    vec![mass.working, force.working]
}

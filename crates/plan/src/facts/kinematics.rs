//! How motors move axes: what one kind of kinematics asks of a motor that others do not.

mod crossed;
mod delta;

use model::Kinematics;
use model::machine::{Axis, Machine};
use quantity::si::Velocity;
use quantity::{Number, Value};

use crossed::crossed_speeds;
pub use crossed::crosses;
pub(crate) use delta::places;
use delta::tower_factor;
pub use delta::{delta, missing_geometry, tower, tower_share, towers_together};

/// Whether each motor of an axis carries a load of its own: two carriages on one rail, which do not share their mass, need not turn the same
/// way, and cannot hang on one driver.
#[must_use]
pub fn carries_each(machine: &Machine, axis: &Axis) -> bool {
    machine.kinematics == Kinematics::TwoCarriages && matches!(axis.name.value.as_str(), "X" | "x")
}

/// Whether an axis is the gantry of a belt bed, tilted against the belt: Y, where the belt is Z.
#[must_use]
pub fn is_gantry(machine: &Machine, axis: &Axis) -> bool {
    machine.kinematics == Kinematics::BeltBed && matches!(axis.name.value.as_str(), "Y" | "y")
}

/// Whether a machine is a belt bed whose file does not state the tilt of its gantry: the usual one is assumed.
#[must_use]
pub fn lacks_tilt(machine: &Machine) -> bool {
    let stated = machine.geometry.as_ref().and_then(|geometry| geometry.tilt);
    machine.kinematics == Kinematics::BeltBed && stated.is_none()
}

/// The highest speed of the belt, nut or wheel of an axis: of two crossed belts one moves by as much as both axes together where both are at
/// their own top speed, a carriage of a delta by as much as its arm lies flat at the rim.
#[must_use]
pub fn max_speed(machine: &Machine, axis: &Axis) -> Value<Velocity> {
    if crosses(machine.kinematics, axis) {
        // The other axis counts as this one where the file has none.
        let alone = crossed_speeds(machine).count() < 2;
        return crossed_speeds(machine)
            .chain(alone.then_some(axis.max_speed.value))
            .sum();
    }
    axis.max_speed.value.scale(tower_factor(machine, axis))
}

/// The speed at which the motor of an axis steps while all motors together step most: two crossed belts share the way of both axes, so that
/// their sum is twice the larger of the two speeds. A carriage of a delta by itself is as fast as [`max_speed`] says; for all three together see
/// [`towers_together`].
#[must_use]
pub fn stepping_speed(machine: &Machine, axis: &Axis) -> Value<Velocity> {
    let larger = |one: Value<Velocity>, other: Value<Velocity>| {
        Value::corners(|end| one.at(end).larger(other.at(end)))
    };
    let own = axis.max_speed.value;
    if crosses(machine.kinematics, axis) {
        return crossed_speeds(machine).fold(own, larger);
    }
    own.scale(tower_factor(machine, axis))
}

/// How much faster than its axis the belt of a motor may change its speed at a corner: of crossed belts twice, where both axes change at once.
#[must_use]
pub fn corner_share(machine: &Machine, axis: &Axis) -> f64 {
    if crosses(machine.kinematics, axis) {
        return 2.0;
    }
    tower_factor(machine, axis)
}

/// How much faster than its axis the belt, nut or wheel of a motor may move; of crossed belts with both axes at the same share of their top
/// speeds.
#[must_use]
pub fn belt_share(machine: &Machine, axis: &Axis) -> f64 {
    let own = axis.max_speed.nominal();
    if crosses(machine.kinematics, axis) && own.base() > 0.0 {
        (max_speed(machine, axis).nominal() / own).base()
    } else {
        tower_factor(machine, axis)
    }
}

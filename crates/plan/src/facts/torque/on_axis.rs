//! What each axis asks of its motors, for each kind of kinematics.

use catalogue::Limits;
use model::machine::{AxisId, Machine};

use crate::facts::axes;
use crate::facts::kinematics;
use crate::facts::torque::asked::Asked;
use crate::facts::torque::crossed::crossed;
use crate::facts::torque::delta::on_tower;
use crate::facts::torque::load::{Load, efficiency};

/// What an axis asks of one of its motors; `None` for an extruder whose file does not state what pushes the filament, and for a tower of a delta
/// whose geometry or mass of the nozzle is not stated.
///
/// - Cartesian: mass, weight and friction, shared by the motors of the axis.
/// - Two carriages on a rail: each motor carries its own.
/// - Crossed belts: half of what X and Y ask, both at once: at a corner one slows down while the other speeds up; the worse of both drives.
/// - Delta: the worst place of what is printed and the worst direction there, by virtual work, weight and acceleration at that place.
/// - Belt bed: the gantry lifts the sine of its tilt.
#[must_use]
pub fn asked(machine: &Machine, limits: &Limits, id: AxisId) -> Option<Asked> {
    let axis = machine.axis(id);
    let (travel, efficiency) = (axes::travel_per_turn(axis), efficiency(limits, axis));
    let own = Load::of(machine, limits, id)?;
    let asked = Asked {
        accelerating: own.accelerating(),
        mass: own.moved(),
        weight: own.weight(),
        friction: own.friction,
        travel,
        efficiency,
    };
    if kinematics::crosses(machine.kinematics, axis) {
        return Some(crossed(machine, limits, own.rotor, &asked));
    }
    if let Some(tower) = kinematics::tower(machine, id) {
        return on_tower(machine, tower, &own, &asked);
    }
    Some(asked)
}

//! Crossed belts: each of two motors turns for both axes.

use model::Kinematics;
use model::machine::{Axis, Machine};
use quantity::Value;
use quantity::si::Velocity;

/// Whether a motor of this axis moves one of two crossed belts, so that it turns for both of their axes.
#[must_use]
pub fn crosses(kinematics: Kinematics, axis: &Axis) -> bool {
    kinematics == Kinematics::CrossedBelts
        && matches!(
            axis.name.value.as_str(),
            "X" | "Y" | "x" | "y" | "A" | "B" | "a" | "b"
        )
}

/// The top speeds of the axes whose two belts cross; none for other machines.
pub(crate) fn crossed_speeds(machine: &Machine) -> impl Iterator<Item = Value<Velocity>> {
    let axes = machine.axes.iter();
    axes.filter(|axis| crosses(machine.kinematics, axis))
        .map(|axis| axis.max_speed.value)
}

//! Crossed belts: each motor pulls half of what both axes ask, friction and losses of both.

use catalogue::Limits;
use model::machine::{AxisId, Machine};
use quantity::si::{Force, Mass, Ratio};
use quantity::{Number, Value};

use crate::facts::kinematics;
use crate::facts::torque::asked::Asked;
use crate::facts::torque::load::{Load, efficiency};

/// The rotor follows both axes at once, and has no other motor to share that with.
pub(crate) fn crossed(machine: &Machine, limits: &Limits, rotor: Value<Mass>, own: &Asked) -> Asked {
    let loads: Vec<Load> = (0..machine.axes.len())
        .map(AxisId)
        .filter(|id| kinematics::crosses(machine.kinematics, machine.axis(*id)))
        .filter_map(|id| Load::of(machine, limits, id))
        .collect();
    // Each belt runs over the pulleys of both axes: the worse of both drives counts.
    let drives = (0..machine.axes.len())
        .map(AxisId)
        .filter(|id| kinematics::crosses(machine.kinematics, machine.axis(*id)))
        .map(|id| efficiency(limits, machine.axis(id)));
    let worse =
        |one: Value<Ratio>, other: Value<Ratio>| Value::corners(|end| one.at(end).smaller(other.at(end)));
    let half = |sum: Value<Force>| sum.scale(0.5);
    let pull = |load: &Load| Some((load.mass?.scale(0.5) + rotor) * load.acceleration?);
    let all: Option<Vec<Value<Force>>> = loads.iter().map(pull).collect();
    let masses: Option<Vec<Value<Mass>>> = loads.iter().map(|load| load.mass).collect();
    Asked {
        accelerating: all.map(|forces| forces.into_iter().sum()),
        mass: masses.map(|masses| masses.into_iter().map(|mass| mass.scale(0.5) + rotor).sum()),
        weight: half(loads.iter().map(Load::weight).sum()),
        friction: half(loads.iter().map(|load| load.friction).sum()),
        efficiency: drives.fold(own.efficiency, worse),
        ..*own
    }
}

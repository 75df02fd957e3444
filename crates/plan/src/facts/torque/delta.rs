//! A delta: what a tower feels at the worst place of the rim, by virtual work.

use model::machine::Machine;
use physics::motion;
use quantity::si::{Force, Mass};
use quantity::{Number, Value};

use crate::facts::kinematics;
use crate::facts::torque::asked::Asked;
use crate::facts::torque::load::Load;

/// A tower of a delta; `None` where arm, radius or the mass of the nozzle is not stated, or the arms do not reach.
pub(crate) fn on_tower(machine: &Machine, tower: usize, own: &Load, asked: &Asked) -> Option<Asked> {
    let geometry = machine.geometry.as_ref()?;
    let nozzle = geometry.nozzle_mass?.value;
    let (any, down) = kinematics::worst_shares(machine, |kinematics, place| {
        let one = Force::from_base(1.0);
        let none = Force::from_base(0.0);
        let share = |force| Some(kinematics.forces(place, force).ok()?[tower].base());
        let (x, y, z) = (
            share([one, none, none])?,
            share([none, one, none])?,
            share([none, none, one])?,
        );
        Some((x.hypot(y).hypot(z), z))
    })?;
    let speed = kinematics::tower_share(machine, tower)?;
    let carriage = own.mass.unwrap_or(Value::exact(Mass::from_base(0.0)));
    let fall = Value::exact(motion::free_fall());
    let mass = nozzle.scale(any) + (carriage + own.rotor).scale(speed);
    Some(Asked {
        accelerating: own.acceleration.map(|acceleration| mass * acceleration),
        mass: Some(mass),
        weight: (nozzle.scale(down) + carriage) * fall,
        ..*asked
    })
}

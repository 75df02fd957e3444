//! A delta: what a tower feels at the worst place that is printed, by virtual work.

use model::machine::Machine;
use physics::motion::{self, Kinematics, Place};
use quantity::si::{Acceleration, Force, Mass};
use quantity::{Number, Value};

use crate::facts::kinematics;
use crate::facts::torque::asked::Asked;
use crate::facts::torque::load::Load;

/// What a tower feels at one place.
#[derive(Clone, Copy)]
struct Felt {
    /// Its force for a force of one at the nozzle, along x, y and z.
    pull: [f64; 3],
    /// The speed of its carriage for a speed of one of the nozzle, along x, y and z.
    speed: [f64; 3],
}

impl Felt {
    fn at(kinematics: &Kinematics, place: Place, tower: usize) -> Option<Self> {
        let one = |along: usize| core::array::from_fn(|at| if at == along { 1.0 } else { 0.0 });
        let pull =
            |along| Some(kinematics.forces(place, one(along).map(Force::from_base)).ok()?[tower].base());
        let speed = |along| {
            let velocity = one(along).map(quantity::si::Velocity::from_base);
            Some(kinematics.speeds(place, velocity).ok()?[tower].base())
        };
        Some(Self {
            pull: [pull(0)?, pull(1)?, pull(2)?],
            speed: [speed(0)?, speed(1)?, speed(2)?],
        })
    }
    /// The mass that the tower accelerates in the worst direction: the nozzle by its pull, its own carriage by its speed.
    fn mass(&self, nozzle: Mass, carriage: Mass) -> Mass {
        let along = |at: usize| nozzle.base() * self.pull[at] + carriage.base() * self.speed[at];
        Mass::from_base(along(0).hypot(along(1)).hypot(along(2)))
    }
}

/// A tower of a delta; `None` where arm, radius, reach or the mass of the nozzle is not stated, or the arms do not reach.
///
/// Weight and acceleration are those of one place, and nozzle and carriage accelerate in one direction: the place where both together ask most.
/// Leaves out what moves the nozzle on a curve of the carriages at high speed.
pub(crate) fn on_tower(machine: &Machine, tower: usize, own: &Load, asked: &Asked) -> Option<Asked> {
    let nozzle = machine.geometry.as_ref()?.nozzle_mass?.value;
    let carriage = own.mass.unwrap_or(Value::exact(Mass::from_base(0.0)));
    let moved = carriage + own.rotor;
    let fall = motion::free_fall();
    // Where no acceleration is stated, the place where one of free fall would ask most.
    let acceleration = own
        .acceleration
        .map_or(fall, |asked: Value<Acceleration>| asked.high());
    let force = |felt: &Felt| {
        let mass = felt.mass(nozzle.high(), moved.high());
        mass.base() * acceleration.base() + nozzle.high().base() * felt.pull[2] * fall.base()
    };
    let felt: Option<Vec<Felt>> = kinematics::places(machine)
        .map(|(kinematics, place)| Felt::at(&kinematics, place, tower))
        .collect();
    let worst = felt?
        .into_iter()
        .max_by(|one, other| force(one).total_cmp(&force(other)))?;
    let mass = Value::corners(|end| worst.mass(nozzle.at(end), moved.at(end)));
    Some(Asked {
        accelerating: own.acceleration.map(|acceleration| mass * acceleration),
        mass: Some(mass),
        weight: (nozzle.scale(worst.pull[2]) + carriage) * Value::exact(fall),
        ..*asked
    })
}

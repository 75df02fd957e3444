//! What an axis asks of one of its motors, as forces and as torque.

use physics::motion;
use quantity::si::{Acceleration, Force, Length, Mass, Ratio, Torque};
use quantity::{Number, Value, si};

/// What an axis asks of one of its motors, as forces at its belt, nut or wheel.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// The force that accelerates as the axis is asked to; `None` where mass or acceleration is not stated.
    pub accelerating: Option<Value<Force>>,
    /// The mass that this force stands for, over the acceleration of the axis; with what the rotor stands for.
    pub mass: Option<Value<Mass>>,
    /// The weight that the motor lifts.
    pub weight: Value<Force>,
    /// Friction, or what pushes the filament.
    pub friction: Value<Force>,
    /// Travel in one turn of the motor.
    pub travel: Value<Length>,
    /// Share of its work that the drive passes on.
    pub efficiency: Value<Ratio>,
}

impl Asked {
    /// All forces together while the axis accelerates, or moves evenly where no acceleration is known.
    #[must_use]
    pub fn force(&self) -> Value<Force> {
        self.steady() + self.accelerating.unwrap_or(Value::exact(Force::from_base(0.0)))
    }
    /// The force at even speed.
    #[must_use]
    pub fn steady(&self) -> Value<Force> {
        self.weight + self.friction
    }
    /// The same with another acceleration asked of the axis.
    #[must_use]
    pub fn accelerated(self, asked: Value<Acceleration>) -> Self {
        Self {
            accelerating: self.mass.map(|mass| mass * asked),
            ..self
        }
    }
    /// The torque at the motor for a force.
    #[must_use]
    pub fn torque_of(&self, force: Value<Force>) -> Value<Torque> {
        let (travel, efficiency) = (self.travel, self.efficiency);
        Value::corners(|end| motion::axis_torque(force.at(end), travel.at(end), efficiency.at(end.other())))
    }
    /// The torque at the motor for all forces together.
    #[must_use]
    pub fn torque(&self) -> Value<Torque> {
        self.torque_of(self.force())
    }
    /// The acceleration of the axis that a torque of the motor gives; `None` where the mass is not known.
    #[must_use]
    pub fn acceleration_from(&self, torque: Value<Torque>) -> Option<Value<Acceleration>> {
        let mass = self.mass?;
        let (travel, efficiency, steady) = (self.travel, self.efficiency, self.steady());
        let level = si::ratio(0.0);
        let at = |torque, travel, efficiency, steady, mass| {
            motion::reachable_acceleration(torque, travel, efficiency, steady, mass, level)
                .larger(Acceleration::from_base(0.0))
        };
        Some(Value::corners(|end| {
            at(
                torque.at(end),
                travel.at(end.other()),
                efficiency.at(end),
                steady.at(end.other()),
                mass.at(end.other()),
            )
        }))
    }
}

//! The reserve of torque that a motor keeps, and the speed at which it still does.

use core::f64::consts::TAU;

use catalogue::Limits;
use model::machine::{Axis, Machine};
use quantity::si::{AngularVelocity, Length, Torque, Velocity};
use quantity::{Number, Value};

use crate::facts::axes;
use crate::facts::kinematics;

/// The share of its speed that a motor may use so that its reserve of torque is kept.
#[must_use]
pub fn usable(limits: &Limits, torque: Value<Torque>) -> Value<Torque> {
    let kept = limits.motor_torque_reserve.value;
    Value::corners(|end| torque.at(end) * (1.0 - kept.at(end.other()).base()))
}

/// The torque that a motor must have so that a needed one leaves it its reserve.
#[must_use]
pub fn with_reserve(limits: &Limits, needed: Value<Torque>) -> Value<Torque> {
    let kept = limits.motor_torque_reserve.value;
    Value::corners(|end| needed.at(end) / (1.0 - kept.at(end).base()))
}

/// The speed at which a motor still gives a torque, as a speed of its axis.
#[must_use]
pub fn axis_speed(machine: &Machine, axis: &Axis, shaft: Value<AngularVelocity>) -> Value<Velocity> {
    let share = kinematics::belt_share(machine, axis);
    let travel = axes::travel_per_turn(axis);
    let at = |shaft: AngularVelocity, travel: Length| {
        Velocity::from_base(shaft.base() / TAU * travel.base() / share)
    };
    Value::corners(|end| at(shaft.at(end), travel.at(end)))
}

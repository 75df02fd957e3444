//! Motors on their drivers and axes: travel, steps, speeds, currents, and the two motors of one driver.

use core::f64::consts::{PI, TAU};

use model::board::Driver;
use model::machine::{Axis, AxisId, Detail, Device, Drive, Motor};
use quantity::si::{Angle, AngularVelocity, Length, StepDensity, Velocity};
use quantity::{Number, Value};

use crate::facts::drivers::offered;

/// Microsteps where neither the old setting nor a wish is known: what most axes are set to.
pub const USUAL_MICROSTEPS: u32 = 16;

/// The motor of a device.
pub(crate) fn motor(detail: &Detail) -> Option<&Motor> {
    match detail {
        Detail::Motor(motor) => Some(motor),
        _ => None,
    }
}

/// The motor of a device, with its axis.
pub(crate) fn motor_of(device: &Device) -> Option<(&Motor, AxisId)> {
    match &device.detail {
        Detail::Motor(motor) => Some((motor, motor.axis)),
        _ => None,
    }
}

/// One full step of a motor.
#[must_use]
pub fn full_step(motor: &Motor) -> Angle {
    Angle::from_base(TAU / f64::from(motor.steps_per_turn))
}

/// Travel of an axis for one turn of its motor.
#[must_use]
pub fn travel_per_turn(axis: &Axis) -> Value<Length> {
    let of_wheel = match axis.drive {
        Drive::Belt { pitch, teeth } => pitch.value.scale(f64::from(*teeth)),
        Drive::Screw { lead } => lead.value,
        Drive::Extruder { wheel } => wheel.value.scale(PI),
    };
    of_wheel / axis.ratio
}

/// Steps per length of an axis.
#[must_use]
pub fn steps_per_length(axis: &Axis, motor: &Motor, microsteps: u32) -> Value<StepDensity> {
    let per_turn = f64::from(motor.steps_per_turn) * f64::from(microsteps);
    travel_per_turn(axis).map(|travel| StepDensity::from_base(per_turn / travel.base()))
}

/// The microsteps that an axis would like: what its file asks for, the old ones, or the usual ones.
#[must_use]
pub fn wanted_microsteps(axis: &Axis) -> u32 {
    let stated = axis.microsteps.or(axis.old_microsteps);
    stated.map_or(USUAL_MICROSTEPS, |stated| stated.value)
}

/// The microsteps of an axis on a driver.
#[must_use]
pub fn microsteps(axis: &Axis, driver: &Driver) -> u32 {
    offered(driver, wanted_microsteps(axis))
}

/// Speed of the shaft of a motor at a speed of its axis.
#[must_use]
pub fn shaft_speed(axis: &Axis, speed: Value<Velocity>) -> Value<AngularVelocity> {
    let turns = speed / travel_per_turn(axis);
    turns.map(|turns| AngularVelocity::from_base(TAU * turns.base()))
}

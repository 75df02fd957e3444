//! From steps to travel: step angle, steps per millimetre of each kind of drive, step rate.

use core::f64::consts::{FRAC_PI_2, PI, TAU};

use quantity::si::{Angle, AngularVelocity, Frequency, Length, Ratio, StepDensity, Torque, Velocity};
use quantity::{Number, Range};

use crate::{Formula, OutOfRange};

/// See [`step_angle`].
pub static STEP_ANGLE: Formula = Formula::new(
    "step-angle",
    "Full step of a hybrid motor",
    "φ = 360° / (2 · m · Nᵣ)",
    "stepping-motors-book",
    "",
);
/// See [`belt_steps`].
pub static BELT_STEPS: Formula = Formula::new(
    "belt-steps",
    "Steps per length of a belt drive",
    "s = 360° / φ · n · i / (p · z)",
    "iso-80000-3",
    "geometry",
);
/// See [`screw_steps`].
pub static SCREW_STEPS: Formula = Formula::new(
    "screw-steps",
    "Steps per length of a screw drive",
    "s = 360° / φ · n · i / h",
    "iso-80000-3",
    "geometry",
);
/// See [`roller_steps`].
pub static ROLLER_STEPS: Formula = Formula::new(
    "roller-steps",
    "Steps per length of a driven roller",
    "s = 360° / φ · n · i / (π · d)",
    "iso-80000-3",
    "geometry",
);
/// See [`scaled_steps`].
pub static SCALED_STEPS: Formula = Formula::new(
    "scaled-steps",
    "Steps per length with other microsteps",
    "s = s₀ · n / n₀",
    "iso-80000-3",
    "geometry",
);
/// See [`travel_per_step`].
pub static TRAVEL_PER_STEP: Formula = Formula::new(
    "travel-per-step",
    "Travel of one step",
    "δ = 1 / s",
    "iso-80000-3",
    "geometry",
);
/// See [`step_rate`].
pub static STEP_RATE: Formula = Formula::new(
    "step-rate",
    "Steps per second at a speed",
    "f = v · s",
    "iso-80000-3",
    "",
);
/// See [`speed_of_step_rate`].
pub static SPEED_OF_STEP_RATE: Formula = Formula::new(
    "speed-of-step-rate",
    "Speed at a step rate",
    "v = f / s",
    "iso-80000-3",
    "",
);
/// See [`turn_rate`].
pub static TURN_RATE: Formula = Formula::new(
    "turn-rate",
    "Speed of rotation of a motor",
    "ω = v · s / (n · 360° / φ)",
    "iso-80000-3",
    "",
);
/// See [`microstep_torque`].
pub static MICROSTEP_TORQUE: Formula = Formula::new(
    "microstep-torque",
    "Torque that one microstep adds",
    "M = Mₕ · sin(90° / n)",
    "stepping-motors-book",
    "",
);

/// See [`load_lag`].
pub static LOAD_LAG: Formula = Formula::new(
    "load-lag",
    "How far an axis lags behind its motor's field under a load",
    "δ = h / 2π · arcsin(M / Mₕ) / Nᵣ",
    "stepping-motors-book",
    "sine of torque against angle",
);

/// Full step of a hybrid motor.
///
/// `φ = 360° / (2 · m · Nᵣ)`
///
/// - `phases`: 2 for the usual motor; `rotor_teeth`: 50 for 1.8°, 100 for 0.9°.
///
/// Monotone in both.
///
/// # Source
/// [stepping-motors-book].
#[must_use]
pub fn step_angle(phases: Ratio, rotor_teeth: Ratio) -> Angle {
    Angle::from_base(TAU / (2.0 * phases.base() * rotor_teeth.base()))
}

/// Steps per length of a belt drive.
///
/// `s = 360° / φ · n · i / (p · z)`
///
/// - `step`: full step of the motor; `microsteps`: of the driver, in one full step.
/// - `gear`: turns of the motor for one of the pulley; 1 without a gear.
/// - `pitch`: of the belt; `teeth`: of the pulley.
///
/// Monotone in each. Leaves out: stretch of the belt.
///
/// ```
/// use physics::motion::belt_steps;
/// use quantity::{Number, si::{degree, millimetre, ratio}};
/// let steps = belt_steps(degree(1.8), ratio(16.0), ratio(1.0), millimetre(2.0), ratio(20.0));
/// assert!((steps.base() / 1000.0 - 80.0).abs() < 1e-9);
/// ```
///
/// # Source
/// Geometry.
#[must_use]
pub fn belt_steps(step: Angle, microsteps: Ratio, gear: Ratio, pitch: Length, teeth: Ratio) -> StepDensity {
    steps_over(step, microsteps, gear, pitch * teeth)
}

/// Steps per length of a screw drive.
///
/// `s = 360° / φ · n · i / h`
///
/// - `step`, `microsteps`, `gear`: as for [`belt_steps`].
/// - `lead`: travel in one turn of the screw: pitch times number of starts.
///
/// Monotone in each.
///
/// # Source
/// Geometry.
#[must_use]
pub fn screw_steps(step: Angle, microsteps: Ratio, gear: Ratio, lead: Length) -> StepDensity {
    steps_over(step, microsteps, gear, lead)
}

/// Steps per length of a driven roller, such as the drive gear of an extruder.
///
/// `s = 360° / φ · n · i / (π · d)`
///
/// - `step`, `microsteps`, `gear`: as for [`belt_steps`].
/// - `diameter`: effective, where the roller grips; > 0.
///
/// Monotone in each. Leaves out: how deep the teeth bite, which decides the effective diameter: measure it.
///
/// # Source
/// Geometry.
#[must_use]
pub fn roller_steps(step: Angle, microsteps: Ratio, gear: Ratio, diameter: Length) -> StepDensity {
    steps_over(step, microsteps, gear, diameter * PI)
}

/// Steps per length that are kept when the driver makes other microsteps.
///
/// `s = s₀ · n / n₀`
///
/// - `old`: steps per length that were found to be right; `old_microsteps`: with which they were; `microsteps`: now.
///
/// Monotone in each.
///
/// # Source
/// Geometry.
#[must_use]
pub fn scaled_steps(old: StepDensity, microsteps: Ratio, old_microsteps: Ratio) -> StepDensity {
    StepDensity::from_base(old.base() * microsteps.base() / old_microsteps.base())
}

/// Travel of one step: what the axis can be told, not what it holds.
///
/// `δ = 1 / s`. Monotone.
///
/// # Source
/// Geometry.
#[must_use]
pub fn travel_per_step(steps: StepDensity) -> Length {
    Length::from_base(1.0 / steps.base())
}

/// Steps per second at a speed.
///
/// `f = v · s`. Monotone in both.
///
/// # Source
/// [iso-80000-3], a definition.
#[must_use]
pub fn step_rate(speed: Velocity, steps: StepDensity) -> Frequency {
    Frequency::from_base(speed.base() * steps.base())
}

/// Speed at a step rate; the inverse of [`step_rate`].
///
/// `v = f / s`. Monotone in both.
///
/// # Source
/// [iso-80000-3], a definition.
#[must_use]
pub fn speed_of_step_rate(rate: Frequency, steps: StepDensity) -> Velocity {
    Velocity::from_base(rate.base() / steps.base())
}

/// Speed of rotation of the motor at a speed of its axis.
///
/// `ω = v · s / (n · 360° / φ)`
///
/// - `speed`: of the axis; `steps`: per length; `microsteps` and `step`: those with which `steps` was computed.
///
/// Monotone in each.
///
/// # Source
/// Geometry.
#[must_use]
pub fn turn_rate(speed: Velocity, steps: StepDensity, microsteps: Ratio, step: Angle) -> AngularVelocity {
    AngularVelocity::from_base(step_rate(speed, steps).base() / microsteps.base() * step.base())
}

/// Torque that one microstep adds: a load above it swallows the microstep.
///
/// `M = Mₕ · sin(90° / n)`
///
/// - `holding`: torque of the motor at the set current; `microsteps`: in one full step, ≥ 1.
///
/// Monotone in both.
///
/// # Source
/// [stepping-motors-book], sine of torque against angle.
#[must_use]
pub fn microstep_torque(holding: Torque, microsteps: Ratio) -> Torque {
    holding * (FRAC_PI_2 / microsteps.base()).sin()
}

/// How far an axis lags behind the field of its motor under a load, which friction turns round with the direction.
///
/// `δ = h / 2π · arcsin(M / Mₕ) / Nᵣ`, one full step where the load reaches the holding torque
///
/// - `travel`: of the axis in one turn of the motor. `load`: torque at the motor, at most `holding`.
/// - `holding`: at the set current ([`super::torque_at_current`]), > 0 N m. `rotor_teeth`: 50 for 1.8°.
///
/// Monotone in each.
///
/// # Errors
/// [`OutOfRange`] where the load is above the holding torque: the motor then loses its step.
///
/// # Source
/// [stepping-motors-book], sine of torque against angle (from memory).
pub fn load_lag(
    travel: Length,
    load: Torque,
    holding: Torque,
    rotor_teeth: Ratio,
) -> Result<Length, OutOfRange> {
    let range = Range::new(Ratio::from_base(0.0), Ratio::from_base(1.0));
    let share = OutOfRange::check("load as a share of the holding torque", load / holding, range)?;
    Ok(travel * (share.base().asin() / rotor_teeth.base() / TAU))
}

fn steps_over(step: Angle, microsteps: Ratio, gear: Ratio, travel: Length) -> StepDensity {
    StepDensity::from_base(TAU / step.base() * microsteps.base() * gear.base() / travel.base())
}

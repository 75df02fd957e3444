//! What a winding lets through: back-EMF, voltage and current at speed, rise of current, the signal of homing by stall detection.

use core::f64::consts::SQRT_2;

use quantity::Number;
use quantity::si::{
    AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Inductance, Ratio, Time,
    Torque,
};

use crate::Formula;

/// See [`back_emf`].
pub static BACK_EMF: Formula = Formula::new(
    "back-emf",
    "Back-EMF of a stepping motor, peak of one phase",
    "E = Mₕ · ω / (√2 · Iᵣ)",
    "electric-machines-textbook",
    "synchronous machine",
);
/// See [`torque_at_current`].
pub static TORQUE_AT_CURRENT: Formula = Formula::new(
    "torque-at-current",
    "Torque of a stepping motor at a sine current",
    "M = Mₕ · I / (√2 · Iᵣ)",
    "electric-machines-textbook",
    "synchronous machine",
);
/// See [`voltage_at_speed`].
pub static VOLTAGE_AT_SPEED: Formula = Formula::new(
    "voltage-at-speed",
    "Voltage that a stepping motor needs at speed",
    "U = √((R · I + E)² + (Nᵣ · ω · L · I)²)",
    "electric-machines-textbook",
    "phasor diagram",
);
/// See [`current_at_speed`].
pub static CURRENT_AT_SPEED: Formula = Formula::new(
    "current-at-speed",
    "Current that a supply can still drive at speed",
    "I = (√((R² + X²) · U² − X² · E²) − R · E) / (R² + X²) with X = Nᵣ · ω · L",
    "electric-machines-textbook",
    "phasor diagram, solved",
);
/// See [`current_rise`].
pub static CURRENT_RISE: Formula = Formula::new(
    "current-rise",
    "Rise of current in a winding",
    "I = U / R · (1 − exp(−t · R / L))",
    "chopper-note",
    "worked example",
);
/// See [`voltage_for_rise`].
pub static VOLTAGE_FOR_RISE: Formula = Formula::new(
    "voltage-for-rise",
    "Voltage that brings a winding to a current in a time",
    "U = I · R / (1 − exp(−t · R / L))",
    "chopper-note",
    "worked example",
);
/// See [`winding_time`].
pub static WINDING_TIME: Formula = Formula::new(
    "winding-time",
    "Time constant of a winding",
    "τ = L / R",
    "chopper-note",
    "worked example",
);
/// See [`reversal_time`].
pub static REVERSAL_TIME: Formula = Formula::new(
    "reversal-time",
    "Time to reverse the current of a winding",
    "t = 2 · L · I / U",
    "iec-80000-6",
    "",
);
/// See [`signal_share`].
pub static SIGNAL_SHARE: Formula = Formula::new(
    "signal-share",
    "Signal of homing by stall detection against its floor",
    "s = E / E₀",
    "common-practice",
    "",
);

/// Back-EMF of a stepping motor, peak of one phase.
///
/// `E = Mₕ · ω / (√2 · Iᵣ)`
///
/// - `holding`: rated holding torque, with both phases at `rated`, > 0 A.
/// - `speed`: of the shaft.
///
/// Monotone in each. The torque constant `Mₕ / (√2 · Iᵣ)` in N m/A is the voltage constant in V s/rad.
/// Leaves out: that iron saturates, which makes the constant at low current up to some ten per cent larger.
///
/// # Source
/// [electric-machines-textbook], synchronous machine (from memory).
#[must_use]
pub fn back_emf(holding: Torque, rated: ElectricCurrent, speed: AngularVelocity) -> ElectricPotential {
    ElectricPotential::from_base(holding.base() * speed.base() / (SQRT_2 * rated.base()))
}

/// Torque of a stepping motor at a sine current of known peak.
///
/// `M = Mₕ · I / (√2 · Iᵣ)`
///
/// - `holding`, `rated`: as for [`back_emf`]. `current`: peak of one phase.
///
/// Monotone in each. This is the most the motor can give: the load must stay below it. Leaves out: friction, iron losses, resonance.
///
/// # Source
/// As for [`back_emf`].
#[must_use]
pub fn torque_at_current(holding: Torque, rated: ElectricCurrent, current: ElectricCurrent) -> Torque {
    holding * (current / rated).base() / SQRT_2
}

/// Voltage that a stepping motor needs at speed, peak of one phase, with the current in phase with the back-EMF.
///
/// `U = √((R · I + E)² + (Nᵣ · ω · L · I)²)`
///
/// - `resistance`, `inductance`: of one phase. `current`: peak.
/// - `back_emf`: at this speed ([`back_emf`]).
/// - `rotor_teeth`: 50 for a 1.8° motor. `speed`: of the shaft.
///
/// Monotone in each for values ≥ 0. Leaves out: the driver's own voltage drop, iron losses, saturation.
///
/// # Source
/// [electric-machines-textbook], phasor diagram (from memory).
#[must_use]
pub fn voltage_at_speed(
    resistance: ElectricalResistance,
    inductance: Inductance,
    current: ElectricCurrent,
    back_emf: ElectricPotential,
    rotor_teeth: Ratio,
    speed: AngularVelocity,
) -> ElectricPotential {
    let real = (resistance * current + back_emf).base();
    let imaginary = reactance(inductance, rotor_teeth, speed) * current.base();
    ElectricPotential::from_base(real.hypot(imaginary))
}

/// Current that a supply can still drive at speed, peak of one phase; zero where the back-EMF alone passes the supply.
///
/// `I = (√((R² + X²) · U² − X² · E²) − R · E) / (R² + X²)` with `X = Nᵣ · ω · L`; [`voltage_at_speed`] solved for the current
///
/// - `supply`: at the driver; the others as for [`voltage_at_speed`].
///
/// Monotone in each for values ≥ 0.
///
/// # Source
/// As for [`voltage_at_speed`].
#[must_use]
pub fn current_at_speed(
    supply: ElectricPotential,
    resistance: ElectricalResistance,
    inductance: Inductance,
    back_emf: ElectricPotential,
    rotor_teeth: Ratio,
    speed: AngularVelocity,
) -> ElectricCurrent {
    let (u, r, e) = (supply.base(), resistance.base(), back_emf.base());
    if e >= u {
        return ElectricCurrent::from_base(0.0);
    }
    let x = reactance(inductance, rotor_teeth, speed);
    // By its conjugate, (U² − E²) / (√((R² + X²) U² − X² E²) + R E), so that nothing cancels where E is near U.
    let left = (u - e) * (u + e);
    let root = (r * r * u * u + x * x * left).sqrt();
    ElectricCurrent::from_base(left / (root + r * e))
}

/// Current in a winding some time after a voltage was applied to it.
///
/// `I = U / R · (1 − exp(−t · R / L))`
///
/// - `voltage`, `resistance`, `inductance`: of one phase, > 0. `time`: ≥ 0 s.
///
/// Monotone in each. Leaves out: back-EMF and the change of inductance with position.
///
/// # Source
/// [chopper-note], worked example.
#[must_use]
pub fn current_rise(
    voltage: ElectricPotential,
    resistance: ElectricalResistance,
    inductance: Inductance,
    time: Time,
) -> ElectricCurrent {
    let share = risen(time, resistance, inductance);
    voltage / resistance * share
}

/// Voltage that brings a winding to a current in a time; the inverse of [`current_rise`].
///
/// `U = I · R / (1 − exp(−t · R / L))`. Monotone in each.
///
/// # Source
/// As for [`current_rise`].
#[must_use]
pub fn voltage_for_rise(
    current: ElectricCurrent,
    resistance: ElectricalResistance,
    inductance: Inductance,
    time: Time,
) -> ElectricPotential {
    let share = risen(time, resistance, inductance);
    current * resistance / share
}

/// Time constant of a winding.
///
/// `τ = L / R`. Monotone in both.
///
/// # Source
/// As for [`current_rise`].
#[must_use]
pub fn winding_time(inductance: Inductance, resistance: ElectricalResistance) -> Time {
    Time::from_base(inductance.base() / resistance.base())
}

/// Time to reverse the current of a winding, with its resistance neglected.
///
/// `t = 2 · L · I / U`. Monotone in each. The resistance makes it longer.
///
/// # Source
/// [iec-80000-6], law of induction.
#[must_use]
pub fn reversal_time(inductance: Inductance, current: ElectricCurrent, voltage: ElectricPotential) -> Time {
    Time::from_base(2.0 * inductance.base() * current.base() / voltage.base())
}

/// Signal of homing by stall detection against the least that the driver can tell from its own noise.
///
/// `s = E / E₀`
///
/// - `back_emf`: at the homing speed ([`back_emf`]); `floor`: of the driver, > 0 V.
///
/// Monotone in both. Below 1 a stall cannot be told from standing still, so homing by load does not work at that speed.
///
/// # Source
/// A definition; common practice, no source. The floor comes from the driver's file.
#[must_use]
pub fn signal_share(back_emf: ElectricPotential, floor: ElectricPotential) -> Ratio {
    back_emf / floor
}

fn reactance(inductance: Inductance, rotor_teeth: Ratio, speed: AngularVelocity) -> f64 {
    rotor_teeth.base() * speed.base() * inductance.base()
}

/// `1 − exp(−t · R / L)`, without loss of digits for short times.
fn risen(time: Time, resistance: ElectricalResistance, inductance: Inductance) -> f64 {
    -(-time.base() * resistance.base() / inductance.base()).exp_m1()
}

//! Noise and reference error of a thermometer input, in kelvin.

use quantity::Number;
use quantity::si::{
    ElectricPotential, ElectricalResistance, Frequency, Ratio, TemperatureCoefficient, TemperatureInterval,
    ThermodynamicTemperature,
};

use crate::Formula;

/// See [`thermal_noise`].
pub static THERMAL_NOISE: Formula = Formula::new(
    "thermal-noise",
    "Thermal noise of a resistance, root mean square",
    "Uₙ = √(4 · k · T · R · B)",
    "nyquist-1928",
    "",
);
/// See [`noise_in_kelvin`].
pub static NOISE_IN_KELVIN: Formula = Formula::new(
    "noise-in-kelvin",
    "Noise of a thermometer input in kelvin",
    "σ = δϑ · Uₙ / U₁",
    "common-practice",
    "",
);
/// See [`averaged_noise`].
pub static AVERAGED_NOISE: Formula = Formula::new(
    "averaged-noise",
    "Noise that is left after averaging",
    "σ = σ₁ / √n",
    "quantization-noise-book",
    "",
);
/// See [`noise_sum`].
pub static NOISE_SUM: Formula = Formula::new(
    "noise-sum",
    "Independent noises together",
    "U = √(U₁² + U₂²)",
    "common-practice",
    "",
);
/// See [`reference_error`].
pub static REFERENCE_ERROR: Formula = Formula::new(
    "reference-error",
    "Temperature error from a reference that differs from the pull-up's supply",
    "Δϑ = e · (R + Rₚ) / (Rₚ · |α|)",
    "iec-80000-6",
    "derivative of the divider",
);

/// Boltzmann constant in J/K, exact by definition of the kelvin.
const BOLTZMANN: f64 = 1.380_649e-23;

/// Thermal noise of a resistance, root mean square.
///
/// `Uₙ = √(4 · k · T · R · B)`
///
/// - `temperature`: of the resistor. `resistance`: seen by the converter: thermometer and pull-up in parallel.
/// - `bandwidth`: of the input, `π/2` times the corner of a simple filter.
///
/// Monotone in each.
///
/// # Source
/// [nyquist-1928].
#[must_use]
pub fn thermal_noise(
    temperature: ThermodynamicTemperature,
    resistance: ElectricalResistance,
    bandwidth: Frequency,
) -> ElectricPotential {
    let square = 4.0 * BOLTZMANN * temperature.base() * resistance.base() * bandwidth.base();
    ElectricPotential::from_base(square.sqrt())
}

/// Noise of a thermometer input in kelvin, from its noise in volt.
///
/// `σ = δϑ · Uₙ / U₁`
///
/// - `kelvin_per_step`, `step`: of the input ([`super::kelvin_per_step`], [`super::converter_step`]).
/// - `noise`: at the converter, root mean square.
///
/// Monotone in each.
///
/// # Source
/// A definition; common practice, no source.
#[must_use]
pub fn noise_in_kelvin(
    kelvin_per_step: TemperatureInterval,
    noise: ElectricPotential,
    step: ElectricPotential,
) -> TemperatureInterval {
    kelvin_per_step * (noise / step).base()
}

/// Noise that is left after averaging independent readings.
///
/// `σ = σ₁ / √n`
///
/// - `noise`: of one reading; `readings`: how many are averaged, ≥ 1.
///
/// Monotone in both. Holds only where the noise before averaging is about half a converter step or more: else the steps
/// stay. Mains pick-up and drift do not average out either.
///
/// # Source
/// [quantization-noise-book] (from memory).
#[must_use]
pub fn averaged_noise(noise: TemperatureInterval, readings: Ratio) -> TemperatureInterval {
    noise / readings.base().sqrt()
}

/// Independent noises together, each root mean square.
///
/// `U = √(U₁² + U₂²)`. Monotone in both for values ≥ 0.
///
/// # Source
/// Variances of independent quantities add; common practice, no source.
#[must_use]
pub fn noise_sum(one: ElectricPotential, other: ElectricPotential) -> ElectricPotential {
    ElectricPotential::from_base(one.base().hypot(other.base()))
}

/// Temperature error where converter and pull-up do not share their reference.
///
/// `Δϑ = e · (R + Rₚ) / (Rₚ · |α|)`: first order, the size of the error
///
/// - `error`: relative difference of the two voltages, ≥ 0. Zero for a ratiometric input.
/// - `resistance`: of the thermometer there; `pull_up`; `slope`: relative slope of the thermometer.
///
/// Monotone in each.
///
/// # Source
/// Derivative of the divider; algebra.
#[must_use]
pub fn reference_error(
    error: Ratio,
    resistance: ElectricalResistance,
    pull_up: ElectricalResistance,
    slope: TemperatureCoefficient,
) -> TemperatureInterval {
    let share = 1.0 + (resistance / pull_up).base();
    TemperatureInterval::from_base(error.base() * share / slope.base().abs())
}

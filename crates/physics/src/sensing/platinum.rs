//! Platinum thermometers by their standard curve, both ways, with the tolerance of their classes.

use quantity::si::{
    ElectricalResistance, TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature, celsius,
};
use quantity::{Number, Range};
use serde::Serialize;

use crate::{Formula, OutOfRange};

/// See [`platinum_resistance`].
pub static PLATINUM_RESISTANCE: Formula = Formula::new(
    "platinum-resistance",
    "Resistance of a platinum thermometer",
    "R = R₀ · (1 + A · ϑ + B · ϑ² + C · (ϑ − 100 °C) · ϑ³)",
    "iec-60751",
    "",
);
/// See [`platinum_temperature`].
pub static PLATINUM_TEMPERATURE: Formula = Formula::new(
    "platinum-temperature",
    "Temperature of a platinum thermometer",
    "ϑ = (−A + √(A² − 4 · B · (1 − R / R₀))) / (2 · B)",
    "iec-60751",
    "",
);
/// See [`platinum_tolerance`].
pub static PLATINUM_TOLERANCE: Formula = Formula::new(
    "platinum-tolerance",
    "Tolerance of a platinum thermometer",
    "Δϑ = a + b · |ϑ|",
    "iec-60751",
    "",
);

const A: f64 = 3.9083e-3;
const B: f64 = -5.775e-7;
const C: f64 = -4.183e-12;

/// The temperatures of the standard curve.
fn range() -> Range<ThermodynamicTemperature> {
    Range::new(celsius(-200.0), celsius(850.0))
}

/// Tolerance class of a platinum thermometer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlatinumClass {
    /// ±(0.15 K + 0.002 |ϑ|).
    A,
    /// ±(0.3 K + 0.005 |ϑ|).
    B,
}

/// Resistance of a platinum thermometer.
///
/// `R = R₀ · (1 + A · ϑ + B · ϑ² + C · (ϑ − 100 °C) · ϑ³)`, the last term below 0 °C only;
/// A = 3.9083·10⁻³ /K, B = −5.775·10⁻⁷ /K², C = −4.183·10⁻¹² /K⁴
///
/// - `at_zero`: resistance at 0 °C, 100 Ω or 1000 Ω.
/// - `temperature`: −200 °C to 850 °C.
///
/// Monotone in both. Leaves out: the lead, which adds its resistance where only two wires are used.
///
/// # Errors
/// [`OutOfRange`] outside the standard curve.
///
/// # Source
/// [iec-60751]; all 51 rows of its printed table from −50 °C to 450 °C agree to the last digit.
pub fn platinum_resistance(
    at_zero: ElectricalResistance,
    temperature: ThermodynamicTemperature,
) -> Result<ElectricalResistance, OutOfRange> {
    let temperature = OutOfRange::check("temperature of the platinum thermometer", temperature, range())?;
    Ok(at_zero * factor(above_zero(temperature)))
}

/// Temperature of a platinum thermometer; the inverse of [`platinum_resistance`].
///
/// `ϑ = (−A + √(A² − 4 · B · (1 − R / R₀))) / (2 · B)`; below 0 °C the root of the full curve.
///
/// Monotone in both.
///
/// # Errors
/// [`OutOfRange`] outside the standard curve.
///
/// # Source
/// [iec-60751], solved for the temperature.
pub fn platinum_temperature(
    at_zero: ElectricalResistance,
    resistance: ElectricalResistance,
) -> Result<ThermodynamicTemperature, OutOfRange> {
    let ends = Range::new(at_zero * factor(-200.0), at_zero * factor(850.0));
    let resistance = OutOfRange::check("resistance of the platinum thermometer", resistance, ends)?;
    let ratio = (resistance / at_zero).base();
    let root = (-A + (A * A - 4.0 * B * (1.0 - ratio)).sqrt()) / (2.0 * B);
    if root >= 0.0 {
        return Ok(celsius(root));
    }
    // The quadratic is off by at most 2.4 K at −200 °C; Newton settles to the last digit within four steps.
    let refined = (0..6).fold(root, |t, _| t - (factor(t) - ratio) / slope(t));
    Ok(celsius(refined))
}

/// Relative slope of a platinum thermometer: change of resistance per kelvin and resistance.
///
/// # Errors
/// [`OutOfRange`] outside the standard curve.
pub fn platinum_slope(temperature: ThermodynamicTemperature) -> Result<TemperatureCoefficient, OutOfRange> {
    let t = above_zero(OutOfRange::check(
        "temperature of the platinum thermometer",
        temperature,
        range(),
    )?);
    Ok(TemperatureCoefficient::from_base(slope(t) / factor(t)))
}

/// Tolerance of a platinum thermometer of a class, up and down.
///
/// `Δϑ = a + b · |ϑ|`: 0.15 K and 0.002 in class A, 0.3 K and 0.005 in class B
///
/// Not monotone where the temperature crosses 0 °C.
///
/// # Source
/// [iec-60751].
#[must_use]
pub fn platinum_tolerance(
    class: PlatinumClass,
    temperature: ThermodynamicTemperature,
) -> TemperatureInterval {
    let (a, b) = match class {
        PlatinumClass::A => (0.15, 0.002),
        PlatinumClass::B => (0.3, 0.005),
    };
    TemperatureInterval::from_base(a + b * above_zero(temperature).abs())
}

fn above_zero(temperature: ThermodynamicTemperature) -> f64 {
    temperature.base() - 273.15
}

fn factor(t: f64) -> f64 {
    let cold = if t < 0.0 { C * (t - 100.0) * t * t * t } else { 0.0 };
    1.0 + A * t + B * t * t + cold
}

fn slope(t: f64) -> f64 {
    let cold = if t < 0.0 {
        C * t * t * (4.0 * t - 300.0)
    } else {
        0.0
    };
    A + 2.0 * B * t + cold
}

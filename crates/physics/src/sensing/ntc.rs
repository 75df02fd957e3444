//! Thermistors by the beta law: one resistance, one temperature, one constant.

use quantity::Number;
use quantity::si::{
    ElectricalResistance, TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature,
};

use crate::Formula;

/// See [`beta_resistance`].
pub static BETA_RESISTANCE: Formula = Formula::new(
    "beta-resistance",
    "Resistance of a thermistor by its beta",
    "R = Rᵣ · exp(B · (1/T − 1/Tᵣ))",
    "iec-60539-1",
    "",
);
/// See [`beta_temperature`].
pub static BETA_TEMPERATURE: Formula = Formula::new(
    "beta-temperature",
    "Temperature of a thermistor by its beta",
    "T = 1 / (1/Tᵣ + ln(R / Rᵣ) / B)",
    "iec-60539-1",
    "",
);
/// See [`beta_between`].
pub static BETA_BETWEEN: Formula = Formula::new(
    "beta-between",
    "Beta of a thermistor between two points",
    "B = ln(R₁ / R₂) / (1/T₁ − 1/T₂)",
    "iec-60539-1",
    "",
);
/// See [`resistance_near`].
pub static RESISTANCE_NEAR: Formula = Formula::new(
    "resistance-near",
    "Resistance of a thermistor near a point of its table",
    "R = Rₓ · exp(α · Tₓ² · (1/Tₓ − 1/T))",
    "ntc-general",
    "1.1",
);

/// Resistance of a thermistor by the beta law.
///
/// `R = Rᵣ · exp(B · (1/T − 1/Tᵣ))`
///
/// - `reference`, `reference_temperature`: a known point, usually at 25 °C; > 0 Ω, > 0 K.
/// - `beta`: in kelvin, > 0 K.
/// - `temperature`: > 0 K.
///
/// Monotone in each for fixed others. Leaves out: that beta itself rises with temperature. A beta from 25 °C and 50 °C reads a
/// usual 100 kΩ bead 15 K too hot at 200 °C; use [`super::RtTable`] or [`super::SteinhartHart`] there.
///
/// # Source
/// [iec-60539-1].
#[must_use]
pub fn beta_resistance(
    reference: ElectricalResistance,
    reference_temperature: ThermodynamicTemperature,
    beta: TemperatureInterval,
    temperature: ThermodynamicTemperature,
) -> ElectricalResistance {
    reference * (beta.base() * (1.0 / temperature.base() - 1.0 / reference_temperature.base())).exp()
}

/// Temperature of a thermistor by the beta law; the inverse of [`beta_resistance`].
///
/// `T = 1 / (1/Tᵣ + ln(R / Rᵣ) / B)`
///
/// Monotone in each. Resistances > 0 Ω; so large a resistance that no temperature has it gives a negative one.
///
/// # Source
/// [iec-60539-1].
#[must_use]
pub fn beta_temperature(
    reference: ElectricalResistance,
    reference_temperature: ThermodynamicTemperature,
    beta: TemperatureInterval,
    resistance: ElectricalResistance,
) -> ThermodynamicTemperature {
    let share = (resistance.base() / reference.base()).ln() / beta.base();
    ThermodynamicTemperature::from_base(1.0 / (1.0 / reference_temperature.base() + share))
}

/// Beta of a thermistor between two points of its table.
///
/// `B = ln(R₁ / R₂) / (1/T₁ − 1/T₂)`, with two different temperatures.
///
/// Monotone in each as long as the two temperatures do not cross.
///
/// # Source
/// [iec-60539-1].
#[must_use]
pub fn beta_between(
    one: ElectricalResistance,
    one_temperature: ThermodynamicTemperature,
    other: ElectricalResistance,
    other_temperature: ThermodynamicTemperature,
) -> TemperatureInterval {
    let span = 1.0 / one_temperature.base() - 1.0 / other_temperature.base();
    TemperatureInterval::from_base((one.base() / other.base()).ln() / span)
}

/// Resistance of a thermistor near a point of its table, by the slope that the table gives there.
///
/// `R = Rₓ · exp(α · Tₓ² · (1/Tₓ − 1/T))`
///
/// - `point`, `point_temperature`: of the table.
/// - `alpha`: relative slope there, negative for a thermistor.
/// - `temperature`: a few kelvin away at the most.
///
/// Monotone in each but `point_temperature`, which is a point of a table and has no tolerance.
///
/// # Source
/// [ntc-general], 1.1, where the slope is printed without its sign.
#[must_use]
pub fn resistance_near(
    point: ElectricalResistance,
    alpha: TemperatureCoefficient,
    point_temperature: ThermodynamicTemperature,
    temperature: ThermodynamicTemperature,
) -> ElectricalResistance {
    let at = point_temperature.base();
    point * (alpha.base() * at * at * (1.0 / at - 1.0 / temperature.base())).exp()
}

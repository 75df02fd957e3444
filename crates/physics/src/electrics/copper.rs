//! Copper: resistance against temperature, and resistance of a wire by its cross-section.

use quantity::si::{
    Area, ElectricalResistance, Ratio, ResistancePerLength, TemperatureCoefficient, ThermodynamicTemperature,
    celsius,
};
use quantity::{Number, Range};

use crate::{Formula, OutOfRange};

/// See [`copper_resistance`].
pub static COPPER_RESISTANCE: Formula = Formula::new(
    "copper-resistance",
    "Resistance of copper at a temperature",
    "R = R₂₀ · (1 + 0.00393/K · (ϑ − 20 °C))",
    "iec-60028",
    "",
);
/// See [`copper_temperature`].
pub static COPPER_TEMPERATURE: Formula = Formula::new(
    "copper-temperature",
    "Mean temperature of a copper winding from its resistance",
    "ϑ₂ = R₂ / R₁ · (235 °C + ϑ₁) − 235 °C",
    "iec-60034-1",
    "",
);
/// See [`wire_resistance`].
pub static WIRE_RESISTANCE: Formula = Formula::new(
    "wire-resistance",
    "Resistance of a copper wire per length at 20 °C",
    "R′ = ρ₂₀ · s / A",
    "iec-60028",
    "",
);

/// Resistivity of annealed copper at 20 °C: 1/58 Ω mm²/m, that is 100 % of the standard. [iec-60028]
pub const COPPER_RESISTIVITY_OHM_METRE: f64 = 1e-6 / 58.0;

/// Temperature coefficient of the resistance of annealed copper at 20 °C. [iec-60028]
#[must_use]
pub fn copper_coefficient() -> TemperatureCoefficient {
    TemperatureCoefficient::from_base(0.00393)
}

/// The most by which a finely stranded wire exceeds a solid one of its nominal cross-section.
///
/// From the largest resistances of class 5 at 1 to 6 mm², which are 13 to 16 % above `ρ₂₀ / A`: strands lie askew, and the
/// nominal cross-section may be a little short. [iec-60228]
#[must_use]
pub fn stranded_at_most() -> Ratio {
    Ratio::from_base(1.16)
}

/// Resistance of copper at a temperature.
///
/// `R = R₂₀ · (1 + 0.00393/K · (ϑ − 20 °C))`
///
/// - `at_20`: resistance at 20 °C, > 0 Ω.
/// - `temperature`: of the copper, −50 °C to 200 °C.
///
/// Monotone in both. Leaves out: the curvature of the true law, about 1 % at the ends of this range, and alloys.
///
/// # Errors
/// [`OutOfRange`] where `temperature` leaves the range of the linear law.
///
/// # Source
/// [iec-60028]; the range is ours.
pub fn copper_resistance(
    at_20: ElectricalResistance,
    temperature: ThermodynamicTemperature,
) -> Result<ElectricalResistance, OutOfRange> {
    Ok(at_20 * copper_factor(temperature)?)
}

/// The factor of [`copper_resistance`]: 1 at 20 °C.
///
/// # Errors
/// As for [`copper_resistance`].
pub fn copper_factor(temperature: ThermodynamicTemperature) -> Result<Ratio, OutOfRange> {
    let range = Range::new(celsius(-50.0), celsius(200.0));
    let temperature = OutOfRange::check("temperature of the copper", temperature, range)?;
    let above_20 = temperature.base() - celsius(20.0).base();
    Ok(Ratio::from_base(1.0 + copper_coefficient().base() * above_20))
}

/// Mean temperature of a copper winding or track, from its resistance now and at a known temperature.
///
/// `ϑ₂ = R₂ / R₁ · (235 °C + ϑ₁) − 235 °C`
///
/// - `cold`, `cold_temperature`: measured when all was at one temperature; `cold` > 0 Ω.
/// - `now`: measured now, > 0 Ω.
///
/// Monotone in each above −235 °C. Leaves out: lead and contact resistance, which must be taken off both.
///
/// # Source
/// [iec-60034-1], the constant for copper (from memory).
#[must_use]
pub fn copper_temperature(
    cold: ElectricalResistance,
    cold_temperature: ThermodynamicTemperature,
    now: ElectricalResistance,
) -> ThermodynamicTemperature {
    const K: f64 = 235.0 - 273.15;
    let ratio: Ratio = now / cold;
    ThermodynamicTemperature::from_base(ratio.base() * (K + cold_temperature.base()) - K)
}

/// Resistance of a copper wire per length at 20 °C.
///
/// `R′ = ρ₂₀ · s / A`
///
/// - `area`: cross-section of the copper, > 0.
/// - `stranding`: 1 for a solid wire; 1 to [`stranded_at_most`] for a stranded one.
///
/// Monotone in both. Leaves out: tin plating (about 2 %).
///
/// # Source
/// [iec-60028]; the allowance for strands from [iec-60228], class 5.
#[must_use]
pub fn wire_resistance(area: Area, stranding: Ratio) -> ResistancePerLength {
    ResistancePerLength::from_base(COPPER_RESISTIVITY_OHM_METRE * stranding.base() / area.base())
}

//! Logic levels in both directions, dividers, series resistors, filters.

use quantity::si::{
    Capacitance, ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Ratio, volt,
};
use quantity::{Number, Range};

use crate::{Formula, OutOfRange};

/// See [`level_needed`].
pub static LEVEL_NEEDED: Formula = Formula::new(
    "level-needed",
    "Input level as a share of the supply",
    "U = k · U_DD",
    "addressable-light-sheet",
    "electrical characteristics",
);
/// See [`high_margin`].
pub static HIGH_MARGIN: Formula = Formula::new(
    "high-margin",
    "Room above the level that reads as high",
    "M = U_out − k · U_DD",
    "addressable-light-sheet",
    "electrical characteristics",
);
/// See [`low_margin`].
pub static LOW_MARGIN: Formula = Formula::new(
    "low-margin",
    "Room below the level that reads as low",
    "M = k · U_DD − U_out",
    "addressable-light-sheet",
    "electrical characteristics",
);
/// See [`divider`].
pub static DIVIDER: Formula = Formula::new(
    "divider",
    "Voltage divider without load",
    "U = U₀ · R₂ / (R₁ + R₂)",
    "iec-80000-6",
    "",
);
/// See [`series_resistor`].
pub static SERIES_RESISTOR: Formula = Formula::new(
    "series-resistor",
    "Series resistor for a current",
    "R = (U₀ − U) / I",
    "iec-80000-6",
    "",
);
/// See [`filter_corner`].
pub static FILTER_CORNER: Formula = Formula::new(
    "filter-corner",
    "Corner frequency of a resistor and a capacitor",
    "f = 1 / (2 π · R · C)",
    "iec-80000-6",
    "",
);

/// An input level as a share of the supply of the part that reads it.
///
/// `U = k · U_DD`
///
/// - `share`: 0.7 for high and 0.3 for low with the usual CMOS inputs; the part's data sheet decides.
/// - `supply`: of the part that reads.
///
/// Monotone in both.
///
/// # Source
/// [addressable-light-sheet], electrical characteristics; the same shares stand in many data sheets of CMOS parts.
#[must_use]
pub fn level_needed(share: Ratio, supply: ElectricPotential) -> ElectricPotential {
    share * supply
}

/// Room above the level that reads as high; negative where the level is not reached.
///
/// `M = U_out − k · U_DD`
///
/// - `output`: the lowest high level of the part that sends, under its load.
/// - `share`, `supply`: of the part that reads, as for [`level_needed`].
///
/// Monotone in each.
///
/// # Source
/// As for [`level_needed`].
#[must_use]
pub fn high_margin(output: ElectricPotential, share: Ratio, supply: ElectricPotential) -> ElectricPotential {
    output - share * supply
}

/// Room below the level that reads as low; negative where the level is not reached.
///
/// `M = k · U_DD − U_out`, as for [`high_margin`].
///
/// # Source
/// As for [`level_needed`].
#[must_use]
pub fn low_margin(output: ElectricPotential, share: Ratio, supply: ElectricPotential) -> ElectricPotential {
    share * supply - output
}

/// Voltage across the lower of two resistors in series, without load.
///
/// `U = U₀ · R₂ / (R₁ + R₂)`
///
/// - `supply`: across both, ≥ 0 V.
/// - `upper`: > 0 Ω; `lower`: across which the voltage is taken, ≥ 0 Ω.
///
/// Monotone in each.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn divider(
    supply: ElectricPotential,
    upper: ElectricalResistance,
    lower: ElectricalResistance,
) -> ElectricPotential {
    // Not `supply · lower / (upper + lower)`: this form stays right where the lower end is open.
    supply / (1.0 + (upper / lower).base())
}

/// Series resistor that leaves a load its voltage at a current.
///
/// `R = (U₀ − U) / I`
///
/// - `supply`: before the resistor; `load`: at the load, not above `supply`.
/// - `current`: > 0 A.
///
/// Monotone in each.
///
/// # Errors
/// [`OutOfRange`] where the load needs more than the supply has, or the current is not positive.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
pub fn series_resistor(
    supply: ElectricPotential,
    load: ElectricPotential,
    current: ElectricCurrent,
) -> Result<ElectricalResistance, OutOfRange> {
    let current = OutOfRange::check_positive("current", current)?;
    let rest = Range::new(volt(0.0), volt(f64::INFINITY));
    Ok(OutOfRange::check("voltage left for the resistor", supply - load, rest)? / current)
}

/// Corner frequency of a resistor and a capacitor.
///
/// `f = 1 / (2 π · R · C)`, both > 0. Monotone in both.
///
/// # Source
/// [iec-80000-6].
#[must_use]
pub fn filter_corner(resistance: ElectricalResistance, capacitance: Capacitance) -> Frequency {
    Frequency::from_base(1.0 / (core::f64::consts::TAU * resistance.base() * capacitance.base()))
}

//! What a hand-held meter shows: its own error and the resistance of its leads are part of the reading.

use quantity::si::{ElectricPotential, ElectricalResistance, Ratio};

use crate::Formula;

/// See [`metered_resistance`].
pub static METERED_RESISTANCE: Formula = Formula::new(
    "metered-resistance",
    "Reading of a resistance with a hand-held meter",
    "Rₘ = a · (R + Rₗ + Rₜ)",
    "iec-80000-6",
    "",
);
/// See [`metered_voltage`].
pub static METERED_VOLTAGE: Formula = Formula::new(
    "metered-voltage",
    "Reading of a voltage with a hand-held meter",
    "Uₘ = a · U",
    "iec-80000-6",
    "",
);

/// Reading of a resistance at the end of its lead, with a hand-held meter.
///
/// `Rₘ = a · (R + Rₗ + Rₜ)`
///
/// - `accuracy`: 1 with the relative error of the meter as its tolerance.
/// - `resistance`: of the part; `lead`: out and back ([`super::lead_resistance`]); `tips`: of the meter's own leads.
///
/// Monotone in each. Leaves out: contacts that are dirty or hardly touched; they read higher.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn metered_resistance(
    accuracy: Ratio,
    resistance: ElectricalResistance,
    lead: ElectricalResistance,
    tips: ElectricalResistance,
) -> ElectricalResistance {
    accuracy * (resistance + lead + tips)
}

/// Reading of a voltage with a hand-held meter.
///
/// `Uₘ = a · U`, with `accuracy` 1 and the relative error of the meter as its tolerance. Monotone in both. Leaves out: the
/// current that the meter draws.
///
/// # Source
/// A definition, [iec-80000-6].
#[must_use]
pub fn metered_voltage(accuracy: Ratio, voltage: ElectricPotential) -> ElectricPotential {
    accuracy * voltage
}

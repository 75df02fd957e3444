//! Electric formulas: power, copper, leads, supply, logic levels, traces, fuses.

use quantity::si::{ElectricPotential, ElectricalResistance, Power};

use crate::Formula;

/// Registered formula of [`heater_power`].
pub static HEATER_POWER: Formula = Formula {
    id: "heater-power",
    title: "Power of a resistive heater",
    law: "P = U² / R",
    source: "common-practice",
    clause: "",
};

/// Power of a resistive heater at a voltage.
///
/// `P = U² / R`
///
/// - `voltage`: at the heater, after the drop along its lead.
/// - `resistance`: at the temperature in question, > 0 Ω; a copper track draws more when cold.
///
/// Monotone in both arguments. Leaves out: the drop along the lead and across the switch.
///
/// # Source
/// Joule's law; algebra.
#[must_use]
pub fn heater_power(voltage: ElectricPotential, resistance: ElectricalResistance) -> Power {
    voltage * voltage / resistance
}

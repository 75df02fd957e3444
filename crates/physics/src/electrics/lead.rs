//! Leads: voltage lost out and back, in contacts, and what arrives at the load.

use quantity::si::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Power, Ratio, ResistancePerLength,
    ThermodynamicTemperature,
};

use super::copper::copper_factor;
use crate::{Formula, OutOfRange};

/// See [`lead_drop`].
pub static LEAD_DROP: Formula = Formula::new(
    "lead-drop",
    "Voltage lost along a lead, out and back",
    "ΔU = 2 · l · R′ · (1 + 0.00393/K · (ϑ − 20 °C)) · I",
    "iec-60028",
    "",
);
/// See [`lead_resistance`].
pub static LEAD_RESISTANCE: Formula = Formula::new(
    "lead-resistance",
    "Resistance of a lead, out and back",
    "R = 2 · l · R′ · (1 + 0.00393/K · (ϑ − 20 °C))",
    "iec-60028",
    "",
);
/// See [`contact_drop`].
pub static CONTACT_DROP: Formula = Formula::new(
    "contact-drop",
    "Voltage lost in contacts",
    "ΔU = n · Rₖ · I",
    "iec-80000-6",
    "",
);
/// See [`voltage_at_load`].
pub static VOLTAGE_AT_LOAD: Formula = Formula::new(
    "voltage-at-load",
    "Voltage at a resistive load behind its lead",
    "U = U₀ · R / (R + Rₗ)",
    "iec-80000-6",
    "",
);
/// See [`voltage_behind_lead`].
pub static VOLTAGE_BEHIND_LEAD: Formula = Formula::new(
    "voltage-behind-lead",
    "Voltage at a load of known current behind its cable",
    "U = U₀ − I · Rₗ",
    "iec-80000-6",
    "",
);
/// See [`power_behind_lead`].
pub static POWER_BEHIND_LEAD: Formula = Formula::new(
    "power-behind-lead",
    "Power of a resistive load behind its cable",
    "P = U₀² · R / (R + Rₗ)²",
    "iec-80000-6",
    "",
);
/// See [`loss`].
pub static LOSS: Formula = Formula::new(
    "resistive-loss",
    "Heat in a resistance",
    "P = I² · R",
    "iec-80000-6",
    "",
);

/// Resistance of a lead, out and back.
///
/// `R = 2 · l · R′ · (1 + 0.00393/K · (ϑ − 20 °C))`
///
/// - `length`: one way, ≥ 0 m.
/// - `per_length`: of one conductor at 20 °C ([`super::wire_resistance`]).
/// - `temperature`: of the copper, not of the air; −50 °C to 200 °C.
///
/// Monotone in each. Leaves out: contacts.
///
/// # Errors
/// [`OutOfRange`] where `temperature` leaves the range of the linear law.
///
/// # Source
/// [iec-60028].
pub fn lead_resistance(
    length: Length,
    per_length: ResistancePerLength,
    temperature: ThermodynamicTemperature,
) -> Result<ElectricalResistance, OutOfRange> {
    Ok(2.0 * (length * per_length) * copper_factor(temperature)?)
}

/// Voltage lost along a lead, out and back, at a steady current.
///
/// `ΔU = 2 · l · R′ · (1 + 0.00393/K · (ϑ − 20 °C)) · I`
///
/// - `length`: one way, ≥ 0 m. Contacts are counted in [`contact_drop`].
/// - `per_length`: of one conductor at 20 °C ([`super::wire_resistance`]).
/// - `temperature`: of the copper, not of the air; −50 °C to 200 °C.
/// - `current`: ≥ 0 A.
///
/// Monotone in each. Leaves out: the heating of the lead by its own current.
///
/// # Errors
/// [`OutOfRange`] where `temperature` leaves the range of the linear law.
///
/// # Source
/// [iec-60028].
pub fn lead_drop(
    length: Length,
    per_length: ResistancePerLength,
    temperature: ThermodynamicTemperature,
    current: ElectricCurrent,
) -> Result<ElectricPotential, OutOfRange> {
    Ok(lead_resistance(length, per_length, temperature)? * current)
}

/// Voltage lost in the contacts that a current passes, both directions counted.
///
/// `ΔU = n · Rₖ · I`. Monotone in each for values ≥ 0. A contact that has aged or was badly crimped has many times its rated
/// resistance; this does not know.
///
/// # Source
/// Ohm's law, [iec-80000-6].
#[must_use]
pub fn contact_drop(
    contacts: Ratio,
    resistance: ElectricalResistance,
    current: ElectricCurrent,
) -> ElectricPotential {
    contacts * resistance * current
}

/// Voltage at a resistive load behind its lead.
///
/// `U = U₀ · R / (R + Rₗ)`
///
/// - `supply`: before the lead, ≥ 0 V.
/// - `load`: of the load, > 0 Ω; `lead`: out, back and contacts, ≥ 0 Ω.
///
/// Monotone in each.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn voltage_at_load(
    supply: ElectricPotential,
    load: ElectricalResistance,
    lead: ElectricalResistance,
) -> ElectricPotential {
    let share: Ratio = load / (load + lead);
    supply * share
}

/// Voltage at a load of known current behind its cable.
///
/// `U = U₀ − I · Rₗ`. Monotone in each for values ≥ 0.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn voltage_behind_lead(
    supply: ElectricPotential,
    current: ElectricCurrent,
    lead: ElectricalResistance,
) -> ElectricPotential {
    supply - current * lead
}

/// Power of a resistive load behind its cable.
///
/// `P = U₀² · R / (R + Rₗ)²`: the load's resistance counts once, in the voltage that reaches it as well as in what it makes of it.
///
/// - `supply`: before the cable, ≥ 0 V.
/// - `load`: of the load, > 0 Ω; `lead`: all that lies in series with it, ≥ 0 Ω.
///
/// Monotone in each while `load` is larger than `lead`.
///
/// # Source
/// Kirchhoff's and Joule's laws, [iec-80000-6].
#[must_use]
pub fn power_behind_lead(
    supply: ElectricPotential,
    load: ElectricalResistance,
    lead: ElectricalResistance,
) -> Power {
    let voltage = voltage_at_load(supply, load, lead);
    voltage * voltage / load
}

/// Heat in a resistance that a steady current passes.
///
/// `P = I² · R`. Monotone in both for `current` ≥ 0 A.
///
/// # Source
/// Joule's law, [iec-80000-6].
#[must_use]
pub fn loss(current: ElectricCurrent, resistance: ElectricalResistance) -> Power {
    current * current * resistance
}

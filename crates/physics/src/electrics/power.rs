//! Power, current and resistance of resistive loads; sums and shares of a budget.

use quantity::Number;
use quantity::si::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Power, Ratio, TemperatureCoefficient,
    ThermodynamicTemperature, ampere, watt,
};

use crate::Formula;

/// See [`heater_power`].
pub static HEATER_POWER: Formula = Formula::new(
    "heater-power",
    "Power of a resistive heater",
    "P = U² / R",
    "iec-80000-6",
    "",
);
/// See [`rated_resistance`].
pub static RATED_RESISTANCE: Formula = Formula::new(
    "rated-resistance",
    "Resistance from rated voltage and power",
    "R = U² / P",
    "iec-80000-6",
    "",
);
/// See [`resistive_current`].
pub static RESISTIVE_CURRENT: Formula = Formula::new(
    "resistive-current",
    "Current of a resistive load",
    "I = U / R",
    "iec-80000-6",
    "",
);
/// See [`current_of_power`].
pub static CURRENT_OF_POWER: Formula = Formula::new(
    "current-of-power",
    "Current of a load of known power",
    "I = P / U",
    "iec-80000-6",
    "",
);
/// See [`power_of_current`].
pub static POWER_OF_CURRENT: Formula = Formula::new(
    "power-of-current",
    "Power of a load of known current",
    "P = U · I",
    "iec-80000-6",
    "",
);
/// See [`power_at_voltage`].
pub static POWER_AT_VOLTAGE: Formula = Formula::new(
    "power-at-voltage",
    "Power of a resistive load away from its rated voltage",
    "P = Pᵣ · (U / Uᵣ)²",
    "iec-80000-6",
    "",
);
/// See [`parallel`].
pub static PARALLEL: Formula = Formula::new(
    "parallel-resistance",
    "Two resistors in parallel",
    "R = R₁ · R₂ / (R₁ + R₂)",
    "iec-80000-6",
    "",
);
/// See [`current_sum`].
pub static CURRENT_SUM: Formula =
    Formula::new("current-sum", "Sum of currents", "I = Σ Iₙ", "iec-80000-6", "");
/// See [`power_sum`].
pub static POWER_SUM: Formula = Formula::new("power-sum", "Sum of powers", "P = Σ Pₙ", "iec-80000-6", "");
/// See [`regulator_heat`].
pub static REGULATOR_HEAT: Formula = Formula::new(
    "regulator-heat",
    "Heat in a linear regulator",
    "P = (U − U₀) · I",
    "iec-80000-6",
    "",
);
/// See [`converter_current`].
pub static CONVERTER_CURRENT: Formula = Formula::new(
    "converter-current",
    "Input current of a switching converter",
    "I = U₀ · I₀ / (η · U)",
    "iec-80000-6",
    "",
);
/// See [`load_share`].
pub static LOAD_SHARE: Formula = Formula::new(
    "load-share",
    "Share of a rating that is used",
    "s = P / Pᵣ",
    "common-practice",
    "",
);

/// See [`derated_power`].
pub static DERATED_POWER: Formula = Formula::new(
    "derated-power",
    "Power that a supply may give in warm air",
    "P = Pᵣ · (1 − k · (ϑ − ϑ₀)), not above Pᵣ, not below 0",
    "common-practice",
    "straight derating curve",
);

/// Power of a resistive heater at a voltage.
///
/// `P = U² / R`
///
/// - `voltage`: at the heater, after the drop along its lead, ≥ 0 V.
/// - `resistance`: at the temperature in question, > 0 Ω; a copper track has less when cold ([`super::copper_resistance`]).
///
/// Monotone in both. Leaves out: lead and switch.
///
/// ```
/// use physics::electrics::heater_power;
/// use quantity::{Number, si::{ohm, volt}};
/// assert!((heater_power(volt(24.0), ohm(14.4)).base() - 40.0).abs() < 1e-9);
/// ```
///
/// # Source
/// Joule's law, [iec-80000-6].
#[must_use]
pub fn heater_power(voltage: ElectricPotential, resistance: ElectricalResistance) -> Power {
    voltage * voltage / resistance
}

/// Resistance of a heater from what is printed on it.
///
/// `R = U² / P`
///
/// - `voltage`, `power`: as rated, > 0.
///
/// Monotone in both. Leaves out: that a rating may be meant for the hot heater.
///
/// # Source
/// Joule's law, [iec-80000-6].
#[must_use]
pub fn rated_resistance(voltage: ElectricPotential, power: Power) -> ElectricalResistance {
    voltage * voltage / power
}

/// Current of a resistive load.
///
/// `I = U / R`, with `resistance` > 0 Ω. Monotone in both for `voltage` ≥ 0 V.
///
/// # Source
/// Ohm's law, [iec-80000-6].
#[must_use]
pub fn resistive_current(voltage: ElectricPotential, resistance: ElectricalResistance) -> ElectricCurrent {
    voltage / resistance
}

/// Current of a load of known power at a voltage.
///
/// `I = P / U`, with `voltage` > 0 V. Monotone in both. For a switching converter `power` is its input power.
///
/// # Source
/// [iec-80000-6].
#[must_use]
pub fn current_of_power(power: Power, voltage: ElectricPotential) -> ElectricCurrent {
    power / voltage
}

/// Power of a load of known current.
///
/// `P = U · I`. Monotone in both.
///
/// # Source
/// [iec-80000-6].
#[must_use]
pub fn power_of_current(voltage: ElectricPotential, current: ElectricCurrent) -> Power {
    voltage * current
}

/// Power of a resistive load away from its rated voltage.
///
/// `P = Pᵣ · (U / Uᵣ)²`
///
/// - `rated`, `rated_voltage`: as printed, > 0.
/// - `voltage`: at the load, ≥ 0 V.
///
/// Monotone in each. Leaves out: the change of resistance with temperature.
///
/// # Source
/// Joule's law, [iec-80000-6].
#[must_use]
pub fn power_at_voltage(rated: Power, rated_voltage: ElectricPotential, voltage: ElectricPotential) -> Power {
    let share: Ratio = voltage / rated_voltage;
    rated * share * share
}

/// Two resistors in parallel.
///
/// `R = R₁ · R₂ / (R₁ + R₂)`, both > 0 Ω. Monotone in both.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn parallel(one: ElectricalResistance, other: ElectricalResistance) -> ElectricalResistance {
    let share: Ratio = other / (one + other);
    one * share
}

/// Sum of currents that share a rail, a switch or a supply. The empty sum is zero.
///
/// `I = Σ Iₙ`; for [`crate::work_many`].
///
/// # Source
/// Kirchhoff's current law, [iec-80000-6].
#[must_use]
pub fn current_sum(currents: &[ElectricCurrent]) -> ElectricCurrent {
    currents.iter().fold(ampere(0.0), |sum, current| sum + *current)
}

/// Sum of powers drawn from one supply. The empty sum is zero.
///
/// `P = Σ Pₙ`; for [`crate::work_many`].
///
/// # Source
/// [iec-80000-6].
#[must_use]
pub fn power_sum(powers: &[Power]) -> Power {
    powers.iter().fold(watt(0.0), |sum, power| sum + *power)
}

/// Power that a supply may give in warm air.
///
/// `P = Pᵣ · (1 − k · (ϑ − ϑ₀))`, not above Pᵣ, not below 0
///
/// - `rated`: up to `from`. `slope`: share of the rating lost with each kelvin above, ≥ 0 1/K. `air`: around the supply.
///
/// Monotone in each. A straight line; the curve in the supply's own data sheet goes before.
///
/// # Source
/// Common practice, no source.
#[must_use]
pub fn derated_power(
    rated: Power,
    slope: TemperatureCoefficient,
    air: ThermodynamicTemperature,
    from: ThermodynamicTemperature,
) -> Power {
    let above = (air.base() - from.base()).max(0.0);
    rated * (1.0 - slope.base() * above).max(0.0)
}

/// Heat in a linear regulator: its output current falls from input to output voltage.
///
/// `P = (U − U₀) · I`
///
/// - `input`, `output`: voltages before and behind it. `current`: of its load.
///
/// Monotone in each. Leaves out: its own current, some milliampere.
///
/// # Source
/// [iec-80000-6].
#[must_use]
pub fn regulator_heat(
    input: ElectricPotential,
    output: ElectricPotential,
    current: ElectricCurrent,
) -> Power {
    (input - output) * current
}

/// Input current of a switching converter.
///
/// `I = U₀ · I₀ / (η · U)`
///
/// - `output`, `load`: voltage and current behind it. `efficiency`: 0.8 to 0.95 is usual, > 0.
/// - `input`: voltage before it, > 0 V.
///
/// Monotone in each: most current at the lowest input voltage.
///
/// # Source
/// Energy, [iec-80000-6].
#[must_use]
pub fn converter_current(
    output: ElectricPotential,
    load: ElectricCurrent,
    efficiency: Ratio,
    input: ElectricPotential,
) -> ElectricCurrent {
    output * load / (efficiency * input)
}

/// Share of a rating that is used: power of power, current of current.
///
/// `s = P / Pᵣ`, with a rating > 0. Monotone in both.
///
/// # Source
/// A definition; common practice, no source.
#[must_use]
pub fn load_share<Q: Number>(load: Q, rating: Q) -> Ratio {
    Ratio::from_base(load.base() / rating.base())
}

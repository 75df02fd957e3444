//! One lumped body with a heater: where it ends, how fast, and the power of a bed whose track warms up.

use quantity::Number;
use quantity::si::{
    ElectricPotential, ElectricalResistance, HeatCapacity, Power, Ratio, ThermalConductance,
    ThermodynamicTemperature, Time,
};

use crate::electrics::{copper_resistance, heater_power};
use crate::{Formula, OutOfRange};

/// See [`final_temperature`].
pub static FINAL_TEMPERATURE: Formula = Formula::new(
    "final-temperature",
    "Temperature that a heated body ends at",
    "ϑ = ϑₐ + P / G",
    "heat-transfer-textbook",
    "lumped body",
);
/// See [`time_constant`].
pub static TIME_CONSTANT: Formula = Formula::new(
    "time-constant",
    "Time constant of a heated body",
    "τ = C / G",
    "heat-transfer-textbook",
    "lumped body",
);
/// See [`temperature_after`].
pub static TEMPERATURE_AFTER: Formula = Formula::new(
    "temperature-after",
    "Temperature of a heated body after a time",
    "ϑ = ϑₐ + P / G + (ϑ₀ − ϑₐ − P / G) · exp(−t · G / C)",
    "heat-transfer-textbook",
    "lumped body",
);
/// See [`time_to`].
pub static TIME_TO: Formula = Formula::new(
    "time-to",
    "Time in which a heated body reaches a temperature",
    "t = C / G · ln((ϑₐ + P / G − ϑ₀) / (ϑₐ + P / G − ϑ))",
    "heat-transfer-textbook",
    "lumped body",
);
/// See [`hold_duty`].
pub static HOLD_DUTY: Formula = Formula::new(
    "hold-duty",
    "Share of full power that holds a temperature",
    "d = (ϑ − ϑₐ) · G / P",
    "heat-transfer-textbook",
    "lumped body",
);
/// See [`end_behind_lead`].
pub static END_BEHIND_LEAD: Formula = Formula::new(
    "end-behind-lead",
    "Temperature that a body ends at with its heater on behind a cable",
    "ϑ = ϑₐ + U₀² · R / ((R + Rₗ)² · G)",
    "heat-transfer-textbook",
    "lumped body",
);
/// See [`track_power`].
pub static TRACK_POWER: Formula = Formula::new(
    "track-power",
    "Power of a copper-track heater at its temperature",
    "P = U² / (R₂₀ · (1 + 0.00393/K · (ϑ − 20 °C)))",
    "iec-60028",
    "",
);

/// Temperature that a heated body ends at with its heater on behind a cable, if nothing stops it.
///
/// `ϑ = ϑₐ + U₀² · R / ((R + Rₗ)² · G)`: [`final_temperature`] of [`crate::electrics::power_behind_lead`]
///
/// Monotone in each while `resistance` is larger than `lead`. Leaves out what [`final_temperature`] leaves out.
///
/// # Source
/// [heat-transfer-textbook], lumped body.
#[must_use]
pub fn end_behind_lead(
    air: ThermodynamicTemperature,
    supply: ElectricPotential,
    resistance: ElectricalResistance,
    lead: ElectricalResistance,
    loss: ThermalConductance,
) -> ThermodynamicTemperature {
    final_temperature(
        air,
        crate::electrics::power_behind_lead(supply, resistance, lead),
        loss,
    )
}

/// Temperature that a heated body ends at, if nothing stops it.
///
/// `ϑ = ϑₐ + P / G`
///
/// - `air`: around it; `power`: into it; `loss`: conductance to the air, > 0 W/K.
///
/// Monotone in each for `power` ≥ 0. Leaves out: radiation and a fan's draught; both make it end colder, so that this is an upper
/// bound where `loss` was measured at a lower temperature.
///
/// # Source
/// [heat-transfer-textbook], lumped body.
#[must_use]
pub fn final_temperature(
    air: ThermodynamicTemperature,
    power: Power,
    loss: ThermalConductance,
) -> ThermodynamicTemperature {
    ThermodynamicTemperature::from_base(air.base() + power.base() / loss.base())
}

/// Time constant of a heated body.
///
/// `τ = C / G`. Monotone in both.
///
/// # Source
/// As for [`final_temperature`].
#[must_use]
pub fn time_constant(capacity: HeatCapacity, loss: ThermalConductance) -> Time {
    Time::from_base(capacity.base() / loss.base())
}

/// Temperature of a heated body after a time at constant power.
///
/// `ϑ = ϑₐ + P / G + (ϑ₀ − ϑₐ − P / G) · exp(−t · G / C)`
///
/// - `start`: ϑ₀. `time`: ≥ 0 s. The others as for [`final_temperature`]; `capacity`: > 0 J/K.
///
/// Monotone in each as long as the body starts no hotter than it ends and the power is ≥ 0.
///
/// # Source
/// As for [`final_temperature`].
#[must_use]
pub fn temperature_after(
    start: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
    power: Power,
    loss: ThermalConductance,
    capacity: HeatCapacity,
    time: Time,
) -> ThermodynamicTemperature {
    let end = final_temperature(air, power, loss).base();
    let left = (-time.base() * loss.base() / capacity.base()).exp();
    ThermodynamicTemperature::from_base(end + (start.base() - end) * left)
}

/// Time in which a heated body reaches a temperature; infinite where it never does.
///
/// `t = C / G · ln((ϑₐ + P / G − ϑ₀) / (ϑₐ + P / G − ϑ))`
///
/// - `goal`: ϑ; the others as for [`temperature_after`].
///
/// Monotone in each while the body heats up. Zero where it is there already.
///
/// # Source
/// As for [`final_temperature`].
#[must_use]
pub fn time_to(
    goal: ThermodynamicTemperature,
    start: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
    power: Power,
    loss: ThermalConductance,
    capacity: HeatCapacity,
) -> Time {
    if goal <= start {
        return Time::from_base(0.0);
    }
    let end = final_temperature(air, power, loss);
    if goal >= end {
        return Time::from_base(f64::INFINITY);
    }
    let share = (end.base() - start.base()) / (end.base() - goal.base());
    Time::from_base(capacity.base() / loss.base() * share.ln())
}

/// Share of full power that holds a temperature; above 1 it cannot be held.
///
/// `d = (ϑ − ϑₐ) · G / P`, with `power` > 0 W. Monotone in each for a temperature above that of the air.
///
/// # Source
/// As for [`final_temperature`].
#[must_use]
pub fn hold_duty(
    temperature: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
    loss: ThermalConductance,
    power: Power,
) -> Ratio {
    Ratio::from_base((temperature.base() - air.base()) * loss.base() / power.base())
}

/// Power of a copper-track heater at the temperature of its track: most when cold.
///
/// `P = U² / (R₂₀ · (1 + 0.00393/K · (ϑ − 20 °C)))`
///
/// - `voltage`: at the heater; `at_20`: resistance at 20 °C; `temperature`: of the track, −50 °C to 200 °C.
///
/// Monotone in each.
///
/// # Errors
/// [`OutOfRange`] where `temperature` leaves the range of the linear law.
///
/// # Source
/// [iec-60028] and Joule's law.
pub fn track_power(
    voltage: ElectricPotential,
    at_20: ElectricalResistance,
    temperature: ThermodynamicTemperature,
) -> Result<Power, OutOfRange> {
    Ok(heater_power(voltage, copper_resistance(at_20, temperature)?))
}

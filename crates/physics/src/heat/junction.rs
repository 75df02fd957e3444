//! Heat in drivers and switches: losses, junction temperature, the current that a temperature allows.

use core::f64::consts::SQRT_2;

use quantity::Number;
use quantity::si::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Power, Ratio, ThermalResistance,
    ThermodynamicTemperature, Time,
};

use crate::{Formula, OutOfRange};

/// See [`bridge_loss`].
pub static BRIDGE_LOSS: Formula = Formula::new(
    "bridge-loss",
    "Conduction loss of a driver with two bridges",
    "P = Iₚ² · (R_high + R_low)",
    "driver-dissipation-sections",
    "",
);
/// See [`switching_loss`].
pub static SWITCHING_LOSS: Formula = Formula::new(
    "switching-loss",
    "Loss of a switch at its edges",
    "P = U · I · (t_on + t_off) · f / 2",
    "driver-dissipation-sections",
    "",
);
/// See [`hot_resistance`].
pub static HOT_RESISTANCE: Formula = Formula::new(
    "hot-resistance",
    "On-resistance of a switch when hot",
    "R = R₂₅ · k",
    "mosfet-sheets",
    "on-resistance against temperature",
);
/// See [`junction_temperature`].
pub static JUNCTION_TEMPERATURE: Formula = Formula::new(
    "junction-temperature",
    "Junction temperature",
    "ϑⱼ = ϑₐ + P · θ",
    "jesd51-2",
    "",
);
/// See [`current_borne`].
pub static CURRENT_BORNE: Formula = Formula::new(
    "current-borne",
    "Motor current that a driver's temperature allows",
    "Iₚ = √((ϑⱼ − ϑₐ) / (θ · (R_high + R_low)))",
    "jesd51-2",
    "solved for the current",
);

/// Conduction loss of a driver with two bridges and a motor in sine microstepping.
///
/// `P = Iₚ² · (R_high + R_low)`: two phases, each with the root mean square `Iₚ / √2` through one high and one low switch
///
/// - `peak`: set current, peak of one phase.
/// - `high`, `low`: on-resistances, hot ([`hot_resistance`]).
///
/// Monotone in each. Leaves out: switching loss ([`switching_loss`]) and the driver's own supply.
///
/// # Source
/// [driver-dissipation-sections] (from memory).
#[must_use]
pub fn bridge_loss(peak: ElectricCurrent, high: ElectricalResistance, low: ElectricalResistance) -> Power {
    let rms = peak / SQRT_2;
    2.0 * (rms * rms * (high + low))
}

/// Loss of a switch at its edges, with a load that keeps its current.
///
/// `P = U · I · (t_on + t_off) · f / 2`
///
/// - `voltage`: switched; `current`: during the edges; `on`, `off`: times of the edges; `frequency`: of switching.
///
/// Monotone in each for values ≥ 0. An upper bound for resistive loads, whose current falls with the voltage.
///
/// # Source
/// [driver-dissipation-sections] (from memory).
#[must_use]
pub fn switching_loss(
    voltage: ElectricPotential,
    current: ElectricCurrent,
    on: Time,
    off: Time,
    frequency: Frequency,
) -> Power {
    voltage * current * ((on + off).base() * frequency.base() / 2.0)
}

/// On-resistance of a switch when hot.
///
/// `R = R₂₅ · k`, with `factor` about 1.5 to 1.8 at 125 °C. Monotone in both.
///
/// # Source
/// [mosfet-sheets], curve of on-resistance against temperature (from memory).
#[must_use]
pub fn hot_resistance(at_25: ElectricalResistance, factor: Ratio) -> ElectricalResistance {
    at_25 * factor
}

/// Junction temperature of a part that turns power into heat.
///
/// `ϑⱼ = ϑₐ + P · θ`
///
/// - `air`: around the part, in the case, not in the room.
/// - `power`: in the part. `resistance`: junction to air, *on the board as it is*.
///
/// Monotone in each. The thermal resistance of a data sheet holds for a test board of its standard. A small or crowded board may
/// have twice that, a heat sink less (common practice, no source).
///
/// # Source
/// [jesd51-2].
#[must_use]
pub fn junction_temperature(
    air: ThermodynamicTemperature,
    power: Power,
    resistance: ThermalResistance,
) -> ThermodynamicTemperature {
    ThermodynamicTemperature::from_base(air.base() + power.base() * resistance.base())
}

/// Motor current, peak, at which a driver's junction reaches a temperature; conduction loss only.
///
/// `Iₚ = √((ϑⱼ − ϑₐ) / (θ · (R_high + R_low)))`; [`junction_temperature`] of [`bridge_loss`], solved
///
/// - `junction`: the highest that is allowed; `air`: around the part, below it.
/// - `resistance`: junction to air; `high`, `low`: on-resistances, hot.
///
/// Monotone in each.
///
/// # Errors
/// [`OutOfRange`] where the air is as hot as the junction may be.
///
/// # Source
/// Algebra over [jesd51-2].
pub fn current_borne(
    junction: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
    resistance: ThermalResistance,
    high: ElectricalResistance,
    low: ElectricalResistance,
) -> Result<ElectricCurrent, OutOfRange> {
    let rise = quantity::si::kelvin(junction.base() - air.base());
    let rise = OutOfRange::check_positive("room between air and junction", rise)?;
    let power = rise.base() / resistance.base();
    Ok(ElectricCurrent::from_base((power / (high + low).base()).sqrt()))
}

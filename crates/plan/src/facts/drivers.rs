//! What a motor driver turns into heat: its switches while they conduct, each time they switch, and its own circuits.

use model::board::Driver;
use model::{CurrentDefinition, Swap};
use physics::{Working, electrics, heat, motion, named, work};
use quantity::Value;
use quantity::si::{ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Power, Time};

use crate::facts::rails::supply_voltage;

/// The largest sum of the currents of both phases, in peaks of one: between two full steps both carry `1 / √2` of it.
const BOTH_PHASES: f64 = core::f64::consts::SQRT_2;

/// The loss of a driver at a current: of both bridges, and of itself.
#[derive(Clone, Copy, Debug)]
pub struct Loss {
    /// Peak of one phase.
    peak: Value<ElectricCurrent>,
    /// One switch of a bridge, hot: half of what the board's file states for both.
    half: Value<ElectricalResistance>,
    supply: Value<ElectricPotential>,
    edge: Value<Time>,
    frequency: Value<Frequency>,
    /// What the driver itself takes from the supply.
    own: Value<ElectricCurrent>,
}

impl Loss {
    /// The loss at an effective current; `None` where the board's file states no on-resistance.
    #[must_use]
    pub fn of(swap: &Swap, driver: &Driver, current: Value<ElectricCurrent>) -> Option<Self> {
        let limits = swap.catalogue.limits();
        let hot = limits.switch_hot_resistance_factor.value;
        let stated = |own: Option<Value<Time>>| own.unwrap_or(limits.driver_edge_time.value);
        Some(Self {
            peak: current.map(motion::peak_of_rms),
            half: driver.on_resistance?.value * hot.scale(0.5),
            supply: supply_voltage(swap),
            edge: stated(driver.edge_time.map(|edge| edge.value)),
            frequency: driver
                .chopper_frequency
                .map_or(limits.driver_chopper_frequency.value, |own| own.value),
            own: limits.driver_supply_current.value,
        })
    }

    /// One switch of a bridge, hot.
    #[must_use]
    pub fn half(&self) -> Value<ElectricalResistance> {
        self.half
    }

    /// What the switches lose while they conduct.
    #[must_use]
    pub fn conduction(&self) -> Value<Power> {
        let (peak, half) = (self.peak, self.half);
        Value::corners(|end| heat::bridge_loss(peak.at(end), half.at(end), half.at(end)))
    }

    /// What they lose each time they switch.
    #[must_use]
    pub fn switching(&self) -> Value<Power> {
        let both = self.peak.scale(BOTH_PHASES);
        let (u, t, f) = (self.supply, self.edge, self.frequency);
        Value::corners(|end| heat::switching_loss(u.at(end), both.at(end), t.at(end), t.at(end), f.at(end)))
    }

    /// What its own circuits take from the supply, whatever the motor does.
    #[must_use]
    pub fn own(&self) -> Value<Power> {
        Value::corners(|end| electrics::power_of_current(self.supply.at(end), self.own.at(end)))
    }

    /// All together.
    #[must_use]
    pub fn total(&self) -> Value<Power> {
        let parts = (self.conduction(), self.switching(), self.own());
        Value::corners(|end| parts.0.at(end) + parts.1.at(end) + parts.2.at(end))
    }

    /// How they come about: conduction, switching, its own circuits.
    #[must_use]
    pub fn workings(&self) -> [Working; 3] {
        let inputs = (
            named("Iₚ", "run current, peak of one phase", self.peak),
            named(
                "R_high",
                "upper switch, hot: half of the stated on-resistance",
                self.half,
            ),
            named("R_low", "lower switch, hot: the other half", self.half),
        );
        let conduction = work(&heat::BRIDGE_LOSS, "P", inputs, |(peak, high, low)| {
            heat::bridge_loss(peak, high, low)
        });
        let inputs = (
            named("U", "supply of the motors", self.supply),
            named(
                "I",
                "both phases together at their largest: √2 of the peak of one",
                self.peak.scale(BOTH_PHASES),
            ),
            named("t_on", "rising edge", self.edge),
            named("t_off", "falling edge", self.edge),
            named("f", "how often the current is chopped", self.frequency),
        );
        let switching = work(&heat::SWITCHING_LOSS, "P", inputs, |(u, i, on, off, f)| {
            heat::switching_loss(u, i, on, off, f)
        });
        let inputs = (
            named("U", "supply of the motors", self.supply),
            named("I", "supply current of the driver itself", self.own),
        );
        let own = work(&electrics::POWER_OF_CURRENT, "P", inputs, |(u, i)| {
            electrics::power_of_current(u, i)
        });
        [conduction.working, switching.working, own.working]
    }
}

/// What a driver offers for a wanted number of microsteps: the same, or the nearest it has.
#[must_use]
pub fn offered(driver: &Driver, wanted: u32) -> u32 {
    if driver.offers(wanted) {
        return wanted;
    }
    driver
        .fixed_microsteps
        .as_ref()
        .map_or(wanted.min(*driver.max_microsteps), |fixed| fixed.value)
}

/// A current as its driver states currents.
pub(crate) fn as_stated(driver: &Driver, rms: Value<ElectricCurrent>) -> Value<ElectricCurrent> {
    match driver.current_definition {
        CurrentDefinition::Peak => rms.map(motion::peak_of_rms),
        CurrentDefinition::Rms => rms,
    }
}

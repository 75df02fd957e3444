//! The window that tells a slipped thermometer or a dead heater from a slow but healthy heat-up.

use quantity::si::{
    HeatCapacity, Power, Ratio, TemperatureInterval, ThermalConductance, ThermodynamicTemperature, Time,
    kelvin,
};
use quantity::{Number, Value};

use super::body::{final_temperature, time_constant, time_to};
use crate::Formula;

/// See [`rise_in`].
pub static RISE_IN: Formula = Formula::new(
    "rise-in",
    "Rise of a heated body within a time",
    "Δϑ = (ϑₐ + P / G − ϑ) · (1 − exp(−t · G / C))",
    "heat-transfer-textbook",
    "lumped body",
);
/// See [`fall_time`].
pub static FALL_TIME: Formula = Formula::new(
    "fall-time",
    "Time in which a thermometer that slipped out falls to a temperature",
    "t = τ · ln((ϑ₁ − ϑₐ) / (ϑ₂ − ϑₐ))",
    "heat-transfer-textbook",
    "lumped body",
);

/// Rise of a heated body within a time at constant power; smallest where it is hottest.
///
/// `Δϑ = (ϑₐ + P / G − ϑ) · (1 − exp(−t · G / C))`
///
/// - `at`: temperature at the beginning of the time; the others as for [`super::temperature_after`].
///
/// Monotone in each while `at` is above `air` and below the end.
///
/// # Source
/// [heat-transfer-textbook], lumped body.
#[must_use]
pub fn rise_in(
    at: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
    power: Power,
    loss: ThermalConductance,
    capacity: HeatCapacity,
    time: Time,
) -> TemperatureInterval {
    let left = final_temperature(air, power, loss).base() - at.base();
    TemperatureInterval::from_base(-left * (-(time / time_constant(capacity, loss)).base()).exp_m1())
}

/// Time in which a thermometer that slipped out falls to a temperature; infinite where the air is as warm.
///
/// `t = τ · ln((ϑ₁ − ϑₐ) / (ϑ₂ − ϑₐ))`
///
/// - `constant`: of the thermometer in air. `from`, `to`: temperatures, `from` ≥ `to`. `air`: where it hangs.
///
/// Monotone in each while all temperatures are above the air's.
///
/// # Source
/// [heat-transfer-textbook], lumped body.
#[must_use]
pub fn fall_time(
    constant: Time,
    from: ThermodynamicTemperature,
    to: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
) -> Time {
    if to <= air {
        return Time::from_base(f64::INFINITY);
    }
    constant * ((from.base() - air.base()) / (to.base() - air.base())).ln()
}

/// A heated part with its tolerances, and what endangers it.
#[derive(Clone, Copy, Debug)]
pub struct Guarded {
    /// Heater power.
    pub power: Value<Power>,
    /// Loss to the air.
    pub loss: Value<ThermalConductance>,
    /// Heat capacity.
    pub capacity: Value<HeatCapacity>,
    /// Air around it.
    pub air: Value<ThermodynamicTemperature>,
    /// The highest temperature at which the guard still watches for a rise: a little below the highest goal.
    pub watched_to: ThermodynamicTemperature,
    /// What the weakest part bears.
    pub limit: ThermodynamicTemperature,
    /// How much of the true rise a slipped thermometer still shows, at most.
    pub slipped_share: Ratio,
    /// The least rise that stands out of the noise.
    pub least_rise: TemperatureInterval,
}

/// A rise and a time: heating that shows less than this rise within this time is stopped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProtectionWindow {
    /// The time.
    pub time: Time,
    /// The rise.
    pub rise: TemperatureInterval,
    /// The rise of the slowest healthy heat-up in that time.
    pub healthy: TemperatureInterval,
    /// The most that a slipped thermometer shows in that time.
    pub slipped: TemperatureInterval,
    /// When the weakest part reaches its limit, at the earliest, if heating goes on from the highest watched temperature.
    pub harm_after: Time,
}

impl ProtectionWindow {
    /// How many times the healthy rise exceeds the window's.
    #[must_use]
    pub fn healthy_margin(&self) -> Ratio {
        self.healthy / self.rise
    }

    /// How many times the window's rise exceeds that of a slipped thermometer.
    #[must_use]
    pub fn slipped_margin(&self) -> Ratio {
        self.rise / self.slipped
    }
}

impl Guarded {
    /// The shortest window that has at least `margin` on both sides and ends before harm; nothing where there is none.
    ///
    /// The healthy heat-up is the slowest of its tolerances at the highest watched temperature; the slipped thermometer
    /// shows its share of the fastest heat-up from cold. The rise lies in the geometric middle between them, and stands out of
    /// the noise. Windows from 1 s to 600 s are tried, 2 % apart.
    #[must_use]
    pub fn window(&self, margin: Ratio) -> Option<ProtectionWindow> {
        let mut seconds = 1.0;
        while seconds <= 600.0 {
            let window = self.window_of(Time::from_base(seconds));
            let fits = window.healthy_margin() >= margin
                && window.slipped_margin() >= margin
                && window.healthy.base() > 0.0
                && window.time < window.harm_after;
            if fits {
                return Some(window);
            }
            seconds *= 1.02;
        }
        None
    }

    /// The window of a given time, whether or not it serves.
    #[must_use]
    pub fn window_of(&self, time: Time) -> ProtectionWindow {
        let slow = (self.power.low(), self.loss.high(), self.capacity.high());
        let fast = (self.power.high(), self.loss.low(), self.capacity.low());
        let rise = |at, air, (power, loss, capacity)| rise_in(at, air, power, loss, capacity, time);
        // The cold air slows the heat-up, and gives the fast one the longest way.
        let healthy = rise(self.watched_to, self.air.low(), slow);
        let slipped = rise(self.air.low(), self.air.low(), fast) * self.slipped_share;
        let middle = (healthy.base().max(0.0) * slipped.base().max(0.0)).sqrt();
        let (power, loss, capacity) = fast;
        ProtectionWindow {
            time,
            rise: kelvin(middle).larger(self.least_rise),
            healthy,
            slipped,
            harm_after: time_to(
                self.limit,
                self.watched_to,
                self.air.high(),
                power,
                loss,
                capacity,
            ),
        }
    }
}

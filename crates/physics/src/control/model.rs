//! Models of a heated part: lags, leads and dead time; the half rule that shortens them; two points of a step response.

use quantity::Number;
use quantity::si::{TemperatureInterval, Time, second};

use crate::{Formula, OutOfRange};

/// See [`Process::first_order`].
pub static HALF_RULE: Formula = Formula::new(
    "half-rule",
    "A short model of a process with many lags",
    "τ₁ = τ₁₀ + τ₂₀ / 2, θ = θ₀ + τ₂₀ / 2 + Σₙ₌₃ τₙ₀ + Σ (inverse leads)",
    "skogestad-2003",
    "section 2",
);
/// See [`two_points_smith`].
pub static TWO_POINTS_SMITH: Formula = Formula::new(
    "two-points-smith",
    "Lag and dead time from 28.3 % and 63.2 % of a step response",
    "τ = 1.5 · (t₆₃ − t₂₈), θ = t₆₃ − τ",
    "smith-1972",
    "",
);
/// See [`two_points_sundaresan`].
pub static TWO_POINTS_SUNDARESAN: Formula = Formula::new(
    "two-points-sundaresan",
    "Lag and dead time from 35.3 % and 85.3 % of a step response",
    "τ = 0.67 · (t₈₅ − t₃₅), θ = 1.3 · t₃₅ − 0.29 · t₈₅",
    "sundaresan-1978",
    "",
);

/// A process of first order with dead time: `K · exp(−θ s) / (τ s + 1)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirstOrder {
    /// Rise at full power, in the end.
    pub gain: TemperatureInterval,
    /// τ, > 0 s.
    pub lag: Time,
    /// θ, ≥ 0 s.
    pub delay: Time,
}

/// A process of second order with dead time: `K · exp(−θ s) / ((τ₁ s + 1)(τ₂ s + 1))`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SecondOrder {
    /// Rise at full power, in the end.
    pub gain: TemperatureInterval,
    /// τ₁, the larger lag, > 0 s.
    pub lag: Time,
    /// τ₂, ≥ 0 s.
    pub second_lag: Time,
    /// θ, ≥ 0 s.
    pub delay: Time,
}

/// A process of any order: `K · Π(T s + 1) · exp(−θ s) / Π(τ s + 1)`, with another `1/s` where it integrates.
#[derive(Clone, Debug, PartialEq)]
pub struct Process {
    /// Rise at full power, in the end; for an integrating process in each second.
    pub gain: TemperatureInterval,
    /// Lags τ.
    pub lags: Vec<Time>,
    /// Leads T; a negative one is an inverse response.
    pub leads: Vec<Time>,
    /// θ.
    pub delay: Time,
    /// Whether it integrates.
    pub integrating: bool,
}

impl From<FirstOrder> for Process {
    fn from(model: FirstOrder) -> Self {
        Self {
            gain: model.gain,
            lags: vec![model.lag],
            leads: Vec::new(),
            delay: model.delay,
            integrating: false,
        }
    }
}

impl From<SecondOrder> for Process {
    fn from(model: SecondOrder) -> Self {
        Self {
            gain: model.gain,
            lags: vec![model.lag, model.second_lag],
            leads: Vec::new(),
            delay: model.delay,
            integrating: false,
        }
    }
}

impl Process {
    /// The first-order model by the half rule.
    ///
    /// The largest neglected lag is halved onto lag and dead time; smaller lags and inverse leads go to the dead time whole.
    ///
    /// # Errors
    /// [`OutOfRange`] where there is no lag, or a lead is positive: those must be cancelled against lags by hand first.
    ///
    /// # Source
    /// [skogestad-2003], section 2.
    pub fn first_order(&self) -> Result<FirstOrder, OutOfRange> {
        let (lags, delay) = self.ordered()?;
        let half = lags.get(1).map_or(second(0.0), |lag| *lag / 2.0);
        let rest = lags.iter().skip(2).fold(second(0.0), |sum, lag| sum + *lag);
        Ok(FirstOrder {
            gain: self.gain,
            lag: lags[0] + half,
            delay: delay + half + rest,
        })
    }

    /// The second-order model by the half rule.
    ///
    /// # Errors
    /// As for [`Self::first_order`].
    ///
    /// # Source
    /// [skogestad-2003], section 2.
    pub fn second_order(&self) -> Result<SecondOrder, OutOfRange> {
        let (lags, delay) = self.ordered()?;
        let zero = second(0.0);
        let half = lags.get(2).map_or(zero, |lag| *lag / 2.0);
        let rest = lags.iter().skip(3).fold(zero, |sum, lag| sum + *lag);
        // The halved lag may make the second one the larger: four equal lags give 1.5 and 1.
        let second_lag = lags.get(1).copied().unwrap_or(zero) + half;
        Ok(SecondOrder {
            gain: self.gain,
            lag: lags[0].larger(second_lag),
            second_lag: lags[0].smaller(second_lag),
            delay: delay + half + rest,
        })
    }

    /// The lags, largest first, and the dead time with the inverse leads.
    fn ordered(&self) -> Result<(Vec<Time>, Time), OutOfRange> {
        let inverse = quantity::Range::new(Time::from_base(f64::NEG_INFINITY), second(0.0));
        let mut delay = self.delay;
        for lead in &self.leads {
            delay -= OutOfRange::check("lead of the process", *lead, inverse)?;
        }
        let mut lags = self.lags.clone();
        lags.sort_by(|a, b| b.base().total_cmp(&a.base()));
        let largest = lags.first().copied().unwrap_or(second(0.0));
        OutOfRange::check_positive("largest lag of the process", largest)?;
        Ok((lags, delay))
    }
}

/// Lag and dead time from the times at which a step response has passed 28.3 % and 63.2 % of its way.
///
/// `τ = 1.5 · (t₆₃ − t₂₈)`, `θ = t₆₃ − τ`
///
/// # Source
/// [smith-1972].
#[must_use]
pub fn two_points_smith(at_28: Time, at_63: Time) -> (Time, Time) {
    let lag = 1.5 * (at_63 - at_28);
    (lag, at_63 - lag)
}

/// Lag and dead time from the times at which a step response has passed 35.3 % and 85.3 % of its way.
///
/// `τ = 0.67 · (t₈₅ − t₃₅)`, `θ = 1.3 · t₃₅ − 0.29 · t₈₅`
///
/// # Source
/// [sundaresan-1978].
#[must_use]
pub fn two_points_sundaresan(at_35: Time, at_85: Time) -> (Time, Time) {
    (0.67 * (at_85 - at_35), 1.3 * at_35 - 0.29 * at_85)
}

//! A limit, and whether a value holds it at the worst corner.

use quantity::si::{TemperatureInterval, kelvin};
use quantity::{AnyValue, Kind};
use serde::Serialize;

/// Which side of its limit a value must stay on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// The value must not be above the limit.
    AtMost,
    /// The value must not be below the limit.
    AtLeast,
}

/// A limit, with the side on which a value must stay.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Limit {
    /// The side.
    pub side: Side,
    /// The bound; where it has a tolerance its unfavourable end counts.
    pub bound: AnyValue,
}

impl Limit {
    /// What is left between the worst value and the worst bound, as a share of the bound; negative where it is broken. A temperature counts
    /// from 20 °C: the share is that of the permitted rise above usual surroundings.
    ///
    /// `None` where the bound is zero or unbounded and a share has no meaning.
    #[must_use]
    pub fn margin(&self, value: &AnyValue) -> Option<f64> {
        let corner = self.corner(value);
        let share = (corner.more - corner.less) / self.whole(&corner);
        share.is_finite().then_some(share)
    }
    /// A margin of [`Self::margin`] in kelvins, where the limit is a temperature; `None` for others.
    #[must_use]
    pub fn kelvins(&self, margin: f64) -> Option<TemperatureInterval> {
        let worst = match self.side {
            Side::AtMost => self.bound.low,
            Side::AtLeast => self.bound.high,
        };
        let is_temperature = self.bound.kind == Kind::Temperature;
        is_temperature.then(|| kelvin(margin * rise(worst)))
    }
    /// What a margin is a share of.
    pub(super) fn whole(&self, corner: &LimitCorner) -> f64 {
        match self.bound.kind {
            Kind::Temperature => rise(corner.bound),
            _ => corner.bound.abs(),
        }
    }
    /// Whether the value holds the limit at the worst corner.
    #[must_use]
    pub fn holds(&self, value: &AnyValue) -> bool {
        let corner = self.corner(value);
        corner.less <= corner.more
    }
    pub(super) fn corner(&self, value: &AnyValue) -> LimitCorner {
        let (bound, worst) = match self.side {
            Side::AtMost => (self.bound.low, value.high),
            Side::AtLeast => (self.bound.high, value.low),
        };
        let (more, less) = match self.side {
            Side::AtMost => (bound, worst),
            Side::AtLeast => (worst, bound),
        };
        LimitCorner { bound, more, less }
    }
}

/// Usual surroundings, 20 °C (ISO 1), from which permitted rises count.
pub(super) const SURROUNDINGS: f64 = 293.15;

/// The rise that a bound permits above usual surroundings; a bound near these is judged as one 20 K away.
fn rise(bound: f64) -> f64 {
    (bound - SURROUNDINGS).abs().max(20.0)
}

/// Worst value and worst bound, in SI base units: the limit holds as long as `less` is no more than `more`.
pub(super) struct LimitCorner {
    pub bound: f64,
    pub more: f64,
    pub less: f64,
}

//! Statistics on plain numbers: what several analyses share, each method held against published values.
//!
//! Numbers here carry no unit: the analysis that calls knows it, and gives its own results as quantities.

#![allow(
    clippy::neg_cmp_op_on_partial_ord,
    reason = "`!(x > 0)` refuses what is no number as well, and that is meant"
)]

pub mod allan;
mod anova;
pub mod bootstrap;
mod describe;
pub mod least_squares;
mod line;
mod logistic;
mod quantiles;
pub mod spectrum;
mod sums;
mod walk;

pub use anova::{Gauge, OneWay, gauge, one_way};
pub use describe::band;
pub use describe::{
    Suspect, autocorrelation, deviation, deviation_interval, difference_of_means, mean, mean_interval,
    median, next_interval, share_interval, suspects, trials_for,
};
pub use line::{Fit, Unfit, fit, ratio};
pub use logistic::{Logistic, Outcome, logistic};
pub use quantiles::{
    beta, chi_squared, chi_squared_above, fisher, fisher_above, normal, student, student_beyond,
};
pub use walk::Walk;

/// The confidence of every interval of this crate, unless its caller asks for another.
pub const CONFIDENCE: f64 = 0.95;

/// An estimate with the bounds of its interval, in a unit that the caller knows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The estimate.
    pub value: f64,
    /// The lower bound; may be infinite.
    pub low: f64,
    /// The upper bound; may be infinite.
    pub high: f64,
}

impl Estimate {
    /// An estimate with an interval of `half` on each side.
    #[must_use]
    pub fn around(value: f64, half: f64) -> Self {
        Self {
            value,
            low: value - half,
            high: value + half,
        }
    }

    /// Whether the interval holds a number.
    #[must_use]
    pub fn holds(&self, number: f64) -> bool {
        self.low <= number && number <= self.high
    }

    /// Estimate and bounds through a rising or falling function.
    #[must_use]
    pub fn map(&self, monotone: impl Fn(f64) -> f64) -> Self {
        let (one, other) = (monotone(self.low), monotone(self.high));
        Self {
            value: monotone(self.value),
            low: one.min(other),
            high: one.max(other),
        }
    }
}

//! Statistics on plain numbers: what several analyses share, each method held against published values.
//!
//! Numbers here carry no unit: the analysis that calls knows it, and gives its own results as quantities. In the order of reading:
//! - single samples: mean, [`standard_deviation`], [`median`], their confidence intervals, [`rosner_outliers`], proportions of trials;
//! - designs: [`one_way`] analysis of variance, the [`gauge`] study;
//! - models: [`linear_regression()`] with [`fieller_ratio`], [`least_squares`] for what is not linear, [`logistic_regression()`];
//! - series: autocorrelation, the block [`bootstrap`], Welch's [`spectrum`], [`allan`] deviations.
//!
//! What this crate must not know: any other of ours, files, clocks. Random numbers come from a seed that the caller gives.

#![allow(
    clippy::neg_cmp_op_on_partial_ord,
    reason = "`!(x > 0)` refuses what is no number as well, and that is meant"
)]

pub mod allan;
mod analysis_of_variance;
mod autocorrelation;
mod bisection;
pub mod bootstrap;
mod descriptive;
mod gauge_study;
mod intervals;
pub mod least_squares;
mod linear_regression;
mod logistic_regression;
mod outliers;
mod proportions;
mod quantiles;
mod random;
pub mod spectrum;
mod sums;

pub use analysis_of_variance::{OneWay, one_way};
pub use autocorrelation::{autocorrelation, block_length, correlation_time};
pub use bisection::Bisection;
pub use descriptive::{
    extremes, interpercentile_bounds, interpercentile_range, mean, median, median_high, standard_deviation,
};
pub use gauge_study::{Gauge, gauge};
pub use intervals::{
    coverage_factor, difference_of_means, mean_interval, prediction_interval, standard_deviation_interval,
    welch_satterthwaite,
};
pub use linear_regression::{LinearRegression, NoLinearFit, fieller_ratio, linear_regression};
pub use logistic_regression::{LogisticRegression, Trial, logistic_regression};
pub use outliers::{Outlier, rosner_outliers};
pub use proportions::{proportion_interval, trials_for};
pub use quantiles::{
    beta_quantile, chi_squared_quantile, chi_squared_tail, fisher_quantile, fisher_tail, normal_quantile,
    student_quantile, student_tails,
};
pub use random::normal_deviate;

/// The confidence of every interval, unless its caller asks for another.
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

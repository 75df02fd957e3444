//! How calibrations write what they found.

use quantity::Value;
use quantity::si::{Ratio, StepDensity, ratio, step_per_millimetre};
use statistics::Estimate;

use crate::quantities::InUnit as _;

/// A share as a per cent with sign, such as "+1.25 %".
pub(super) fn signed_percent(share: f64) -> String {
    format!("{:+.2} %", 100.0 * share).replace('-', "−")
}

pub(super) fn of_ratio(estimate: Estimate) -> Value<Ratio> {
    estimate.of(ratio)
}

/// Steps for each millimetre.
pub(super) fn of_steps(estimate: Estimate) -> Value<StepDensity> {
    estimate.of(step_per_millimetre)
}

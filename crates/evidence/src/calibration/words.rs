//! How calibrations write what they found.

use quantity::Value;
use quantity::si::{Length, Ratio, millimetre, ratio};
use statistics::Estimate;

use crate::quantities::InUnit as _;

/// A share as a per cent with sign, such as "+1.25 %".
pub(super) fn signed_percent(share: f64) -> String {
    format!("{:+.2} %", 100.0 * share).replace('-', "−")
}

/// A length with sign, such as "+0.125".
pub(super) fn signed_millimetres(length: f64) -> String {
    format!("{length:+.3}").replace('-', "−")
}

pub(super) fn of_ratio(estimate: Estimate) -> Value<Ratio> {
    estimate.of(ratio)
}

pub(super) fn of_length(estimate: Estimate) -> Value<Length> {
    estimate.of(millimetre)
}

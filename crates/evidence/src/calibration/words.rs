//! How calibrations write what they found.

use quantity::Value;
use quantity::si::{Ratio, StepDensity, ratio, step_per_millimetre};
use statistics::Estimate;

use crate::quantities::InUnit as _;

/// A share as a per cent with sign, such as "+1.25 %".
pub(super) fn signed_percent(share: f64) -> String {
    format!("{:+.2} %", 100.0 * share).replace('-', "−")
}

/// By how much a length is off, with its side: "2.68 % too little".
pub(super) fn off_by(share: f64) -> String {
    let side = if share < 0.0 { "too little" } else { "too much" };
    format!("{:.2} % {side}", 100.0 * share.abs())
}

pub(super) fn of_ratio(estimate: Estimate) -> Value<Ratio> {
    estimate.of(ratio)
}

/// Steps for each millimetre.
pub(super) fn of_steps(estimate: Estimate) -> Value<StepDensity> {
    estimate.of(step_per_millimetre)
}

#[cfg(test)]
mod tests {
    use super::off_by;

    #[test]
    fn the_side_of_an_error_is_named() {
        assert_eq!(off_by(-0.026_84), "2.68 % too little");
        assert_eq!(off_by(0.011), "1.10 % too much");
    }
}

//! How calibrations write what they found.

use quantity::si::{Ratio, StepDensity, ratio, step_per_millimetre};
use quantity::{AnyValue, Value, show_nominal};
use statistics::Estimate;

use crate::quantities::InUnit as _;

/// A share as a per cent with sign, such as "+1.25 %".
pub(super) fn signed_percent(share: f64) -> String {
    format!("{:+.2} %", 100.0 * share).replace('-', "−")
}

/// By how much a length over the one that was told is off, with its side: "2.7 % too little". The digits follow the interval.
pub(super) fn off_by(over: Estimate, [less, more]: [&str; 2]) -> String {
    let is_less = over.value < 1.0;
    let sign = if is_less { -1.0 } else { 1.0 };
    let off = over.map(|over| sign * (over - 1.0));
    let off = show_nominal(&AnyValue::from(of_ratio(off)));
    format!("{off} {}", if is_less { less } else { more })
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
    use statistics::Estimate;

    use super::off_by;

    #[test]
    fn the_side_of_an_error_is_named() {
        let sides = ["too little", "too much"];
        let of = |value, half| {
            off_by(
                Estimate {
                    value,
                    low: value - half,
                    high: value + half,
                },
                sides,
            )
        };
        assert_eq!(of(0.973_16, 0.000_2), "2.684 % too little");
        assert_eq!(of(1.011_2, 0.002), "1.12 % too much");
        assert_eq!(of(1.011_2, 0.02), "1.1 % too much");
    }
}

//! Calibrations: from what was commanded and what came out to the value to set, with its uncertainty.
//!
//! All of them ask the same question twice: which value, and is it worth setting? A value whose interval still holds the old
//! one is not a better value, it is the old one with noise.

mod axes;
mod extruder;
mod flow;
mod pressure;

pub use axes::{AxisAsk, AxisCalibration, Drive, Print, Side, axes};
pub use extruder::{ExtruderAsk, ExtruderCalibration, Pull, extruder};
pub use flow::{FlowAsk, FlowCalibration, Wall, flow};
pub use pressure::{Corner, Measure, PressureCalibration, pressure};

use quantity::si::{Length, Ratio};
use quantity::{Number, Value};

use crate::Verdict;
use crate::quantities::InUnit as _;
use statistics::Estimate;

fn mm(length: Length) -> f64 {
    length.base() * 1e3
}

/// Whether a value is off by at most a share, by its whole interval.
fn off_by_at_most(share: Estimate, allowed: f64) -> Verdict {
    let (low, high) = (share.low - 1.0, share.high - 1.0);
    if low >= -allowed && high <= allowed {
        Verdict::Holds
    } else if low > allowed || high < -allowed {
        Verdict::Fails
    } else {
        Verdict::NotShown
    }
}

/// A share as a per cent with sign, such as "+1.25 %".
fn signed_percent(share: f64) -> String {
    format!("{:+.2} %", 100.0 * share).replace('-', "−")
}

fn of_ratio(estimate: Estimate) -> Value<Ratio> {
    estimate.of(quantity::si::ratio)
}

//! Calibrations: from what was commanded and what came out to the value to set, with its uncertainty.
//!
//! All of them ask the same question twice: which value, and is it worth setting? A value whose interval still holds the old
//! one is not a better value, it is the old one with noise.

mod axes;
mod extruder;
mod flow;
mod pressure;
mod words;

pub use axes::{AxisAsk, AxisCalibration, Drive, Print, Side, axes};
pub use extruder::{ExtruderAsk, ExtruderCalibration, Pull, extruder};
pub use flow::{FlowAsk, FlowCalibration, Wall, flow};
pub use pressure::{Corner, ExtrusionPressureTest, Measure, pressure};

use statistics::Estimate;

use crate::Verdict;

/// Whether a value is off by at most a share, by its whole interval.
fn off_by_at_most(share: Estimate, allowed: f64) -> Verdict {
    let (low, high) = (share.low - 1.0, share.high - 1.0);
    if low >= -allowed && high <= allowed {
        Verdict::Pass
    } else if low > allowed || high < -allowed {
        Verdict::Fail
    } else {
        Verdict::Open
    }
}

/// What was set over what came of it: the value to set. A bound at or below zero leaves it without a bound above.
fn over(set: f64, came: Estimate) -> Estimate {
    Estimate {
        value: set / came.value,
        low: set / came.high,
        high: if came.low > 0.0 {
            set / came.low
        } else {
            f64::INFINITY
        },
    }
}

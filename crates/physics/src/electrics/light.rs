//! Addressable light strips: current and time of a frame.

use quantity::si::{ElectricCurrent, Ratio, Time};

use crate::Formula;

/// See [`strip_current`].
pub static STRIP_CURRENT: Formula = Formula::new(
    "strip-current",
    "Current of a light strip",
    "I = n · I₁",
    "common-practice",
    "",
);
/// See [`frame_time`].
pub static FRAME_TIME: Formula = Formula::new(
    "frame-time",
    "Time to send one frame to a light strip",
    "t = n · b · t₁",
    "addressable-light-sheet",
    "data transfer time",
);

/// Current of a light strip with all its lights at the given current.
///
/// `I = n · I₁`
///
/// - `lights`: how many.
/// - `each`: current of one light as driven; 60 mA is white at full brightness for the usual 5 V parts.
///
/// Monotone in both. Leaves out: that lights far down the strip see less voltage and draw less.
///
/// # Source
/// Common practice, no source; several pages agree on 20 mA a colour.
#[must_use]
pub fn strip_current(lights: Ratio, each: ElectricCurrent) -> ElectricCurrent {
    lights * each
}

/// Time to send one frame to a light strip.
///
/// `t = n · b · t₁`
///
/// - `lights`: how many; `bits`: of each, 24 for three colours.
/// - `bit_time`: 1.25 µs for the usual parts.
///
/// Monotone in each. Leaves out: the pause that ends the frame.
///
/// # Source
/// [addressable-light-sheet], data transfer time.
#[must_use]
pub fn frame_time(lights: Ratio, bits: Ratio, bit_time: Time) -> Time {
    lights * bits * bit_time
}

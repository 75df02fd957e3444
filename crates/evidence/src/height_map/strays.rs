//! Touches that stray: so far from the others of their place, or from the smooth surface of their neighbours, that they say nothing about the bed.
//!
//! One such touch swells the noise of all and bends the surface. It is named with its line and left out of the shape; what the map
//! would say with it is told beside. Noise is measured by medians, which a few wild touches do not move.

mod neighbours;
mod same_place;

use statistics::median;

use super::{Touch, Visits};
use crate::lengths::mm;

/// A touch that strays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stray {
    /// Its place among the touches as given.
    pub touch: usize,
    /// Where it was touched, millimetres.
    pub at: [f64; 2],
    /// How much higher it lies than its witness says, millimetres.
    pub off: f64,
    /// That in deviations of the robust noise; infinite where the others do not scatter at all.
    pub times: f64,
    /// What it is held against.
    pub witness: Witness,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What a stray touch is held against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Witness {
    /// At least two other touches of the same place: the bed itself is no excuse.
    SamePlace,
    /// The surface of the neighbouring places: a narrow dent or bump of the bed would look the same.
    Neighbours,
}

/// The touches that stray, the farthest first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Strays {
    /// Each of them.
    pub found: Vec<Stray>,
    /// Whether there are any that are left out of the shape: not where they are too many to be single mishaps.
    pub left_out: bool,
}

/// Fewer spare touches than this do not tell a robust deviation.
const LEAST_FREEDOM: usize = 10;
/// A median of absolute deviations is so much smaller than the standard deviation of a normal distribution.
const MEDIAN_TO_DEVIATION: f64 = 1.482_602_2;

/// Looks for touches that stray. More than a tenth of all are no mishaps but the way this bed is touched: none is left out then.
///
/// # Source
/// Median absolute deviation: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.6 and 1.3.5.17 (from memory).
pub(super) fn strays(touches: &[Touch], sorted: &Visits) -> Strays {
    let spare = touches.len() + 1 - sorted.places.len().min(touches.len());
    let mut found = if spare > LEAST_FREEDOM + sorted.shifts.len() {
        same_place::strays(touches, sorted)
    } else {
        neighbours::strays(touches, sorted)
    };
    found.sort_by(|one, other| other.times.total_cmp(&one.times));
    Strays {
        left_out: !found.is_empty() && found.len() <= most(touches.len()),
        found,
    }
}

/// The touches that are kept, each with the visit that it was sorted into among all.
pub(super) fn without(touches: &[Touch], sorted: &Visits, strays: &Strays) -> Vec<Touch> {
    let is_out = |at: usize| strays.left_out && strays.found.iter().any(|stray| stray.touch == at);
    (0..touches.len())
        .filter(|at| !is_out(*at))
        .map(|at| Touch {
            visit: Some(sorted.of[at].1 as u32),
            ..touches[at]
        })
        .collect()
}

fn most(touches: usize) -> usize {
    (touches / 10).max(1)
}

fn stray(touches: &[Touch], touch: usize, off: f64, scale: f64, witness: Witness) -> Stray {
    let own = &touches[touch];
    Stray {
        touch,
        at: [mm(own.at.x), mm(own.at.y)],
        off,
        times: off.abs() / scale,
        witness,
        line: own.line,
    }
}

/// A size below this, in millimetres, is rounding.
const ROUNDING: f64 = 1e-9;

/// The deviation of values about nothing by the median of their sizes; where half of them are nothing, the step of the readings.
fn robust(values: &[f64], step: f64) -> f64 {
    let sizes: Vec<f64> = values.iter().map(|v| v.abs()).collect();
    let middle = median(&sizes);
    if middle > ROUNDING {
        MEDIAN_TO_DEVIATION * middle
    } else {
        step
    }
}

/// The smallest difference between readings; infinite where all are alike.
fn step(heights: &[f64]) -> f64 {
    let mut sorted = heights.to_vec();
    sorted.sort_by(f64::total_cmp);
    let gaps = sorted.windows(2).map(|pair| pair[1] - pair[0]);
    gaps.filter(|gap| *gap > ROUNDING).fold(f64::INFINITY, f64::min)
}

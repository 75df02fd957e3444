//! Screws: clearance holes, play, and the square of holes on a motor's flange.

use core::f64::consts::SQRT_2;

use quantity::Number;
use quantity::si::{Length, millimetre};
use serde::Serialize;

use crate::Formula;

/// See [`screw_play`].
pub static SCREW_PLAY: Formula = Formula::new(
    "screw-play",
    "Play of a screw in its hole, from the middle",
    "p = (D − d) / 2",
    "iso-273",
    "",
);
/// See [`clearance_hole`].
pub static CLEARANCE_HOLE: Formula = Formula::new(
    "clearance-hole",
    "Clearance hole of a screw",
    "D: table by screw and series",
    "iso-273",
    "table",
);
/// See [`flange_side`].
pub static FLANGE_SIDE: Formula = Formula::new(
    "flange-side",
    "Side of the square of holes on a motor's flange",
    "a = D / √2",
    "nema-ics-16",
    "bolt circles",
);

/// Series of clearance holes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ClearanceSeries {
    /// H12.
    Fine,
    /// H13.
    Medium,
    /// H14.
    Coarse,
}

/// Screw and its holes, fine, medium, coarse; in millimetres. [iso-273]
const HOLES: [(f64, [f64; 3]); 6] = [
    (2.0, [2.2, 2.4, 2.6]),
    (2.5, [2.7, 2.9, 3.1]),
    (3.0, [3.2, 3.4, 3.6]),
    (3.5, [3.7, 3.9, 4.2]),
    (4.0, [4.3, 4.5, 4.8]),
    (5.0, [5.3, 5.5, 5.8]),
];

/// Play of a screw in its hole: how far it may sit from the middle in any direction.
///
/// `p = (D − d) / 2`
///
/// - `hole`: its diameter; `screw`: that of the thread. Negative where the screw does not pass.
///
/// Monotone in both. Leaves out: the play of the thread in its post, and how true the posts stand.
///
/// # Source
/// Geometry; the holes of [iso-273].
#[must_use]
pub fn screw_play(hole: Length, screw: Length) -> Length {
    (hole - screw) / 2.0
}

/// Clearance hole of a metric screw from M2 to M5; nothing for a screw that is not in the table.
///
/// # Source
/// [iso-273].
#[must_use]
pub fn clearance_hole(screw: Length, series: ClearanceSeries) -> Option<Length> {
    let index = match series {
        ClearanceSeries::Fine => 0,
        ClearanceSeries::Medium => 1,
        ClearanceSeries::Coarse => 2,
    };
    let row = HOLES
        .iter()
        .find(|(size, _)| (millimetre(*size) - screw).base().abs() < 1e-6)?;
    Some(millimetre(row.1[index]))
}

/// The largest metric screw, from M2 to M5, that passes a hole with at least the play of the fine series.
#[must_use]
pub fn screw_for(hole: Length) -> Option<Length> {
    let fits = |row: &&(f64, [f64; 3])| millimetre(row.1[0]).base() <= hole.base() + 1e-6;
    HOLES.iter().rev().find(fits).map(|(size, _)| millimetre(*size))
}

/// Side of the square of holes on a motor's flange.
///
/// `a = D / √2`, with `circle` the diameter of the bolt circle. Monotone.
///
/// # Source
/// [nema-ics-16], bolt circles; geometry.
#[must_use]
pub fn flange_side(circle: Length) -> Length {
    circle / SQRT_2
}

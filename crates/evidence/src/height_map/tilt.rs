//! The plane through a height map, and the turns of the screws that make it level.

use statistics::{CONFIDENCE, Estimate, LinearRegression, extremes, linear_regression};

use super::{Place, Screw, Sense, Touch, Visits};
use crate::lengths::mm;

/// The plane.
#[derive(Clone, Debug, PartialEq)]
pub struct Tilt {
    /// Rise to the right, millimetres per metre.
    pub right: Estimate,
    /// Rise to the back, millimetres per metre.
    pub back: Estimate,
    /// Height of the plane in the middle of the places, millimetres.
    pub middle: f64,
    /// That middle.
    pub centre: [f64; 2],
    /// How much higher the plane is at the highest corner of the box around the places than at the lowest, millimetres.
    pub over_bed: Estimate,
    /// Root mean square of what the plane leaves at the places, millimetres: what no screw takes away.
    pub left: f64,
    /// Largest less smallest of what the plane leaves, millimetres.
    pub left_span: f64,
    /// What each screw needs.
    pub turns: Vec<ScrewTurn>,
}

/// What one screw needs.
#[derive(Clone, Debug, PartialEq)]
pub struct ScrewTurn {
    /// Its name.
    pub name: String,
    /// How far the bed has to rise there, millimetres; negative where it has to sink.
    pub rise: Estimate,
    /// Turns in the sense that raises, negative in the other.
    pub turns: Estimate,
    /// The sense to turn in.
    pub sense: Sense,
    /// Whether it cannot be turned.
    pub fixed: bool,
}

impl Tilt {
    /// The height of the plane at a place, millimetres.
    #[must_use]
    pub fn at(&self, x: f64, y: f64) -> f64 {
        self.middle
            + self.right.value * 1e-3 * (x - self.centre[0])
            + self.back.value * 1e-3 * (y - self.centre[1])
    }
}

/// Fits the plane to all touches by least squares, each visit's shift taken off.
pub(super) fn tilt(
    touches: &[Touch],
    visits: &Visits,
    screws: &[Screw],
    deviation: f64,
    freedom: f64,
) -> Option<Tilt> {
    let [left, right, front, back] = super::grid::bounds(&visits.places);
    let centre = [f64::midpoint(left, right), f64::midpoint(front, back)];
    let row = |x: f64, y: f64| vec![1.0, x - centre[0], y - centre[1]];
    let rows: Vec<Vec<f64>> = touches.iter().map(|t| row(mm(t.at.x), mm(t.at.y))).collect();
    let heights: Vec<f64> = touches
        .iter()
        .zip(&visits.of)
        .map(|(t, (_, visit))| mm(t.height) - visits.shifts[*visit])
        .collect();
    let plane = linear_regression(&rows, &heights).ok()?;
    // What the plane leaves is warp as well as noise; only noise makes its slopes uncertain.
    let plane = plane.with_deviation(deviation, freedom);
    let per_metre = |column| plane.coefficient(column, CONFIDENCE).map(|s| s * 1e3);
    let (rise_right, rise_back) = (per_metre(1), per_metre(2));
    let sign = |e: Estimate| if e.value < 0.0 { -1.0 } else { 1.0 };
    let to_the_highest = [
        0.0,
        sign(rise_right) * (right - left),
        sign(rise_back) * (back - front),
    ];
    let rest = rest(&plane, visits, &row);
    let (lowest, highest) = extremes(rest.iter().copied());
    Some(Tilt {
        right: rise_right,
        back: rise_back,
        middle: plane.coefficients[0],
        centre,
        over_bed: plane.sum(&to_the_highest, CONFIDENCE),
        left: (rest.iter().map(|r| r * r).sum::<f64>() / rest.len() as f64).sqrt(),
        left_span: highest - lowest,
        turns: turns(&plane, screws, &row),
    })
}

/// What the plane leaves of each place.
fn rest(plane: &LinearRegression, visits: &Visits, row: &dyn Fn(f64, f64) -> Vec<f64>) -> Vec<f64> {
    let left = |place: &Place| {
        let row = row(place.x, place.y);
        let plane = row.iter().zip(&plane.coefficients);
        place.height - plane.map(|(x, b)| x * b).sum::<f64>()
    };
    visits.places.iter().map(left).collect()
}

/// Every screw to the height of the fixed one, or to the mean of all so that the bed stays where it is.
fn turns(plane: &LinearRegression, screws: &[Screw], row: &dyn Fn(f64, f64) -> Vec<f64>) -> Vec<ScrewTurn> {
    let rows: Vec<Vec<f64>> = screws.iter().map(|s| row(mm(s.at.x), mm(s.at.y))).collect();
    let fixed = screws.iter().filter(|s| s.fixed).count();
    let kept = |s: &Screw| s.fixed || fixed == 0;
    let count = screws.iter().filter(|s| kept(s)).count() as f64;
    let mut reference = [0.0; 3];
    for (_, row) in screws.iter().zip(&rows).filter(|(s, _)| kept(s)) {
        for (sum, x) in reference.iter_mut().zip(row) {
            *sum += x / count;
        }
    }
    screws
        .iter()
        .zip(&rows)
        .map(|(screw, row)| {
            let weights: Vec<f64> = reference.iter().zip(row).map(|(r, x)| r - x).collect();
            let rise = plane.sum(&weights, CONFIDENCE);
            let pitch = mm(screw.pitch);
            ScrewTurn {
                name: screw.name.clone(),
                rise,
                turns: rise.map(|r| r / pitch),
                sense: if rise.value < 0.0 {
                    screw.raises.other()
                } else {
                    screw.raises
                },
                fixed: screw.fixed,
            }
        })
        .collect()
}

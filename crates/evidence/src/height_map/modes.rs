//! Warp as a sum of simple shapes: products of Legendre polynomials over the box around the places.

use super::Visits;
use statistics::{CONFIDENCE, Estimate, LinearRegression, linear_regression};

/// A simple shape of a warped plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// Two opposite corners up, the other two down.
    Twist,
    /// The edge above the middle all round; a dome where negative.
    Bowl,
    /// The left and right edges up, the front and back edges down.
    Saddle,
    /// An S from left to right.
    SideWave,
    /// An S from front to back.
    DepthWave,
    /// Bent from left to right, one way at the front and the other way at the back.
    TurningBendAcross,
    /// Bent from front to back, one way on the left and the other way on the right.
    TurningBendAlong,
}

impl Mode {
    /// Its height at a place of the box −1 … 1.
    fn at(self, u: f64, v: f64) -> f64 {
        let (p2, p3) = (
            |t: f64| (3.0 * t * t - 1.0) / 2.0,
            |t: f64| (5.0 * t * t * t - 3.0 * t) / 2.0,
        );
        match self {
            Mode::Twist => u * v,
            Mode::Bowl => p2(u) + p2(v),
            Mode::Saddle => p2(u) - p2(v),
            Mode::SideWave => p3(u),
            Mode::DepthWave => p3(v),
            Mode::TurningBendAcross => p2(u) * v,
            Mode::TurningBendAlong => u * p2(v),
        }
    }

    /// Largest less smallest height over the box.
    fn span(self) -> f64 {
        match self {
            Mode::Bowl | Mode::Saddle => 3.0,
            _ => 2.0,
        }
    }
}

const SECOND: [Mode; 3] = [Mode::Twist, Mode::Bowl, Mode::Saddle];
const THIRD: [Mode; 4] = [
    Mode::SideWave,
    Mode::DepthWave,
    Mode::TurningBendAcross,
    Mode::TurningBendAlong,
];

/// The warp as simple shapes.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// Each shape with its height from valley to peak over the box, millimetres, signed; the largest first.
    pub modes: Vec<(Mode, Estimate)>,
    /// The share of the warp's variance that these shapes make up, 0 to 1.
    pub explained: f64,
    /// The deviation of the places from plane and shapes, millimetres.
    pub unexplained: f64,
}

/// Fits plane and shapes together; nothing where the places are too few or too badly spread.
pub(super) fn shape(visits: &Visits, deviation: f64, freedom: f64) -> Option<Shape> {
    let third: Vec<Mode> = SECOND.iter().chain(&THIRD).copied().collect();
    [&third[..], &SECOND[..]]
        .into_iter()
        .find_map(|modes| with_modes(visits, modes, deviation, freedom))
}

fn with_modes(visits: &Visits, modes: &[Mode], deviation: f64, freedom: f64) -> Option<Shape> {
    let places = &visits.places;
    if places.len() < 3 + modes.len() + 2 {
        return None;
    }
    let [left, right, front, back] = super::grid::bounds(places);
    let unit = |value: f64, low: f64, high: f64| (2.0 * value - low - high) / (high - low);
    let row = |x: f64, y: f64, modes: &[Mode]| -> Vec<f64> {
        let (u, v) = (unit(x, left, right), unit(y, front, back));
        let plane = [1.0, u, v].into_iter();
        plane.chain(modes.iter().map(|m| m.at(u, v))).collect()
    };
    let heights: Vec<f64> = places.iter().map(|p| p.height).collect();
    let fitted = |modes: &[Mode]| {
        let rows: Vec<Vec<f64>> = places.iter().map(|p| row(p.x, p.y, modes)).collect();
        linear_regression(&rows, &heights).ok()
    };
    let (flat, bent) = (fitted(&[])?, fitted(modes)?);
    let sum = |f: &LinearRegression| f.residuals.iter().map(|r| r * r).sum::<f64>();
    let (before, after) = (sum(&flat), sum(&bent));
    let unexplained = bent.deviation;
    // The means of several touches scatter less than one touch.
    let touches = places.iter().map(|p| p.touches as f64).sum::<f64>() / places.len() as f64;
    let bent = bent.with_deviation(deviation / touches.sqrt(), freedom);
    let mut found: Vec<(Mode, Estimate)> = modes
        .iter()
        .enumerate()
        .map(|(at, mode)| {
            let height = bent.coefficient(3 + at, CONFIDENCE).map(|c| c * mode.span());
            (*mode, height)
        })
        .collect();
    found.sort_by(|p, q| q.1.value.abs().total_cmp(&p.1.value.abs()));
    Some(Shape {
        modes: found,
        explained: if before > 0.0 { 1.0 - after / before } else { 0.0 },
        unexplained,
    })
}

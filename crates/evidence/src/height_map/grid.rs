//! What a grid of touches leaves: the surface between its points, and the noise of the touches themselves.

use statistics::{Estimate, extremes, mean, standard_deviation};

use super::{Place, Smoothing, Surface};

/// What one grid leaves of the first layer's height, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridError {
    /// Columns and rows.
    pub grid: [u32; 2],
    /// Root mean square of the surface less its interpolation, over the box around the places.
    pub shape: f64,
    /// The largest of those.
    pub shape_largest: f64,
    /// Root mean square that the noise of one touch a point adds between the points: 2/3 of the deviation of a touch.
    pub noise: f64,
    /// Error at places that were left out, root mean square, their own noise included; nothing for the grid that was only asked for.
    pub foretold: Option<f64>,
    /// The standard error of the mean square behind it.
    pub foretold_error: Option<f64>,
}

impl GridError {
    /// Shape and noise together, root mean square.
    #[must_use]
    pub fn together(&self) -> f64 {
        self.shape.hypot(self.noise)
    }
}

/// Grids side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct GridStudy {
    /// Square grids from 2 by 2 up to the number that the places can judge.
    pub squares: Vec<GridError>,
    /// The place among them from which on more points do not help: cross-validation, one standard error above the least.
    pub enough: usize,
    /// The grid that was asked for; with the lower and upper bound of the touch's deviation in its noise.
    pub asked: Option<GridError>,
    /// The largest error of the asked grid, shape and twice the noise: with the bounds of what the touches leave open.
    pub asked_largest: Option<Estimate>,
}

/// Lines of the lattice on which grids are held against the surface, a side.
const LATTICE: u32 = 41;
/// Parts that are left out in turn.
const FOLDS: usize = 10;

/// Holds grids against the surface and against places left out.
pub(super) fn study(
    places: &[Place],
    surface: &Surface,
    touch: Estimate,
    asked: Option<[u32; 2]>,
) -> GridStudy {
    let bounds = bounds(places);
    let most = ((places.len() as f64).sqrt().floor() as u32).clamp(2, 12);
    let heights: Vec<f64> = lattice(bounds, [LATTICE; 2])
        .map(|(x, y)| surface.at(x, y))
        .collect();
    let error = |grid| error(surface, &heights, bounds, grid, touch.value);
    let mut squares: Vec<GridError> = (2..=most).map(|side| error([side, side])).collect();
    let enough = cross_validate(places, surface, bounds, &mut squares);
    let asked = asked.map(error);
    let asked_largest = asked.map(|own| super::largest::largest(places, surface, own, touch));
    GridStudy {
        squares,
        enough,
        asked,
        asked_largest,
    }
}

/// Noise between four points of independent noise 1: the mean square over a cell is (2/3)², since ∫ (1−t)² + t² dt = 2/3.
pub(super) const NOISE_SHARE: f64 = 2.0 / 3.0;

fn error(surface: &Surface, heights: &[f64], bounds: [f64; 4], grid: [u32; 2], touch: f64) -> GridError {
    let mesh = Mesh::of(&|x, y| surface.at(x, y), bounds, grid);
    let (mut sum, mut largest) = (0.0, 0.0_f64);
    for ((x, y), height) in lattice(bounds, [LATTICE; 2]).zip(heights) {
        let off = height - mesh.at(x, y);
        sum += off * off;
        largest = largest.max(off.abs());
    }
    GridError {
        grid,
        shape: (sum / f64::from(LATTICE * LATTICE)).sqrt(),
        shape_largest: largest,
        noise: NOISE_SHARE * if touch.is_finite() { touch } else { 0.0 },
        foretold: None,
        foretold_error: None,
    }
}

/// Leaves out a tenth of the places in turn, fits the surface to the others, lays each grid on it and looks at what was left out.
///
/// # Source
/// The rule of one standard error: Breiman, Friedman, Olshen and Stone, Classification and Regression Trees (1984), 3.4.3 (from memory).
fn cross_validate(places: &[Place], whole: &Surface, bounds: [f64; 4], squares: &mut [GridError]) -> usize {
    let folds = FOLDS.min(places.len() / 2);
    let mut squared: Vec<Vec<f64>> = vec![Vec::new(); squares.len()];
    for fold in 0..folds {
        // A step that shares no factor with the usual numbers of columns spreads each part over the bed.
        let is_out = |at: &usize| (at * 7 + at / 7) % folds == fold;
        let (out, kept): (Vec<usize>, Vec<usize>) = (0..places.len()).partition(is_out);
        let points: Vec<[f64; 2]> = kept.iter().map(|at| [places[*at].x, places[*at].y]).collect();
        let heights: Vec<f64> = kept.iter().map(|at| places[*at].height).collect();
        let Some(surface) = Surface::fit(&points, &heights, Smoothing::Fixed(whole.smoothing)) else {
            continue;
        };
        for (grid, squared) in squares.iter().zip(&mut squared) {
            let mesh = Mesh::of(&|x, y| surface.at(x, y), bounds, grid.grid);
            let out = out.iter().map(|at| &places[*at]);
            squared.extend(out.map(|p| (p.height - mesh.at(p.x, p.y)).powi(2)));
        }
    }
    for (grid, squared) in squares.iter_mut().zip(&squared) {
        let error = standard_deviation(squared) / (squared.len() as f64).sqrt();
        grid.foretold = Some(mean(squared).sqrt());
        grid.foretold_error = Some(error);
    }
    first_within_an_error(&squared)
}

/// The first whose mean is no more than one standard error above the least.
fn first_within_an_error(squared: &[Vec<f64>]) -> usize {
    let means: Vec<f64> = squared.iter().map(|own| mean(own)).collect();
    let mut least = (0, f64::INFINITY);
    for (at, mean) in means.iter().enumerate() {
        if *mean < least.1 {
            least = (at, *mean);
        }
    }
    let (at, level) = least;
    let of_least = &squared[at];
    let error = standard_deviation(of_least) / (of_least.len() as f64).sqrt();
    let mut within = means.iter();
    within.position(|mean| *mean <= level + error).unwrap_or(at)
}

/// Left, right, front and back of the box around places.
pub(super) fn bounds(places: &[Place]) -> [f64; 4] {
    let ends = |of: fn(&Place) -> f64| extremes(places.iter().map(of));
    let ((left, right), (front, back)) = (ends(|p| p.x), ends(|p| p.y));
    [left, right, front, back]
}

pub(super) fn lattice(
    [left, right, front, back]: [f64; 4],
    lines: [u32; 2],
) -> impl Iterator<Item = (f64, f64)> {
    let last = lines.map(|lines| f64::from(lines - 1));
    (0..lines[0] * lines[1]).map(move |at| {
        let (column, row) = (f64::from(at % lines[0]), f64::from(at / lines[0]));
        (
            left + (right - left) * column / last[0],
            front + (back - front) * row / last[1],
        )
    })
}

/// A grid of heights with the straight interpolation between four points that controllers use.
pub(super) struct Mesh {
    bounds: [f64; 4],
    grid: [u32; 2],
    heights: Vec<f64>,
}

impl Mesh {
    /// The points of a grid, row by row.
    pub fn places([left, right, front, back]: [f64; 4], grid: [u32; 2]) -> Vec<(f64, f64)> {
        let at = |low: f64, high: f64, k: u32, n: u32| low + (high - low) * f64::from(k) / f64::from(n - 1);
        let points = (0..grid[0] * grid[1]).map(|k| (k % grid[0], k / grid[0]));
        let place = |(column, row)| (at(left, right, column, grid[0]), at(front, back, row, grid[1]));
        points.map(place).collect()
    }

    fn of(surface: &dyn Fn(f64, f64) -> f64, bounds: [f64; 4], grid: [u32; 2]) -> Self {
        let places = Self::places(bounds, grid);
        let heights = places.iter().map(|(x, y)| surface(*x, *y)).collect();
        Self {
            bounds,
            grid,
            heights,
        }
    }

    fn at(&self, x: f64, y: f64) -> f64 {
        let shares = Self::shares(self.bounds, self.grid, x, y);
        shares
            .iter()
            .map(|(point, share)| share * self.heights[*point])
            .sum()
    }

    /// The four points around a place, each with its share in the height there.
    pub fn shares([left, right, front, back]: [f64; 4], grid: [u32; 2], x: f64, y: f64) -> [(usize, f64); 4] {
        let cell = |value: f64, low: f64, high: f64, n: u32| {
            let place = (value - low) / (high - low) * f64::from(n - 1);
            let first = place.floor().clamp(0.0, f64::from(n - 2));
            (first as usize, place - first)
        };
        let (column, u) = cell(x, left, right, grid[0]);
        let (row, v) = cell(y, front, back, grid[1]);
        let point = |c: usize, r: usize| r * grid[0] as usize + c;
        [
            (point(column, row), (1.0 - u) * (1.0 - v)),
            (point(column + 1, row), u * (1.0 - v)),
            (point(column, row + 1), (1.0 - u) * v),
            (point(column + 1, row + 1), u * v),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The error of straight interpolation of a parabola is h²/8 · f″ in the middle of each cell (any text on numerics; from memory:
    /// Abramowitz and Stegun, 25.2.2). A bowl x² + y² on cells h by h leaves h²/4 · 2/2 · … = h²/8 · 2 in each direction.
    #[test]
    fn a_parabola_leaves_what_the_theorem_says() {
        let bounds = [0.0, 120.0, 0.0, 120.0];
        let surface = |x: f64, y: f64| 1e-5 * (x * x + y * y);
        for n in [3, 4, 6] {
            let mesh = Mesh::of(&surface, bounds, [n, n]);
            let h = 120.0 / f64::from(n - 1);
            let middle = (h / 2.0, h / 2.0);
            let off = mesh.at(middle.0, middle.1) - surface(middle.0, middle.1);
            let expected = 2.0 * (h * h / 8.0 * 2e-5);
            assert!((off - expected).abs() < 1e-12, "{off} for {expected}");
        }
    }

    #[test]
    fn interpolation_adds_two_thirds_of_the_noise() {
        // The sum of squared weights over a cell, by midpoints.
        let n = 200;
        let share = |k: i32| (f64::from(k) + 0.5) / f64::from(n);
        let one: f64 = (0..n)
            .map(|k| share(k).powi(2) + (1.0 - share(k)).powi(2))
            .sum::<f64>()
            / f64::from(n);
        assert!((one.sqrt() * one.sqrt() - NOISE_SHARE).abs() < 1e-4);
    }
}

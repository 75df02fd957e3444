//! The largest error that a grid leaves, with what the touches leave open: their noise, and how the bed bends where it was not touched.
//!
//! A thin-plate spline is the mean of a random surface whose bends are as strong as its smoothing says, given the touches. That surface
//! has a spread too, widest between the touches, and beds are drawn from it. A bed that is smoother than its spline
//! takes it for is given more error than it has: the safe side.

use nalgebra::{DMatrix, DVector};
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;

use super::grid::{GridError, Mesh, NOISE_SHARE, bounds, lattice};
use super::{Place, Surface};
use statistics::{CONFIDENCE, Estimate, normal_deviate, normal_quantile};

/// Beds drawn.
const DRAWS: usize = 400;
/// Parts of the bed between lines, a side.
const LINES: u32 = 8;
/// Draws are the same on every machine and in every run.
const SEED: u64 = 1;

/// Shape and twice the noise. The lower bound is that of the place where the surface is furthest from the grid, the upper one is not
/// passed by 97.5 % of the beds that the touches allow; each with its bound of the noise.
///
/// # Source
/// The spread of a smoothing spline: [wahba-1990], chapter 5 (from memory). Held against invented beds of known roughness.
pub(super) fn largest(places: &[Place], surface: &Surface, own: GridError, touch: Estimate) -> Estimate {
    let noise = |deviation: f64| 2.0 * NOISE_SHARE * deviation;
    let estimate = own.shape_largest + noise(touch.value);
    let open = Estimate {
        value: if touch.value.is_finite() {
            estimate
        } else {
            f64::INFINITY
        },
        low: own.shape_largest.min(estimate),
        high: f64::INFINITY,
    };
    if !(touch.value.is_finite() && touch.high.is_finite()) {
        return open;
    }
    let Some(spread) = Spread::of(places, surface, own, touch.value) else {
        return open;
    };
    let beside = |bound: f64| noise(bound) - noise(touch.value);
    let low = (own.shape_largest - spread.lowest()).hypot(beside(touch.low));
    let high = (spread.highest() - own.shape_largest)
        .max(0.0)
        .hypot(beside(touch.high));
    Estimate {
        value: estimate,
        low: (estimate - low).max(0.0),
        high: estimate + high,
    }
}

/// What a grid leaves at places of a lattice: its mean and its covariance.
struct Spread {
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
}

impl Spread {
    fn of(places: &[Place], surface: &Surface, own: GridError, touch: f64) -> Option<Self> {
        let smoothing = surface.smoothing.min(surface.likeliest).max(f64::MIN_POSITIVE);
        let bounds = bounds(places);
        let spots: Vec<(f64, f64)> = lattice(bounds, own.grid.map(lines)).collect();
        let mesh = Mesh::places(bounds, own.grid);
        // The height at a spot less what the grid makes of it. It leaves nothing of a plane, so that the bends are all there is.
        let mut less = DMatrix::<f64>::zeros(spots.len(), spots.len() + mesh.len());
        for (row, (x, y)) in spots.iter().enumerate() {
            less[(row, row)] += 1.0;
            for (point, share) in Mesh::shares(bounds, own.grid, *x, *y) {
                less[(row, spots.len() + point)] -= share;
            }
        }
        let all: Vec<(f64, f64)> = spots.into_iter().chain(mesh).collect();
        let touched: Vec<(f64, f64)> = places.iter().map(|p| (p.x, p.y)).collect();
        let to_touched = &less * surface.kernels(&all, &touched);
        let bent = &to_touched * surface.response(smoothing)?;
        let heights = DVector::from_iterator(places.len(), places.iter().map(|p| p.height));
        let touches = places.iter().map(|p| p.touches as f64).sum::<f64>() / places.len() as f64;
        // How strongly it bends: the noise of a height, over the smoothing that made the spline of it.
        let bends = touch * touch / touches / smoothing;
        let before = &less * surface.kernels(&all, &all) * less.transpose();
        Some(Self {
            mean: &bent * heights,
            covariance: (before - bent * to_touched.transpose()) * bends,
        })
    }

    /// The lower bound at the place where the mean is largest.
    fn lowest(&self) -> f64 {
        let at = self.mean.iamax();
        self.mean[at].abs()
            - normal_quantile(0.5 + CONFIDENCE / 2.0) * self.covariance[(at, at)].max(0.0).sqrt()
    }

    /// What the largest errors of 97.5 % of the drawn beds do not pass.
    fn highest(&self) -> f64 {
        let size = self.mean.len();
        let widest = self.covariance.diagonal().max();
        // Where the grid has its points nothing is left, so that the covariance is singular but for a little.
        let root = [1e-9, 1e-7, 1e-5].iter().find_map(|little| {
            let all = &self.covariance + DMatrix::identity(size, size) * (little * widest);
            all.cholesky().map(|found| found.unpack())
        });
        let Some(root) = root else {
            return self.mean.amax();
        };
        let mut random = Pcg64::seed_from_u64(SEED);
        // Box and Muller: quicker than the inverse of the distribution.
        let mut drawn = || {
            let size = random.random_range(1e-12..1.0);
            normal_deviate(size, random.random())
        };
        let mut largest: Vec<f64> = (0..DRAWS)
            .map(|_| (&self.mean + &root * DVector::from_fn(size, |_, _| drawn())).amax())
            .collect();
        largest.sort_by(f64::total_cmp);
        largest[((0.5 + CONFIDENCE / 2.0) * DRAWS as f64) as usize]
    }
}

/// Lines of the lattice for so many points of a grid: through the middles of its cells, and finer where that costs little.
fn lines(points: u32) -> u32 {
    let cells = points - 1;
    let parts = (LINES / cells).max(2);
    (parts * cells + 1).min(25)
}

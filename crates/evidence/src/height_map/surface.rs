//! A smooth surface through scattered heights: the thin-plate spline.

mod bends;
mod smoothing;

use nalgebra::{DMatrix, DVector};
use statistics::extremes;

use self::bends::{Bends, distance2, kernel};
use self::smoothing::Turned;
use super::{Noise, Place};

/// How much the surface is smoothed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Smoothing {
    /// As known noise asks: by the least unbiased risk. The deviation is that of the given heights, in millimetres.
    Known(f64),
    /// By generalised cross-validation, where the noise is not known.
    Found,
    /// As another fit: its [`Surface::smoothing`]. Deviation and freedom are then not asked for, and NaN.
    Fixed(f64),
}

/// A surface that can be asked for its height anywhere; millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    centre: [f64; 2],
    scale: f64,
    points: Vec<[f64; 2]>,
    weights: Vec<f64>,
    plane: [f64; 3],
    /// The weight of bending against deviation that was used.
    pub smoothing: f64,
    /// Deviation of a single height from it, by Wahba's estimate; NaN where it goes through all of them.
    pub deviation: f64,
    /// Degrees of freedom of that deviation.
    pub freedom: f64,
    /// The smoothing under which the heights are likeliest, if the bed is a random surface: for intervals. NaN where it was not asked for.
    pub likeliest: f64,
}

impl Surface {
    /// Fits places that are not all in one line; nothing otherwise.
    ///
    /// # Source
    /// G. Wahba, Spline Models for Observational Data (1990), chapter 2 and 4; factor 1.4 in the cross-validation by Y.-J. Kim and
    /// C. Gu, Journal of the Royal Statistical Society B 66 (2004) 337 (both from memory).
    #[must_use]
    pub fn fit(points: &[[f64; 2]], heights: &[f64], smoothing: Smoothing) -> Option<Self> {
        let n = points.len();
        if n < 3 || n != heights.len() {
            return None;
        }
        let mut surface = Self::framed(points)?;
        let bends = Bends::of(&surface.points)?;
        let heights = DVector::from_column_slice(heights);
        let weights = match smoothing {
            // Three places lie on a plane, and nothing bends.
            _ if n == 3 => DVector::zeros(n),
            // No need to look at every energy: one system of equations does.
            Smoothing::Fixed(fixed) => {
                surface.smoothing = fixed;
                surface.freedom = f64::NAN;
                bends.weights(fixed, &heights)?
            }
            _ => surface.smooth(&Turned::of(&bends, &heights), smoothing),
        };
        surface.plane = bends.plane(&weights, &heights)?;
        surface.weights = weights.iter().copied().collect();
        Some(surface)
    }

    /// A plane of height 0 over places; nothing where they are all at one place.
    fn framed(points: &[[f64; 2]]) -> Option<Self> {
        let ends = |axis: usize| extremes(points.iter().map(|p| p[axis]));
        let ((left, right), (front, back)) = (ends(0), ends(1));
        let scale = ((right - left).max(back - front)) / 2.0;
        let mut surface = Self {
            centre: [f64::midpoint(left, right), f64::midpoint(front, back)],
            scale,
            points: Vec::new(),
            weights: Vec::new(),
            plane: [0.0; 3],
            smoothing: 0.0,
            deviation: f64::NAN,
            freedom: 0.0,
            likeliest: f64::NAN,
        };
        surface.points = points.iter().map(|[x, y]| surface.scaled(*x, *y)).collect();
        (scale > 0.0).then_some(surface)
    }

    /// The weights of the smoothing that is asked for or found, which is noted with what it leaves.
    fn smooth(&mut self, turned: &Turned, smoothing: Smoothing) -> DVector<f64> {
        let chosen = turned.choose(smoothing);
        self.smoothing = chosen;
        self.freedom = turned.freedom(chosen);
        if self.freedom > 0.5 {
            self.deviation = (turned.left(chosen) / self.freedom).sqrt();
        }
        self.likeliest = turned.likeliest(match smoothing {
            Smoothing::Known(known) => known,
            _ => self.deviation,
        });
        turned.weights(chosen)
    }

    /// How the heights bend it: a column of weights for each place, each for a height of 1 there and of 0 elsewhere, smoothed with
    /// `smoothing`. Nothing where the places are not those of a surface.
    pub(super) fn response(&self, smoothing: f64) -> Option<DMatrix<f64>> {
        Bends::of(&self.points)?.response(smoothing)
    }

    /// What a weight at each of `others` adds to the height at each of `places`: a row for each place.
    pub(super) fn kernels(&self, places: &[(f64, f64)], others: &[(f64, f64)]) -> DMatrix<f64> {
        let scaled =
            |all: &[(f64, f64)]| -> Vec<[f64; 2]> { all.iter().map(|(x, y)| self.scaled(*x, *y)).collect() };
        let (places, others) = (scaled(places), scaled(others));
        DMatrix::from_fn(places.len(), others.len(), |i, j| {
            kernel(distance2(places[i], others[j]))
        })
    }

    fn scaled(&self, x: f64, y: f64) -> [f64; 2] {
        [
            (x - self.centre[0]) / self.scale,
            (y - self.centre[1]) / self.scale,
        ]
    }

    /// The height at a place.
    #[must_use]
    pub fn at(&self, x: f64, y: f64) -> f64 {
        let p = self.scaled(x, y);
        let bend: f64 = self
            .points
            .iter()
            .zip(&self.weights)
            .map(|(own, w)| w * kernel(distance2(*own, p)))
            .sum();
        self.plane[0] + self.plane[1] * p[0] + self.plane[2] * p[1] + bend
    }
}

/// Fits the means of places, smoothed as the noise of the visits asks where it is known well enough.
pub(super) fn fit_places(places: &[Place], noise: Option<&Noise>) -> Option<Surface> {
    let points: Vec<[f64; 2]> = places.iter().map(|p| [p.x, p.y]).collect();
    let heights: Vec<f64> = places.iter().map(|p| p.height).collect();
    let touches = places.iter().map(|p| p.touches as f64).sum::<f64>() / places.len() as f64;
    let smoothing = match noise {
        Some(noise) if noise.freedom >= 5.0 => Smoothing::Known(noise.deviation / touches.sqrt()),
        _ => Smoothing::Found,
    };
    Surface::fit(&points, &heights, smoothing)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lattice(side: i32) -> Vec<[f64; 2]> {
        (0..side * side)
            .map(|i| {
                [
                    f64::from(i % side) * 30.0 + 10.0,
                    f64::from(i / side) * 30.0 + 15.0,
                ]
            })
            .collect()
    }

    /// A thin-plate spline has no energy in a plane: it gives every plane back, whatever the smoothing (Wahba 1990, 2.4).
    #[test]
    fn planes_come_back_whole() {
        let points = lattice(5);
        let heights: Vec<f64> = points.iter().map(|[x, y]| 0.3 + 0.002 * x - 0.001 * y).collect();
        for smoothing in [Smoothing::Found, Smoothing::Known(0.01), Smoothing::Fixed(10.0)] {
            let surface = Surface::fit(&points, &heights, smoothing).unwrap();
            assert!((surface.at(77.0, 33.0) - (0.3 + 0.154 - 0.033)).abs() < 1e-9);
            assert!((surface.at(-50.0, 200.0) - (0.3 - 0.1 - 0.2)).abs() < 1e-9);
        }
    }

    #[test]
    fn without_noise_it_goes_through_and_between_the_points() {
        let points = lattice(7);
        let height = |x: f64, y: f64| 0.2 * (x / 60.0).sin() * (y / 80.0).cos();
        let heights: Vec<f64> = points.iter().map(|[x, y]| height(*x, *y)).collect();
        let surface = Surface::fit(&points, &heights, Smoothing::Fixed(1e-12)).unwrap();
        for (p, h) in points.iter().zip(&heights) {
            assert!((surface.at(p[0], p[1]) - h).abs() < 1e-6);
        }
        assert!((surface.at(95.0, 100.0) - height(95.0, 100.0)).abs() < 2e-3);
    }

    #[test]
    fn points_in_a_line_are_refused() {
        let line: Vec<[f64; 2]> = (0..6).map(|i| [f64::from(i), 2.0 * f64::from(i)]).collect();
        assert_eq!(Surface::fit(&line, &[0.0; 6], Smoothing::Found), None);
        assert_eq!(Surface::fit(&[[1.0, 1.0]; 4], &[0.0; 4], Smoothing::Found), None);
    }
}

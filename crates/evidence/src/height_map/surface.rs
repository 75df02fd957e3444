//! A smooth surface through scattered heights: the thin-plate spline.

use nalgebra::{DMatrix, DVector};

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
        let (centre, scale) = frame(points)?;
        let scaled: Vec<[f64; 2]> = points
            .iter()
            .map(|[x, y]| [(x - centre[0]) / scale, (y - centre[1]) / scale])
            .collect();
        let bends = Bends::of(&scaled)?;
        let y = DVector::from_column_slice(heights);
        let inner = n - 3;
        let finish = |weights: DVector<f64>, smoothing: f64, deviation: f64, freedom: f64, likeliest: f64| {
            let bent = &bends.kernels * &weights;
            let plane = bends
                .upper
                .solve_upper_triangular(&(bends.planes.transpose() * (&y - bent)))?;
            Some(Self {
                centre,
                scale,
                points: scaled.clone(),
                weights: weights.iter().copied().collect(),
                plane: [plane[0], plane[1], plane[2]],
                smoothing,
                deviation,
                freedom,
                likeliest,
            })
        };
        if inner == 0 {
            // Three places lie on a plane, and nothing bends.
            return finish(DVector::zeros(n), 0.0, f64::NAN, 0.0, f64::NAN);
        }
        if let Smoothing::Fixed(smoothing) = smoothing {
            // No need to look at every energy: one system of equations does.
            let weights = &bends.rest
                * bends
                    .system(smoothing)
                    .lu()
                    .solve(&(bends.rest.transpose() * &y))?;
            return finish(weights, smoothing, f64::NAN, f64::NAN, f64::NAN);
        }
        let eigen = bends.energy().symmetric_eigen();
        // Rounding may leave a tiny negative; bending energy has none.
        let energies: Vec<f64> = eigen.eigenvalues.iter().map(|e| e.max(0.0)).collect();
        let turned = &bends.rest * &eigen.eigenvectors;
        let w: Vec<f64> = (turned.transpose() * &y).iter().copied().collect();
        let chosen = choose(&energies, &w, n, smoothing);
        let share = |energy: f64| chosen / (energy + chosen);
        let rest: f64 = energies
            .iter()
            .zip(&w)
            .map(|(e, w)| (share(*e) * w).powi(2))
            .sum();
        let freedom: f64 = energies.iter().map(|e| share(*e)).sum();
        let inner_weights = DVector::from_iterator(
            inner,
            energies.iter().zip(&w).map(|(e, w)| w / (e + chosen).max(1e-300)),
        );
        let weights = &turned * inner_weights;
        let deviation = if freedom > 0.5 {
            (rest / freedom).sqrt()
        } else {
            f64::NAN
        };
        let noise = match smoothing {
            Smoothing::Known(known) => known,
            _ => deviation,
        };
        finish(
            weights,
            chosen,
            deviation,
            freedom,
            likeliest(&energies, &w, noise),
        )
    }

    /// How the heights bend it: a column of weights for each place, each for a height of 1 there and of 0 elsewhere, smoothed with
    /// `smoothing`. Nothing where the places are not those of a surface.
    pub(super) fn response(&self, smoothing: f64) -> Option<DMatrix<f64>> {
        let bends = Bends::of(&self.points)?;
        Some(&bends.rest * bends.system(smoothing).lu().solve(&bends.rest.transpose())?)
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

/// The weight of bending out of a ladder, and for each the score that is to be least.
fn choose(energies: &[f64], w: &[f64], n: usize, smoothing: Smoothing) -> f64 {
    let largest = energies.iter().copied().fold(0.0, f64::max).max(1e-12);
    let score = |weight: f64| {
        let shares = energies.iter().map(|e| weight / (e + weight));
        let rest: f64 = shares.clone().zip(w).map(|(s, w)| (s * w).powi(2)).sum();
        let used = n as f64 - shares.sum::<f64>();
        match smoothing {
            Smoothing::Known(deviation) => rest + 2.0 * deviation * deviation * used,
            _ => {
                let left = n as f64 - 1.4 * used;
                if left <= 0.0 {
                    f64::INFINITY
                } else {
                    rest / (left * left)
                }
            }
        }
    };
    let ladder = (0..=80).map(|step| largest * 10_f64.powf(-9.0 + 0.15 * f64::from(step)));
    ladder
        .min_by(|p, q| score(*p).total_cmp(&score(*q)))
        .unwrap_or(largest)
}

/// The smoothing under which heights with this noise are likeliest, out of the same ladder: each turned height then scatters with
/// `σ² (e + λ) / λ`.
///
/// # Source
/// Wahba 1990, 4.8, generalised maximum likelihood, with the noise known (from memory).
fn likeliest(energies: &[f64], w: &[f64], noise: f64) -> f64 {
    let largest = energies.iter().copied().fold(0.0, f64::max).max(1e-12);
    let unlikely = |smoothing: f64| -> f64 {
        let each = energies.iter().zip(w).map(|(e, w)| {
            let variance = noise * noise * (e + smoothing) / smoothing;
            w * w / variance + variance.ln()
        });
        each.sum()
    };
    let ladder = (0..=80).map(|step| largest * 10_f64.powf(-9.0 + 0.15 * f64::from(step)));
    ladder
        .min_by(|p, q| unlikely(*p).total_cmp(&unlikely(*q)))
        .unwrap_or(largest)
}

/// Middle and half width of the points; nothing where they are all at one place.
fn frame(points: &[[f64; 2]]) -> Option<([f64; 2], f64)> {
    let ends = |axis: usize| {
        points
            .iter()
            .map(|p| p[axis])
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                (low.min(v), high.max(v))
            })
    };
    let ((left, right), (front, back)) = (ends(0), ends(1));
    let scale = ((right - left).max(back - front)) / 2.0;
    (scale > 0.0).then_some(([f64::midpoint(left, right), f64::midpoint(front, back)], scale))
}

/// `r² ln r` of the squared distance.
fn kernel(squared: f64) -> f64 {
    if squared > 0.0 {
        0.5 * squared * squared.ln()
    } else {
        0.0
    }
}

fn distance2(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)
}

/// Heights at some places apart into planes and what bends: the columns of `planes` and `rest` are at right angles to each other.
struct Bends {
    planes: DMatrix<f64>,
    rest: DMatrix<f64>,
    /// The planes' coefficients are behind this triangle.
    upper: DMatrix<f64>,
    /// What a weight at one place adds to the height at another.
    kernels: DMatrix<f64>,
}

impl Bends {
    /// Nothing for fewer than three places, or where they lie on a line.
    fn of(places: &[[f64; 2]]) -> Option<Self> {
        let n = places.len();
        let inner = n.checked_sub(3)?;
        let t = DMatrix::from_fn(n, 3, |i, j| [1.0, places[i][0], places[i][1]][j]);
        let (q, upper) = full_qr(&t)?;
        Some(Self {
            planes: q.columns(0, 3).into_owned(),
            rest: q.columns(3, inner).into_owned(),
            upper,
            kernels: DMatrix::from_fn(n, n, |i, j| kernel(distance2(places[i], places[j]))),
        })
    }

    /// The bending energy of weights that leave planes alone.
    fn energy(&self) -> DMatrix<f64> {
        self.rest.transpose() * &self.kernels * &self.rest
    }

    /// The equations of those weights under a smoothing.
    fn system(&self, smoothing: f64) -> DMatrix<f64> {
        let inner = self.rest.ncols();
        self.energy() + DMatrix::identity(inner, inner) * smoothing
    }
}

/// Householder's whole Q of a tall matrix of three columns, and the upper triangle; nothing where the columns are dependent.
fn full_qr(t: &DMatrix<f64>) -> Option<(DMatrix<f64>, DMatrix<f64>)> {
    let n = t.nrows();
    let mut r = t.clone();
    let mut q = DMatrix::<f64>::identity(n, n);
    for j in 0..3 {
        let column: Vec<f64> = (j..n).map(|i| r[(i, j)]).collect();
        let norm = column.iter().map(|v| v * v).sum::<f64>().sqrt();
        if norm < 1e-9 {
            return None;
        }
        let mut v = column;
        v[0] += norm.copysign(v[0]);
        let square: f64 = v.iter().map(|v| v * v).sum();
        for k in 0..3 {
            let dot: f64 = v.iter().enumerate().map(|(i, v)| v * r[(j + i, k)]).sum();
            for (i, v) in v.iter().enumerate() {
                r[(j + i, k)] -= 2.0 * v * dot / square;
            }
        }
        for row in 0..n {
            let dot: f64 = v.iter().enumerate().map(|(i, v)| v * q[(row, j + i)]).sum();
            for (i, v) in v.iter().enumerate() {
                q[(row, j + i)] -= 2.0 * v * dot / square;
            }
        }
    }
    Some((q, r.rows(0, 3).into_owned()))
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

//! Heights at scattered places apart into planes and what bends.

use nalgebra::{DMatrix, DVector};

/// `r² ln r` of the squared distance.
pub(super) fn kernel(squared: f64) -> f64 {
    if squared > 0.0 {
        0.5 * squared * squared.ln()
    } else {
        0.0
    }
}

pub(super) fn distance2(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)
}

/// Heights at some places apart into planes and what bends: the columns of `planes` and `rest` are at right angles to each other.
pub(super) struct Bends {
    pub planes: DMatrix<f64>,
    pub rest: DMatrix<f64>,
    /// The planes' coefficients are behind this triangle.
    pub upper: DMatrix<f64>,
    /// What a weight at one place adds to the height at another.
    pub kernels: DMatrix<f64>,
}

impl Bends {
    /// Nothing for fewer than three places, or where they lie on a line.
    pub fn of(places: &[[f64; 2]]) -> Option<Self> {
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
    pub fn energy(&self) -> DMatrix<f64> {
        self.rest.transpose() * &self.kernels * &self.rest
    }

    /// The equations of those weights under a smoothing.
    fn system(&self, smoothing: f64) -> DMatrix<f64> {
        let inner = self.rest.ncols();
        self.energy() + DMatrix::identity(inner, inner) * smoothing
    }

    /// The weights that heights give under a smoothing.
    pub fn weights(&self, smoothing: f64, heights: &DVector<f64>) -> Option<DVector<f64>> {
        let inner = self
            .system(smoothing)
            .lu()
            .solve(&(self.rest.transpose() * heights))?;
        Some(&self.rest * inner)
    }

    /// The same for a height of 1 at each place in turn and of 0 elsewhere: a column for each.
    pub fn response(&self, smoothing: f64) -> Option<DMatrix<f64>> {
        Some(&self.rest * self.system(smoothing).lu().solve(&self.rest.transpose())?)
    }

    /// The coefficients of the plane below what the weights bend.
    pub fn plane(&self, weights: &DVector<f64>, heights: &DVector<f64>) -> Option<[f64; 3]> {
        let left = heights - &self.kernels * weights;
        let plane = self
            .upper
            .solve_upper_triangular(&(self.planes.transpose() * left))?;
        Some([plane[0], plane[1], plane[2]])
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

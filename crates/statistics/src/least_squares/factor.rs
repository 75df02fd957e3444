//! The linear problem at one place of the way, reflected to a triangle.

use nalgebra::{DMatrix, DVector};

use super::{Fit, NoFit};
use crate::sums::{squares, sum_of};

/// Where the fit has come to.
pub(super) struct Place {
    pub parameters: Vec<f64>,
    pub residuals: Vec<f64>,
    pub jacobian: DMatrix<f64>,
    pub sum: f64,
}

/// The derivatives by scaled parameters and the residuals beside them, reflected to a triangle once: every damping then solves a
/// problem as small as the number of parameters.
pub(super) struct Factor {
    triangle: DMatrix<f64>,
    right: DVector<f64>,
}

impl Factor {
    pub fn of(place: &Place, scale: &[f64]) -> Self {
        let (size, count) = (scale.len(), place.residuals.len());
        // A few rows at a time, on top of them the triangle of those before: what is reflected stays near the processor.
        let tall = ROWS.max(size);
        let mut beside = vec![0.0; (size + tall) * (size + 1)];
        let mut filled = 0;
        for from in (0..count).step_by(tall) {
            let rows = tall.min(count - from);
            let columns = place.jacobian.as_slice().chunks_exact(count);
            let all = columns.chain([place.residuals.as_slice()]);
            for (to, column) in beside.chunks_exact_mut(size + tall).zip(all) {
                to[filled..filled + rows].copy_from_slice(&column[from..from + rows]);
            }
            reflect(&mut beside, size + tall, filled + rows, size);
            filled = size.min(filled + rows);
        }
        let cell = |row: usize, column: usize| beside[column * (size + tall) + row];
        // Columns of a triangle are scaled as those that it came from.
        Self {
            triangle: DMatrix::from_fn(size, size, |row, column| {
                if row <= column {
                    cell(row, column) * scale[column]
                } else {
                    0.0
                }
            }),
            right: DVector::from_fn(size, |row, _| cell(row, size)),
        }
    }

    /// The scaled step to the least foreseen sum of squares among all that are not longer than `trusted`, to a tenth.
    pub fn step_within(&self, trusted: f64) -> Option<DVector<f64>> {
        let whole = self.triangle.solve_upper_triangular(&self.right);
        let whole = whole.filter(|step| step.norm() <= 1.1 * trusted);
        if whole.is_some() {
            return whole;
        }
        // The length falls with the damping. Between bounds, Newton's steps on 1 / length, which is nearly straight.
        let largest = self.triangle.tr_mul(&self.right).norm() / trusted;
        let (mut low, mut high) = (0.0, largest);
        let mut damping = 1e-3 * largest;
        for _ in 0..60 {
            let (step, triangle) = self.damped(damping)?;
            let length = step.norm();
            if (length / trusted - 1.0).abs() <= 0.1 || high - low <= 1e-12 * high {
                return Some(step);
            }
            if length > trusted {
                low = damping;
            } else {
                high = damping;
            }
            let back = triangle.tr_solve_upper_triangular(&step)?;
            let newton = damping + (length / trusted - 1.0) * (length / back.norm()).powi(2);
            damping = if newton > low && newton < high {
                newton
            } else {
                (low * high).sqrt().max(1e-3 * high)
            };
        }
        self.damped(high).map(|(step, _)| step)
    }

    /// Solves `min |J s − r|² + λ |s|²`: the scaled step, and the triangle whose square is `JᵀJ + λ`.
    fn damped(&self, damping: f64) -> Option<(DVector<f64>, DMatrix<f64>)> {
        let size = self.right.len();
        let mut beside = DMatrix::zeros(2 * size, size + 1);
        beside.view_mut((0, 0), (size, size)).copy_from(&self.triangle);
        beside.view_mut((0, size), (size, 1)).copy_from(&self.right);
        for row in 0..size {
            beside[(size + row, row)] = damping.sqrt();
        }
        let all = beside.qr().unpack_r();
        let triangle: DMatrix<f64> = all.view((0, 0), (size, size)).into();
        let right: DVector<f64> = all.view((0, size), (size, 1)).column(0).into();
        let step = triangle.solve_upper_triangular(&right)?;
        (step.iter().all(|step| step.is_finite())).then_some((step, triangle))
    }

    /// R⁻¹ of the triangle with columns of length one, which gives (RᵀR)⁻¹, and the lengths that they had.
    fn inverse(&self) -> Result<(DMatrix<f64>, Vec<f64>), NoFit> {
        let mut triangle = self.triangle.clone();
        // Reflections keep the lengths of columns.
        let lengths: Vec<f64> = triangle.column_iter().map(|column| column.norm()).collect();
        if lengths.iter().any(|length| *length <= 0.0 || !length.is_finite()) {
            return Err(NoFit::Undetermined);
        }
        for (mut column, length) in triangle.column_iter_mut().zip(&lengths) {
            column.unscale_mut(*length);
        }
        let diagonal = triangle.diagonal().abs();
        if diagonal.min() < 1e-12 * diagonal.max() {
            return Err(NoFit::Undetermined);
        }
        let size = lengths.len();
        let inverse = triangle.solve_upper_triangular(&DMatrix::identity(size, size));
        Ok((inverse.ok_or(NoFit::Undetermined)?, lengths))
    }

    /// The least share of a column's length that those before it do not make up.
    pub fn apart(&self) -> f64 {
        let columns = self.triangle.column_iter().enumerate();
        let shares = columns.map(|(at, column)| self.triangle[(at, at)].abs() / column.norm());
        shares.fold(1.0, f64::min)
    }

    /// How much less the sum of squares is behind a step, as the derivatives foresee it.
    pub fn gain(&self, step: &DVector<f64>) -> f64 {
        self.right.norm_squared() - (&self.right - &self.triangle * step).norm_squared()
    }

    /// How much less it would be behind the whole step without damping: the part of the residuals that the derivatives reach.
    pub fn promised(&self) -> f64 {
        self.right.norm_squared()
    }
}

/// Rows that are reflected at a time.
const ROWS: usize = 256;

/// Reflects `size` columns, of which the first `rows` of `tall` rows are filled, and the one behind them, so that they form a triangle. Below it
/// stands nothing.
///
/// Columns are gone through as slices: with many more rows than columns that takes a third of the time of a matrix that knows neither.
fn reflect(columns: &mut [f64], tall: usize, rows: usize, size: usize) {
    for at in 0..size.min(rows) {
        let (own, later) = columns[at * tall..].split_at_mut(tall);
        let own = &mut own[at..rows];
        let length = squares(own).sqrt();
        if length == 0.0 {
            continue;
        }
        let end = -length.copysign(own[0]);
        own[0] -= end;
        // The normal of the mirror has the length √(2 |end| |own[0]|).
        let per = (length * own[0].abs()).recip();
        for column in later.chunks_exact_mut(tall) {
            let column = &mut column[at..rows];
            let share = per * sum_of([&*own, &*column], |[normal, value]| normal * value);
            for (value, normal) in column.iter_mut().zip(&*own) {
                *value -= share * normal;
            }
        }
        own.fill(0.0);
        own[0] = end;
    }
}

impl Place {
    /// The fit here, from the factor of this place, or of one a last slight step before it.
    pub fn finish(self, factor: &Factor, scale: &[f64]) -> Result<Fit, NoFit> {
        let (count, size) = self.jacobian.shape();
        let freedom = (count - size) as f64;
        let variance = self.sum / freedom;
        let (inverse, lengths) = factor.inverse()?;
        let product = &inverse * inverse.transpose();
        let norms: Vec<f64> = lengths
            .iter()
            .zip(scale)
            .map(|(length, scale)| length / scale)
            .collect();
        let cell = |one: usize, other: usize| variance * product[(one, other)] / (norms[one] * norms[other]);
        let covariance = (0..size)
            .map(|one| (0..size).map(|other| cell(one, other)).collect())
            .collect();
        Ok(Fit {
            parameters: self.parameters,
            covariance,
            sum_of_squares: self.sum,
            deviation: variance.sqrt(),
            freedom,
            residuals: self.residuals,
            jacobian: self.jacobian,
        })
    }
}

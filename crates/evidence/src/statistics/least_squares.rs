//! Nonlinear least squares: parameters at which the squares of residuals are least, with their covariance.
//!
//! Levenberg's and Marquardt's method, damped by how well the last step was foreseen; each step solves the damped linear problem by Householder's reflections,
//! never by normal equations, which would halve the digits. Parameters are scaled by the size of their start: scaling by derivatives, as
//! is often done, does not come to rest on one of the sets it is held against.

use statrs::distribution::{ContinuousCDF as _, StudentsT};

/// A fit that came to rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The parameters, in the order of the start.
    pub parameters: Vec<f64>,
    /// Their covariance, from the spread of the residuals: `s² (JᵀJ)⁻¹`.
    pub covariance: Vec<Vec<f64>>,
    /// Sum of squared residuals.
    pub sum_of_squares: f64,
    /// Standard deviation of the residuals: `√(S / (n − p))`.
    pub deviation: f64,
    /// Degrees of freedom, `n − p`.
    pub freedom: f64,
    /// The residuals at the parameters.
    pub residuals: Vec<f64>,
    /// Derivative of each residual by each parameter, row by row.
    pub jacobian: Vec<f64>,
}

/// Why there is no fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoFit {
    /// Fewer residuals than parameters and one.
    TooFew,
    /// The residuals at the start are not finite.
    BadStart,
    /// The residuals do not tell the parameters apart.
    Undetermined,
    /// No rest within the evaluations allowed.
    NoRest,
}

impl core::fmt::Display for NoFit {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        formatter.write_str(match self {
            Self::TooFew => "fewer values than parameters",
            Self::BadStart => "the model cannot be computed at the start",
            Self::Undetermined => "the values do not tell the parameters apart",
            Self::NoRest => "the fit came to no rest",
        })
    }
}

impl core::error::Error for NoFit {}

const STEPS: usize = 2_000;

/// Fits parameters.
///
/// `residuals` fills its second argument, always of the length `count`, for the parameters in its first; what is not finite makes a step
/// smaller. Derivatives are central differences.
///
/// # Errors
/// [`NoFit`] says why there is none.
///
/// # Source
/// [madsen-2004], algorithm 3.16, for the damping; held against the nonlinear sets of [nist-strd].
pub fn least_squares(
    residuals: impl FnMut(&[f64], &mut [f64]),
    start: &[f64],
    count: usize,
) -> Result<Fit, NoFit> {
    least_squares_to(1e-14, residuals, start, count)
}

/// As [`least_squares`], at rest where two steps in turn gain less than a share of the sum of squares.
///
/// # Errors
/// As [`least_squares`].
pub fn least_squares_to(
    rest: f64,
    mut residuals: impl FnMut(&[f64], &mut [f64]),
    start: &[f64],
    count: usize,
) -> Result<Fit, NoFit> {
    let size = start.len();
    if count <= size {
        return Err(NoFit::TooFew);
    }
    let mut at = start.to_vec();
    let mut here = vec![0.0; count];
    residuals(&at, &mut here);
    let mut sum = squares(&here);
    if !sum.is_finite() {
        return Err(NoFit::BadStart);
    }
    let scale: Vec<f64> = start
        .iter()
        .map(|at| if *at == 0.0 { 1.0 } else { at.abs() })
        .collect();
    let mut jacobian = vec![0.0; count * size];
    let mut trial = vec![0.0; count];
    differences(&mut residuals, &at, &mut jacobian, count);
    let longest = (0..size)
        .map(|column| norm(&jacobian, &scale, column, count))
        .fold(0.0, f64::max);
    if longest == 0.0 || !longest.is_finite() {
        return Err(NoFit::Undetermined);
    }
    let (mut damping, mut growth, mut quiet) = (1e-3 * longest * longest, 2.0, 0);
    for _ in 0..STEPS {
        let step = damped(&jacobian, &here, &scale, damping, count).ok_or(NoFit::Undetermined)?;
        let next: Vec<f64> = at.iter().zip(&step).map(|(at, step)| at - step).collect();
        residuals(&next, &mut trial);
        let reached = squares(&trial);
        let moved = step
            .iter()
            .zip(&scale)
            .map(|(step, scale)| (step / scale).abs())
            .fold(0.0, f64::max);
        if reached.is_finite() && reached <= sum {
            let foreseen = sum - foreseen(&jacobian, &here, &step, count);
            let share = if foreseen > 0.0 {
                (sum - reached) / foreseen
            } else {
                1.0
            };
            // Two quiet steps in turn: one may be quiet by its damping alone.
            let gained = (sum - reached) / sum.max(f64::MIN_POSITIVE);
            quiet = if gained < rest { quiet + 1 } else { 0 };
            at = next;
            std::mem::swap(&mut here, &mut trial);
            sum = reached;
            damping *= (1.0 - (2.0 * share - 1.0).powi(3)).max(1.0 / 3.0);
            growth = 2.0;
            differences(&mut residuals, &at, &mut jacobian, count);
            if quiet >= 2 || sum == 0.0 {
                return finish(at, here, jacobian, sum, count, size);
            }
        } else {
            if moved < 1e-13 || damping > 1e60 {
                return finish(at, here, jacobian, sum, count, size);
            }
            damping *= growth;
            growth *= 2.0;
        }
    }
    Err(NoFit::NoRest)
}

impl Fit {
    /// Half the width of the interval of a parameter at a confidence, by Student's distribution.
    #[must_use]
    pub fn half_width(&self, parameter: usize, confidence: f64) -> f64 {
        student_t(f64::midpoint(1.0, confidence), self.freedom) * self.covariance[parameter][parameter].sqrt()
    }

    /// The covariance where residuals hang together over a time: sums over up to `lags` neighbours, weighted by Bartlett's triangle.
    ///
    /// # Source
    /// [newey-west-1987].
    #[must_use]
    pub fn robust_covariance(&self, lags: usize) -> Vec<Vec<f64>> {
        let size = self.parameters.len();
        let count = self.residuals.len();
        let score = |row: usize, column: usize| self.jacobian[row * size + column] * self.residuals[row];
        let mut middle = vec![vec![0.0; size]; size];
        for lag in 0..=lags.min(count - 1) {
            let weight = 1.0 - lag as f64 / (lags as f64 + 1.0);
            let pair = |one: usize, other: usize| -> f64 {
                (lag..count)
                    .map(|row| score(row, one) * score(row - lag, other))
                    .sum::<f64>()
            };
            for (one, row) in middle.iter_mut().enumerate() {
                for (other, cell) in row.iter_mut().enumerate() {
                    let back = if lag > 0 { pair(other, one) } else { 0.0 };
                    *cell += weight * (pair(one, other) + back);
                }
            }
        }
        let variance = self.deviation * self.deviation;
        let bread: Vec<Vec<f64>> = self
            .covariance
            .iter()
            .map(|row| row.iter().map(|value| value / variance).collect())
            .collect();
        let scale = count as f64 / self.freedom;
        let product = multiplied(&multiplied(&bread, &middle), &bread);
        product
            .into_iter()
            .map(|row| row.into_iter().map(|value| value * scale).collect())
            .collect()
    }
}

/// The quantile of Student's distribution; with very many degrees of freedom that is the normal one.
fn student_t(share: f64, freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, freedom.clamp(1.0, 1e7)).map_or(f64::NAN, |student| student.inverse_cdf(share))
}

fn multiplied(one: &[Vec<f64>], other: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let size = one.len();
    let cell = |row: usize, column: usize| (0..size).map(|k| one[row][k] * other[k][column]).sum();
    (0..size)
        .map(|row| (0..size).map(|column| cell(row, column)).collect())
        .collect()
}

fn squares(values: &[f64]) -> f64 {
    values.iter().map(|value| value * value).sum()
}

fn differences(residuals: &mut impl FnMut(&[f64], &mut [f64]), at: &[f64], out: &mut [f64], count: usize) {
    let size = at.len();
    let (mut above, mut below) = (vec![0.0; count], vec![0.0; count]);
    let mut point = at.to_vec();
    for column in 0..size {
        // The cube root of the precision balances rounding against the curvature of central differences.
        let step = 6e-6 * at[column].abs().max(1e-6);
        point[column] = at[column] + step;
        residuals(&point, &mut above);
        point[column] = at[column] - step;
        residuals(&point, &mut below);
        point[column] = at[column];
        let width = 2.0 * step;
        for row in 0..count {
            let slope = (above[row] - below[row]) / width;
            out[row * size + column] = if slope.is_finite() { slope } else { 0.0 };
        }
    }
}

/// The length of a column of derivatives by a scaled parameter.
fn norm(jacobian: &[f64], scale: &[f64], column: usize, count: usize) -> f64 {
    let size = scale.len();
    let sum: f64 = (0..count).map(|row| jacobian[row * size + column].powi(2)).sum();
    sum.sqrt() * scale[column]
}

/// The sum of squares that the derivatives foresee behind a step.
fn foreseen(jacobian: &[f64], residuals: &[f64], step: &[f64], count: usize) -> f64 {
    let size = step.len();
    (0..count)
        .map(|row| {
            let along: f64 = (0..size)
                .map(|column| jacobian[row * size + column] * step[column])
                .sum();
            (residuals[row] - along).powi(2)
        })
        .sum()
}

/// Solves `min |J s − r|² + λ |s / scale|²`.
fn damped(
    jacobian: &[f64],
    residuals: &[f64],
    scale: &[f64],
    damping: f64,
    count: usize,
) -> Option<Vec<f64>> {
    let size = scale.len();
    let rows = count + size;
    let mut matrix = Vec::with_capacity(rows * size);
    for row in 0..count {
        matrix.extend((0..size).map(|column| jacobian[row * size + column] * scale[column]));
    }
    for row in 0..size {
        matrix.extend((0..size).map(|column| if row == column { damping.sqrt() } else { 0.0 }));
    }
    let mut right = residuals.to_vec();
    right.resize(rows, 0.0);
    triangular(&mut matrix, Some(&mut right), rows, size);
    let step = solved(&matrix, &right, size)?;
    Some(step.iter().zip(scale).map(|(step, scale)| step * scale).collect())
}

/// Householder's reflections: `matrix` becomes upper triangular, `right` is turned along.
fn triangular(matrix: &mut [f64], mut right: Option<&mut Vec<f64>>, rows: usize, size: usize) {
    let mut mirror = vec![0.0; rows];
    for column in 0..size {
        let norm = (column..rows)
            .map(|row| matrix[row * size + column].powi(2))
            .sum::<f64>()
            .sqrt();
        if norm == 0.0 {
            continue;
        }
        let head = matrix[column * size + column];
        let alpha = if head > 0.0 { -norm } else { norm };
        for row in column..rows {
            mirror[row] = matrix[row * size + column];
        }
        mirror[column] -= alpha;
        let length: f64 = mirror[column..rows].iter().map(|value| value * value).sum();
        if length == 0.0 {
            continue;
        }
        for other in column..size {
            let along: f64 = (column..rows)
                .map(|row| mirror[row] * matrix[row * size + other])
                .sum();
            let factor = 2.0 * along / length;
            for row in column..rows {
                matrix[row * size + other] -= factor * mirror[row];
            }
        }
        if let Some(right) = right.as_deref_mut() {
            let along: f64 = (column..rows).map(|row| mirror[row] * right[row]).sum();
            let factor = 2.0 * along / length;
            for row in column..rows {
                right[row] -= factor * mirror[row];
            }
        }
    }
}

fn solved(matrix: &[f64], right: &[f64], size: usize) -> Option<Vec<f64>> {
    let mut out = vec![0.0; size];
    for row in (0..size).rev() {
        let known: f64 = (row + 1..size)
            .map(|column| matrix[row * size + column] * out[column])
            .sum();
        let pivot = matrix[row * size + row];
        if pivot.abs() < 1e-300 {
            return None;
        }
        out[row] = (right[row] - known) / pivot;
    }
    Some(out)
}

fn finish(
    parameters: Vec<f64>,
    residuals: Vec<f64>,
    jacobian: Vec<f64>,
    sum: f64,
    count: usize,
    size: usize,
) -> Result<Fit, NoFit> {
    let freedom = (count - size) as f64;
    let variance = sum / freedom;
    let norm = |column: usize| {
        (0..count)
            .map(|row| jacobian[row * size + column].powi(2))
            .sum::<f64>()
            .sqrt()
    };
    let norms: Vec<f64> = (0..size).map(norm).collect();
    if norms.iter().any(|norm| *norm <= 0.0 || !norm.is_finite()) {
        return Err(NoFit::Undetermined);
    }
    let mut matrix: Vec<f64> = jacobian
        .iter()
        .enumerate()
        .map(|(at, value)| value / norms[at % size])
        .collect();
    triangular(&mut matrix, None, count, size);
    let largest = (0..size)
        .map(|at| matrix[at * size + at].abs())
        .fold(0.0, f64::max);
    let smallest = (0..size)
        .map(|at| matrix[at * size + at].abs())
        .fold(f64::INFINITY, f64::min);
    if smallest < 1e-12 * largest {
        return Err(NoFit::Undetermined);
    }
    // Columns of R⁻¹ give (RᵀR)⁻¹.
    let mut inverse = vec![vec![0.0; size]; size];
    for column in 0..size {
        let mut unit = vec![0.0; size];
        unit[column] = 1.0;
        let found = solved(&matrix, &unit, size).ok_or(NoFit::Undetermined)?;
        for row in 0..size {
            inverse[row][column] = found[row];
        }
    }
    let cell = |one: usize, other: usize| {
        let sum: f64 = (0..size).map(|k| inverse[one][k] * inverse[other][k]).sum();
        variance * sum / (norms[one] * norms[other])
    };
    let covariance = (0..size)
        .map(|one| (0..size).map(|other| cell(one, other)).collect())
        .collect();
    Ok(Fit {
        parameters,
        covariance,
        sum_of_squares: sum,
        deviation: variance.sqrt(),
        freedom,
        residuals,
        jacobian,
    })
}

//! Linear least squares with the uncertainty of everything that follows from it, and the interval of a ratio.

use nalgebra::{DMatrix, DVector};

use crate::Estimate;
use crate::intervals::coverage_factor;
use crate::quantiles::chi_squared_quantile;

/// A fitted linear model `y = Σ βⱼ xⱼ + e`, errors independent, of one normal distribution.
#[derive(Clone, Debug, PartialEq)]
pub struct LinearRegression {
    /// The coefficients βⱼ, one a column.
    pub coefficients: Vec<f64>,
    /// What is left of each value.
    pub residuals: Vec<f64>,
    /// The diagonal of the hat matrix: how far each value pulls its own prediction.
    pub leverages: Vec<f64>,
    /// Residual standard deviation; NaN where as many columns as values leave nothing.
    pub deviation: f64,
    /// Degrees of freedom of the deviation.
    pub freedom: f64,
    /// `(XᵀX)⁻¹`
    inverse: DMatrix<f64>,
}

/// Why no model could be fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoLinearFit {
    /// Fewer values than columns.
    TooFew,
    /// This column follows from those before it, to rounding.
    Collinear(usize),
    /// A number is not finite.
    NotFinite,
}

/// Fits by Householder QR of the columns, each scaled to length one first.
///
/// `rows` holds the columns of each value; a constant is a column of ones.
///
/// # Errors
/// [`NoLinearFit`].
///
/// # Source
/// Golub and Van Loan, Matrix Computations, 5.3 (from memory); held against NIST StRD Norris, Pontius, Longley.
pub fn linear_regression(rows: &[Vec<f64>], y: &[f64]) -> Result<LinearRegression, NoLinearFit> {
    let (n, columns) = (rows.len(), rows.first().map_or(0, Vec::len));
    if n < columns || columns == 0 || n != y.len() {
        return Err(NoLinearFit::TooFew);
    }
    if rows.iter().flatten().chain(y).any(|v| !v.is_finite()) {
        return Err(NoLinearFit::NotFinite);
    }
    let (design, scales) = scaled(DMatrix::from_fn(n, columns, |i, j| rows[i][j]))?;
    let (q, r) = design.clone().qr().unpack();
    if let Some(j) = (0..columns).find(|j| r[(*j, *j)].abs() < 1e-13) {
        return Err(NoLinearFit::Collinear(j));
    }
    let solved = |right: DVector<f64>| r.solve_upper_triangular(&right);
    let collinear = || NoLinearFit::Collinear(columns - 1);
    let rhs = DVector::from_column_slice(y);
    let mut beta = solved(q.tr_mul(&rhs)).ok_or_else(collinear)?;
    // One step of refinement wins digits where the columns are nearly dependent.
    let left = &rhs - &design * &beta;
    beta += solved(q.tr_mul(&left)).ok_or_else(collinear)?;
    let residuals: Vec<f64> = (&rhs - &design * &beta).iter().copied().collect();
    let freedom = (n - columns) as f64;
    let sum: f64 = residuals.iter().map(|r| r * r).sum();
    Ok(LinearRegression {
        coefficients: beta.iter().zip(&scales).map(|(b, s)| b / s).collect(),
        leverages: q.row_iter().map(|row| row.norm_squared()).collect(),
        deviation: if n > columns {
            (sum / freedom).sqrt()
        } else {
            f64::NAN
        },
        residuals,
        freedom,
        inverse: inverse_of_square(&r, &scales).ok_or_else(collinear)?,
    })
}

/// Columns of length one, and the lengths that they had.
fn scaled(mut x: DMatrix<f64>) -> Result<(DMatrix<f64>, Vec<f64>), NoLinearFit> {
    let scales: Vec<f64> = x.column_iter().map(|c| c.norm()).collect();
    for (j, scale) in scales.iter().enumerate() {
        if *scale == 0.0 {
            return Err(NoLinearFit::Collinear(j));
        }
        x.column_mut(j).unscale_mut(*scale);
    }
    Ok((x, scales))
}

/// `(XᵀX)⁻¹` from the triangle of the scaled columns.
fn inverse_of_square(triangle: &DMatrix<f64>, scales: &[f64]) -> Option<DMatrix<f64>> {
    let size = scales.len();
    let upper = triangle.solve_upper_triangular(&DMatrix::identity(size, size))?;
    let mut inverse = &upper * upper.transpose();
    for i in 0..size {
        for j in 0..size {
            inverse[(i, j)] /= scales[i] * scales[j];
        }
    }
    Some(inverse)
}

impl LinearRegression {
    /// The same fit with another deviation of a single value, such as that of repeated visits, and its degrees of freedom.
    #[must_use]
    pub fn with_deviation(mut self, deviation: f64, freedom: f64) -> Self {
        self.deviation = deviation;
        self.freedom = freedom;
        self
    }

    /// The standard error of a weighted sum of the coefficients.
    #[must_use]
    pub fn error_of(&self, weights: &[f64]) -> f64 {
        self.deviation * self.covariance(weights, weights).max(0.0).sqrt()
    }

    /// `aᵀ (XᵀX)⁻¹ b`: covariance of two weighted sums of coefficients, in units of the squared deviation.
    #[must_use]
    pub fn covariance(&self, a: &[f64], b: &[f64]) -> f64 {
        let (a, b) = (DVector::from_column_slice(a), DVector::from_column_slice(b));
        a.dot(&(&self.inverse * b))
    }

    /// A weighted sum of the coefficients with its interval: a mean response, where the weights are a row.
    #[must_use]
    pub fn sum(&self, weights: &[f64], confidence: f64) -> Estimate {
        let value = weights.iter().zip(&self.coefficients).map(|(w, b)| w * b).sum();
        Estimate::around(
            value,
            coverage_factor(self.freedom, confidence) * self.error_of(weights),
        )
    }

    /// A coefficient with its interval.
    #[must_use]
    pub fn coefficient(&self, column: usize, confidence: f64) -> Estimate {
        let mut weights = vec![0.0; self.coefficients.len()];
        weights[column] = 1.0;
        self.sum(&weights, confidence)
    }

    /// The residual deviation with its interval.
    #[must_use]
    pub fn deviation_interval(&self, confidence: f64) -> Estimate {
        crate::standard_deviation_interval(self.deviation, self.freedom, confidence)
    }

    /// How well it foretells a value that it has not seen: root mean square of the residuals, each left out in turn.
    ///
    /// # Source
    /// D. M. Allen, Technometrics 16 (1974) 125: the sum of `(e / (1 − h))²` (from memory).
    #[must_use]
    pub fn left_out(&self) -> f64 {
        let terms = self.residuals.iter().zip(&self.leverages);
        let sum: f64 = terms.map(|(e, h)| (e / (1.0 - h).max(1e-12)).powi(2)).sum();
        (sum / self.residuals.len() as f64).sqrt()
    }
}

/// A ratio of two estimates that err together, with Fieller's interval; nothing where the divisor is not shown to differ from zero.
///
/// `covariance` is that of `above` and `below`: variance, covariance, variance.
///
/// # Source
/// E. C. Fieller, Journal of the Royal Statistical Society B 16 (1954) 175 (from memory).
#[must_use]
pub fn fieller_ratio(
    above: f64,
    below: f64,
    covariance: [f64; 3],
    freedom: f64,
    confidence: f64,
) -> Option<Estimate> {
    let t2 = if freedom.is_finite() {
        coverage_factor(freedom, confidence).powi(2)
    } else {
        chi_squared_quantile(confidence, 1.0)
    };
    let [aa, ab, bb] = covariance;
    let a = below * below - t2 * bb;
    let b = above * below - t2 * ab;
    let c = above * above - t2 * aa;
    // `a > 0` says that the divisor's own interval leaves out zero; NaN is refused too.
    if !(a > 0.0) {
        return None;
    }
    let root = (b * b - a * c).max(0.0).sqrt();
    Some(Estimate {
        value: above / below,
        low: (b - root) / a,
        high: (b + root) / a,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_two_points_has_no_deviation() {
        let found = linear_regression(&[vec![1.0, 0.0], vec![1.0, 2.0]], &[1.0, 5.0]).unwrap();
        assert!((found.coefficients[1] - 2.0).abs() < 1e-14 && found.deviation.is_nan());
        assert!(found.coefficient(1, 0.95).low.is_nan());
    }

    #[test]
    fn what_cannot_be_fitted_says_why() {
        assert_eq!(
            linear_regression(&[vec![1.0, 2.0]], &[1.0]),
            Err(NoLinearFit::TooFew)
        );
        let twice = [vec![1.0, 2.0], vec![1.0, 2.0], vec![1.0, 2.0]];
        assert_eq!(
            linear_regression(&twice, &[1.0, 2.0, 3.0]),
            Err(NoLinearFit::Collinear(1))
        );
        assert_eq!(
            linear_regression(&[vec![1.0], vec![f64::NAN]], &[1.0, 2.0]),
            Err(NoLinearFit::NotFinite)
        );
    }

    #[test]
    fn leaving_out_is_what_fitting_without_gives() {
        let rows: Vec<Vec<f64>> = (0..7)
            .map(|i| vec![1.0, f64::from(i), f64::from(i * i)])
            .collect();
        let y = [1.0, 2.5, 2.0, 4.0, 7.0, 6.5, 9.0];
        let whole = linear_regression(&rows, &y).unwrap();
        let mut sum = 0.0;
        for out in 0..7 {
            let keep = |i: &usize| *i != out;
            let some: Vec<Vec<f64>> = (0..7).filter(keep).map(|i| rows[i].clone()).collect();
            let others: Vec<f64> = (0..7).filter(keep).map(|i| y[i]).collect();
            let without = linear_regression(&some, &others).unwrap();
            sum += (y[out] - without.sum(&rows[out], 0.95).value).powi(2);
        }
        assert!((whole.left_out() - (sum / 7.0).sqrt()).abs() < 1e-12);
    }

    /// With an exact divisor Fieller's interval is that of the dividend, divided.
    #[test]
    fn a_ratio_with_an_exact_divisor_is_a_division() {
        let found = fieller_ratio(3.0, 2.0, [0.04, 0.0, 0.0], 9.0, 0.95).unwrap();
        let half = coverage_factor(9.0, 0.95) * 0.2 / 2.0;
        assert!((found.low - (1.5 - half)).abs() < 1e-12 && (found.high - (1.5 + half)).abs() < 1e-12);
        assert_eq!(fieller_ratio(3.0, 0.1, [0.04, 0.0, 0.04], 9.0, 0.95), None);
    }
}

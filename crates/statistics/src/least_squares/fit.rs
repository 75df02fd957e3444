//! A fit that came to rest: its parameters and their covariance.

use nalgebra::DMatrix;
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
    /// Derivative of each residual by each parameter: a row for each residual.
    pub(super) jacobian: DMatrix<f64>,
}

impl Fit {
    /// Half the width of the interval of a parameter at a confidence, by Student's distribution.
    #[must_use]
    pub fn half_width(&self, parameter: usize, confidence: f64) -> f64 {
        student_t(f64::midpoint(1.0, confidence), self.freedom) * self.covariance[parameter][parameter].sqrt()
    }

    /// Derivative of each residual by a parameter.
    #[must_use]
    pub fn slopes(&self, parameter: usize) -> &[f64] {
        let count = self.residuals.len();
        &self.jacobian.as_slice()[parameter * count..(parameter + 1) * count]
    }

    /// The covariance of the parameters for errors of the residuals with covariance `Σ`, from `JᵀΣJ`: `(JᵀJ)⁻¹ JᵀΣJ (JᵀJ)⁻¹`.
    #[must_use]
    pub fn propagated(&self, middle: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let variance = self.deviation * self.deviation;
        let bread: Vec<Vec<f64>> = self
            .covariance
            .iter()
            .map(|row| row.iter().map(|value| value / variance).collect())
            .collect();
        multiplied(&multiplied(&bread, middle), &bread)
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

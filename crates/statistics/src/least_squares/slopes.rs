//! Derivatives: as the model tells them, else by differences.

use nalgebra::DMatrix;

use super::Model;
use crate::sums::squares;

/// A model whose derivatives are all told, with room for differences.
pub(super) struct Told<M> {
    pub model: M,
    pub above: Vec<f64>,
    pub below: Vec<f64>,
}

impl<M: Model> Told<M> {
    /// Derivative of each residual by each parameter: a row for each residual.
    pub fn slopes(&mut self, at: &[f64], here: &[f64], central: bool) -> DMatrix<f64> {
        let mut out: Vec<f64> = Vec::with_capacity(here.len() * at.len());
        let mut point = at.to_vec();
        for (column, own) in at.iter().enumerate() {
            if self.model.slopes(column, at, here, &mut self.above) {
                out.extend_from_slice(&self.above);
                continue;
            }
            // The root, or cube root, of the precision balances rounding against the curvature that the differences do not see.
            let step = if central { 6e-6 } else { 1.5e-8 } * own.abs().max(1e-6);
            point[column] = own + step;
            let mut width = point[column] - own;
            self.model.residuals(&point, &mut self.above);
            if central {
                point[column] = own - step;
                width += own - point[column];
                self.model.residuals(&point, &mut self.below);
            }
            point[column] = *own;
            let per = width.recip();
            let below = if central { &self.below } else { here };
            out.extend((self.above.iter().zip(below)).map(|(above, below)| (above - below) * per));
        }
        // Seldom, so that the loops above stay plain ones.
        if !squares(&out).is_finite() {
            for slope in &mut out {
                *slope = if slope.is_finite() { *slope } else { 0.0 };
            }
        }
        DMatrix::from_vec(here.len(), at.len(), out)
    }
}

//! How much a surface is smoothed: by known noise, by cross-validation, or as is likeliest for a random surface.

use nalgebra::{DMatrix, DVector};

use super::Smoothing;
use super::bends::Bends;

/// Heights turned so that each bends by itself.
pub(super) struct Turned {
    /// How much each costs to bend.
    energies: Vec<f64>,
    heights: Vec<f64>,
    /// Back to the places.
    turn: DMatrix<f64>,
    /// How many places there are.
    places: usize,
}

impl Turned {
    pub fn of(bends: &Bends, heights: &DVector<f64>) -> Self {
        let eigen = bends.energy().symmetric_eigen();
        let turn = &bends.rest * &eigen.eigenvectors;
        Self {
            // Rounding may leave a tiny negative; bending energy has none.
            energies: eigen.eigenvalues.iter().map(|e| e.max(0.0)).collect(),
            heights: (turn.transpose() * heights).iter().copied().collect(),
            turn,
            places: heights.len(),
        }
    }

    fn both(&self) -> impl Iterator<Item = (f64, f64)> + Clone + '_ {
        let energies = self.energies.iter().copied();
        energies.zip(self.heights.iter().copied())
    }

    /// The weights at the places under a smoothing.
    pub fn weights(&self, smoothing: f64) -> DVector<f64> {
        let inner = self.both().map(|(e, w)| w / (e + smoothing).max(1e-300));
        &self.turn * DVector::from_iterator(self.energies.len(), inner)
    }

    /// Sum of squares of what is left of the heights under a smoothing.
    pub fn left(&self, smoothing: f64) -> f64 {
        let share = |energy: f64| smoothing / (energy + smoothing);
        self.both().map(|(e, w)| (share(e) * w).powi(2)).sum()
    }

    /// Degrees of freedom of that.
    pub fn freedom(&self, smoothing: f64) -> f64 {
        let share = |energy: &f64| smoothing / (energy + smoothing);
        self.energies.iter().map(share).sum()
    }

    /// The smoothing out of a ladder for which a score is least.
    fn least(&self, score: impl Fn(f64) -> f64) -> f64 {
        let largest = self.energies.iter().copied().fold(0.0, f64::max).max(1e-12);
        let ladder = (0..=80).map(|step| largest * 10_f64.powf(-9.0 + 0.15 * f64::from(step)));
        ladder
            .min_by(|p, q| score(*p).total_cmp(&score(*q)))
            .unwrap_or(largest)
    }

    /// The smoothing by unbiased risk where the noise is known, else by generalised cross-validation.
    pub fn choose(&self, smoothing: Smoothing) -> f64 {
        let n = self.places as f64;
        self.least(|weight| {
            let left = self.left(weight);
            let used = n - self.freedom(weight);
            if let Smoothing::Known(deviation) = smoothing {
                return left + 2.0 * deviation * deviation * used;
            }
            let spare = n - 1.4 * used;
            if spare <= 0.0 {
                f64::INFINITY
            } else {
                left / (spare * spare)
            }
        })
    }

    /// The smoothing under which heights with this noise are likeliest: each turned height then scatters with `σ² (e + λ) / λ`.
    ///
    /// # Source
    /// Wahba 1990, 4.8, generalised maximum likelihood, with the noise known (from memory).
    pub fn likeliest(&self, noise: f64) -> f64 {
        self.least(|smoothing| {
            let each = self.both().map(|(e, w)| {
                let variance = noise * noise * (e + smoothing) / smoothing;
                w * w / variance + variance.ln()
            });
            each.sum()
        })
    }
}

//! Random numbers by their distribution, from shares that a generator gives.

/// A deviate of the normal distribution with mean 0 and deviation 1, from two independent shares: `√(−2 ln u) cos 2πv`.
///
/// - `size`: above 0, at most 1; `turn`: from 0 to 1.
///
/// # Source
/// G. E. P. Box and M. E. Muller, Annals of Mathematical Statistics 29 (1958) 610 (from memory).
#[must_use]
pub fn normal_deviate(size: f64, turn: f64) -> f64 {
    (-2.0 * size.ln()).sqrt() * (core::f64::consts::TAU * turn).cos()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::normal_quantile;
    use rand::{RngExt as _, SeedableRng as _};
    use rand_pcg::Pcg64;

    /// The share of deviates below each quantile of the distribution, within four standard errors of so many draws.
    #[test]
    fn deviates_are_normal() {
        let mut random = Pcg64::seed_from_u64(1);
        let deviates: Vec<f64> = (0..20_000)
            .map(|_| normal_deviate(1.0 - random.random::<f64>(), random.random()))
            .collect();
        for share in [0.01_f64, 0.1, 0.5, 0.9, 0.99] {
            let quantile = normal_quantile(share);
            let below = deviates.iter().filter(|own| **own < quantile).count() as f64 / 20_000.0;
            let error = (share * (1.0 - share) / 20_000.0).sqrt();
            assert!((below - share).abs() < 4.0 * error, "{below} for {share}");
        }
    }
}

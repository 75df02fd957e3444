//! How often intervals hold the truth: the same measurement is invented with 200 seeds, and each interval asked.

use std::collections::BTreeMap;

use rand::SeedableRng;
use rand_distr::{Distribution, Normal};
use rand_pcg::Pcg64;

/// Seeds tried.
pub const SEEDS: u64 = 200;

/// A stream of invented errors.
pub struct Noise(pub Pcg64);

impl Noise {
    pub fn seeded(seed: u64) -> Self {
        // Spread over all 64 bits: small seeds differ in few of them.
        Self(Pcg64::seed_from_u64(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15)))
    }
    /// A draw from a normal distribution of mean zero.
    pub fn normal(&mut self, deviation: f64) -> f64 {
        Normal::new(0.0, deviation).unwrap().sample(&mut self.0)
    }
}

/// Runs an experiment with each seed; it tells for each of its intervals whether the truth was held.
/// Fails where an interval that claims 95 % holds the truth in less than 91 % or more than 98 % of the seeds.
pub fn assert_covers(experiment: impl Fn(&mut Noise) -> Vec<(&'static str, bool)>) {
    let rates = rates(experiment);
    for (name, held) in &rates {
        let rate = *held as f64 / SEEDS as f64;
        assert!((0.91..=0.98).contains(&rate), "{name}: {rate} of {rates:?}");
    }
    assert!(!rates.is_empty());
}

/// How many seeds each interval held the truth with.
pub fn rates(experiment: impl Fn(&mut Noise) -> Vec<(&'static str, bool)>) -> BTreeMap<&'static str, u64> {
    let mut rates = BTreeMap::new();
    for seed in 0..SEEDS {
        for (name, held) in experiment(&mut Noise::seeded(seed)) {
            *rates.entry(name).or_insert(0) += u64::from(held);
        }
    }
    rates
}

//! Intervals by drawing again: blocks of neighbours are drawn, so that what hangs together in time stays together.

use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;

use crate::quantiles::normal_quantile;
use crate::{Estimate, standard_deviation};

/// Draws of a series of so many values as starts of blocks; the series is taken as a ring.
///
/// # Source
/// [politis-romano-1992], the circular block bootstrap.
#[derive(Clone, Debug)]
pub struct BlockBootstrap {
    count: usize,
    block: usize,
    random: Pcg64,
}

impl BlockBootstrap {
    /// - `count`: values of the series, at least 1.
    /// - `block`: values in a block; [`block_length`](crate::block_length) proposes one.
    /// - `seed`: the same seed gives the same draws everywhere (PCG-64).
    #[must_use]
    pub fn new(count: usize, block: usize, seed: u64) -> Self {
        Self {
            count: count.max(1),
            block: block.clamp(1, count.max(1)),
            random: Pcg64::seed_from_u64(seed),
        }
    }

    /// The values of one draw, as many as the series has.
    pub fn draw(&mut self, series: &[f64], out: &mut Vec<f64>) {
        out.clear();
        while out.len() < self.count {
            let start = self.random.random_range(0..self.count);
            let length = self.block.min(self.count - out.len());
            let end = (start + length).min(self.count);
            out.extend_from_slice(&series[start..end]);
            // Behind the end of the series it goes on at its beginning.
            out.extend_from_slice(&series[..length - (end - start)]);
        }
    }
}

/// The interval from the quantiles of draws, turned over at the estimate: where draws run high, the estimate itself may.
///
/// # Source
/// [davison-hinkley-1997], section 5.2, the basic bootstrap interval.
#[must_use]
pub fn basic_interval(estimate: f64, draws: &mut [f64], confidence: f64) -> Estimate {
    draws.sort_by(f64::total_cmp);
    let tail = (1.0 - confidence) / 2.0;
    let quantile = |share: f64| -> f64 {
        let place = share * (draws.len() as f64 + 1.0) - 1.0;
        let below = place.floor().clamp(0.0, draws.len() as f64 - 1.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place in the draws"
        )]
        let at = below as usize;
        let above = draws.get(at + 1).copied().unwrap_or(draws[at]);
        draws[at] + (place - below).clamp(0.0, 1.0) * (above - draws[at])
    };
    if draws.is_empty() {
        return Estimate {
            value: estimate,
            low: estimate,
            high: estimate,
        };
    }
    Estimate {
        value: estimate,
        low: 2.0 * estimate - quantile(1.0 - tail),
        high: 2.0 * estimate - quantile(tail),
    }
}

/// The interval from the scatter of draws, as if they were normal: for statistics that take few different values, such as quantiles of
/// readings that lie on steps, where quantiles of draws jump.
///
/// # Source
/// [davison-hinkley-1997], section 5.2.1, without its correction of the bias.
#[must_use]
pub fn normal_interval(estimate: f64, draws: &[f64], confidence: f64) -> Estimate {
    let half = normal_quantile(f64::midpoint(1.0, confidence)) * standard_deviation(draws);
    Estimate {
        value: estimate,
        low: estimate - half,
        high: estimate + half,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{block_length, correlation_time};

    #[test]
    fn a_draw_is_made_of_blocks_and_repeats_with_its_seed() {
        let draw = |seed| {
            let series: Vec<f64> = (0..100).map(f64::from).collect();
            let mut out = Vec::new();
            BlockBootstrap::new(100, 10, seed).draw(&series, &mut out);
            out
        };
        let first = draw(1);
        assert_eq!(
            (first.len(), first == draw(1), first == draw(2)),
            (100, true, false)
        );
        for block in first.chunks(10) {
            assert!(block.windows(2).all(|pair| pair[1] == (pair[0] + 1.0) % 100.0));
        }
    }

    /// Ten draws 0 to 9 and half of them inside: quantiles lie at `share (n + 1)`, between two draws by their distance, and are turned over.
    #[test]
    fn the_basic_interval_lies_between_draws() {
        let mut draws: Vec<f64> = (0..10).rev().map(f64::from).collect();
        let found = basic_interval(5.0, &mut draws, 0.5);
        assert_eq!((found.low, found.value, found.high), (2.75, 5.0, 8.25));
    }

    /// An autoregression of first order with φ = 0.8 hangs together over (1 + φ)/(1 − φ) = 9 values (Geyer 1992, algebra). Intervals of its
    /// mean hold the truth about as often as they say, and single values drawn alone would not.
    #[test]
    fn intervals_of_a_mean_respect_what_hangs_together() {
        use rand::RngExt as _;
        let (mut held, mut held_alone, mut times) = (0, 0, 0.0);
        for seed in 0..200 {
            let mut random = Pcg64::seed_from_u64(seed);
            let mut last = 0.0;
            let values: Vec<f64> = (0..2_000)
                .map(|_| {
                    last = 0.8 * last + (0..12).map(|_| random.random::<f64>()).sum::<f64>() - 6.0;
                    last
                })
                .collect();
            let time = correlation_time(&values);
            times += time / 200.0;
            let covers = |block| {
                let mut bootstrap = BlockBootstrap::new(values.len(), block, seed);
                let (mut drawn, mut draws) = (Vec::new(), Vec::new());
                for _ in 0..200 {
                    bootstrap.draw(&values, &mut drawn);
                    draws.push(drawn.iter().sum::<f64>() / values.len() as f64);
                }
                let mean = values.iter().sum::<f64>() / values.len() as f64;
                let interval = basic_interval(mean, &mut draws, 0.95);
                u32::from(interval.low <= 0.0 && 0.0 <= interval.high)
            };
            held += covers(block_length(values.len(), time));
            held_alone += covers(1);
        }
        assert!((7.0..11.0).contains(&times), "{times}");
        assert!((178..=198).contains(&held), "{held} of 200");
        assert!(held_alone < 120, "{held_alone} of 200");
    }
}

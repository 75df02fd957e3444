//! Deviation, width, mean and distance from the target of the readings, with intervals from blocks drawn again.

use statistics::bootstrap::{BlockBootstrap, basic_interval, normal_interval};
use statistics::{
    CONFIDENCE, Estimate, block_length, correlation_time, interpercentile_bounds, mean, standard_deviation,
};

/// Draws of the resampling.
const DRAWS: usize = 400;

/// What is told of the readings of a soak, all in K.
pub(super) struct Resampled {
    pub deviation: Estimate,
    /// Width of the band that holds 99 % of the readings.
    pub width: Estimate,
    /// Mean less the level that was asked for.
    pub offset: Estimate,
    /// How far from that level 99 % of the readings stay at most.
    pub farthest: Estimate,
}

impl Resampled {
    /// What digits of a step leave open, K: a reading that is written in whole degrees may be off by half of one, which no number of readings
    /// averages where the noise does not reach from step to step.
    pub fn rounded(self, step: f64) -> Self {
        let half = step / 2.0;
        let is_hidden = self.deviation.value < half;
        let beside = if is_hidden { half } else { 0.0 };
        let size = |own: Estimate, by: f64| Estimate {
            value: own.value.max(by),
            low: (own.low - by).max(0.0),
            high: own.high + by,
        };
        Self {
            deviation: Estimate {
                low: if is_hidden { 0.0 } else { self.deviation.low },
                high: self.deviation.high + beside,
                ..self.deviation
            },
            width: Estimate {
                value: self.width.value,
                ..size(self.width, step)
            },
            offset: Estimate {
                low: self.offset.low - beside,
                high: self.offset.high + beside,
                ..self.offset
            },
            farthest: size(self.farthest, half),
        }
    }
}

/// Of readings and the level asked for, °C.
pub(super) fn resampled(values: &[f64], level: f64) -> Resampled {
    let block = block_length(values.len(), correlation_time(values));
    let mut bootstrap = BlockBootstrap::new(values.len(), block, 1);
    let mut draws = [const { Vec::new() }; 4];
    let mut drawn = Vec::with_capacity(values.len());
    for _ in 0..DRAWS {
        bootstrap.draw(values, &mut drawn);
        for (draws, value) in draws.iter_mut().zip(statistics(&mut drawn, level)) {
            draws.push(value);
        }
    }
    let [deviation, width, offset, farthest] = statistics(&mut values.to_vec(), level);
    let [deviations, widths, offsets, farthests] = &mut draws;
    Resampled {
        deviation: sized(basic_interval(deviation, deviations, CONFIDENCE)),
        width: sized(normal_interval(width, widths, CONFIDENCE)),
        offset: normal_interval(offset, offsets, CONFIDENCE),
        farthest: sized(normal_interval(farthest, farthests, CONFIDENCE)),
    }
}

/// Deviation, width, offset, distance.
fn statistics(values: &mut [f64], level: f64) -> [f64; 4] {
    let (mean, deviation) = (mean(values), standard_deviation(values));
    let [low, high] = interpercentile_bounds(values);
    [
        deviation,
        high - low,
        mean - level,
        (high - level).max(level - low),
    ]
}

/// The interval of a size: neither below nothing nor without the estimate in it.
fn sized(found: Estimate) -> Estimate {
    Estimate {
        value: found.value,
        low: found.low.clamp(0.0, found.value),
        high: found.high.max(found.value),
    }
}

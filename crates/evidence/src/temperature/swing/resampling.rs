//! Deviation and width of the readings with intervals from blocks drawn again.

use statistics::bootstrap::{BlockBootstrap, basic_interval, normal_interval};
use statistics::{CONFIDENCE, Estimate, block_length, correlation_time, interpercentile_range};

/// Draws of the resampling.
const DRAWS: usize = 400;

pub(super) fn deviation_and_width(values: &[f64]) -> [Estimate; 2] {
    let block = block_length(values.len(), correlation_time(values));
    let mut bootstrap = BlockBootstrap::new(values.len(), block, 1);
    let (mut deviations, mut widths) = (Vec::with_capacity(DRAWS), Vec::with_capacity(DRAWS));
    let (mut at, mut drawn) = (Vec::new(), Vec::new());
    for _ in 0..DRAWS {
        bootstrap.draw(&mut at);
        drawn.clear();
        drawn.extend(at.iter().map(|at| values[*at]));
        deviations.push(deviation(&drawn));
        widths.push(interpercentile_range(&mut drawn));
    }
    let own_width = interpercentile_range(&mut values.to_vec());
    [
        basic_interval(deviation(values), &mut deviations, CONFIDENCE),
        normal_interval(own_width, &widths, CONFIDENCE),
    ]
    .map(sized)
}

fn deviation(values: &[f64]) -> f64 {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>();
    (squares / (count - 1.0).max(1.0)).sqrt()
}

/// The interval of a size: neither below nothing nor without the estimate in it.
fn sized(found: Estimate) -> Estimate {
    Estimate {
        value: found.value,
        low: found.low.clamp(0.0, found.value),
        high: found.high.max(found.value),
    }
}

//! Allan deviations of a soak, however long.

use statistics::allan::overlapping_allan_deviations;

use super::soak::finite;
use crate::known::Known;

/// Allan deviations from single samples to a quarter of the soak; long soaks in means for the long times.
pub(super) fn deviations(values: &[f32], step: f64) -> Vec<[f64; 2]> {
    const MOST: usize = 1 << 17;
    let mut out = Vec::new();
    let mut add = |series: &[f64], step: f64, least: f64| {
        let factors: Vec<usize> = (0..)
            .map(|power| 1_usize << power)
            .take_while(|factor| factor * 4 <= series.len())
            .collect();
        let found = overlapping_allan_deviations(series, &factors);
        for (factor, deviation) in factors.iter().zip(found) {
            let time = *factor as f64 * step;
            if let Some(deviation) = deviation.filter(|_| time > least) {
                out.push([time, deviation]);
            }
        }
    };
    let head: Vec<f64> = finite(&values[..values.len().min(MOST)]).collect();
    add(&head, step, 0.0);
    if values.len() > MOST {
        let every = values.len().div_ceil(MOST);
        let means: Vec<f64> = values
            .chunks_exact(every)
            .map(|part| {
                let mean = Known::mean_of(part);
                if mean.is_nan() { 0.0 } else { mean }
            })
            .collect();
        add(&means, step * every as f64, step * (MOST / 4) as f64);
    }
    out
}

//! Allan deviations: how far means over a time differ from the next mean, by that time. White noise falls, drift rises.

use crate::mean;
use crate::sums::sum_of;

/// The Allan deviation at `factor` values a mean, without overlap; nothing where there are fewer than two means.
///
/// # Source
/// [nist-sp1065], section 5.2.2; held against its test suite.
#[must_use]
pub fn allan_deviation(values: &[f64], factor: usize) -> Option<f64> {
    let means: Vec<f64> = values.chunks_exact(factor.max(1)).map(mean).collect();
    let later = means.get(1..).filter(|later| !later.is_empty())?;
    let sum = sum_of([later, &means], |[later, earlier]| (later - earlier).powi(2));
    Some((sum / (2.0 * later.len() as f64)).sqrt())
}

/// The overlapping Allan deviation: every place is used, so it is the steadier one.
///
/// # Source
/// [nist-sp1065], section 5.2.4.
#[must_use]
pub fn overlapping_allan_deviation(values: &[f64], factor: usize) -> Option<f64> {
    let phase = phase(values);
    overlapping_of_phase(&phase, factor)
}

/// As [`overlapping_allan_deviation`] for several factors, with one running sum.
#[must_use]
pub fn overlapping_allan_deviations(values: &[f64], factors: &[usize]) -> Vec<Option<f64>> {
    /// So many places at a time: what one factor has read the next finds in the cache.
    const BLOCK: usize = 4096;
    let phase = phase(values);
    let counts: Vec<usize> = factors
        .iter()
        .map(|factor| phase.len().saturating_sub(2 * (*factor).max(1)))
        .collect();
    let mut sums = vec![0.0; factors.len()];
    for from in (0..phase.len()).step_by(BLOCK) {
        for ((sum, count), factor) in sums.iter_mut().zip(&counts).zip(factors) {
            let to = (from + BLOCK).min(*count);
            if from < to {
                *sum += second_differences(&phase, *factor, from..to);
            }
        }
    }
    let deviation = |((sum, count), factor): ((f64, &usize), &usize)| {
        (*count > 0).then(|| (sum / (2.0 * *count as f64)).sqrt() / (*factor).max(1) as f64)
    };
    sums.into_iter()
        .zip(&counts)
        .zip(factors)
        .map(deviation)
        .collect()
}

/// The sum of the squares of second differences of a running sum, from some places on.
fn second_differences(phase: &[f64], factor: usize, places: core::ops::Range<usize>) -> f64 {
    let m = factor.max(1);
    let from = |by: usize| &phase[places.start + by..places.end + by];
    sum_of([from(2 * m), from(m), from(0)], |[last, middle, first]| {
        (last - 2.0 * middle + first).powi(2)
    })
}

/// The modified Allan deviation: tells white noise of the phase from flicker.
///
/// # Source
/// [nist-sp1065], section 5.2.5.
#[must_use]
pub fn modified_allan_deviation(values: &[f64], factor: usize) -> Option<f64> {
    let m = factor.max(1);
    let phase = phase(values);
    if phase.len() < 3 * m + 1 {
        return None;
    }
    let second = |at: usize| phase[at + 2 * m] - 2.0 * phase[at + m] + phase[at];
    let mut window: f64 = (0..m).map(second).sum();
    let count = phase.len() - 3 * m + 1;
    let mut sum = window * window;
    for at in 1..count {
        window += second(at + m - 1) - second(at - 1);
        sum += window * window;
    }
    let m = m as f64;
    Some((sum / (2.0 * m.powi(4) * count as f64)).sqrt())
}

fn overlapping_of_phase(phase: &[f64], factor: usize) -> Option<f64> {
    let m = factor.max(1);
    let count = phase.len().checked_sub(2 * m).filter(|count| *count > 0)?;
    let sum = second_differences(phase, m, 0..count);
    Some((sum / (2.0 * count as f64)).sqrt() / m as f64)
}

/// The running sum, from 0; the mean is taken off first, since a second difference of large sums loses digits.
fn phase(values: &[f64]) -> Vec<f64> {
    let mean = mean(values);
    let mut sum = 0.0;
    let mut out = Vec::with_capacity(values.len() + 1);
    out.push(0.0);
    for value in values {
        sum += value - mean;
        out.push(sum);
    }
    out
}

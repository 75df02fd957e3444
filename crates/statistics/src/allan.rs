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

/// As [`overlapping_allan_deviation`] for several factors, with one running sum, of which no more is kept than the largest factor needs.
#[must_use]
pub fn overlapping_allan_deviations(values: &[f64], factors: &[usize]) -> Vec<Option<f64>> {
    /// So many places at a time: what one factor has read the next finds in the cache.
    const BLOCK: usize = 2048;
    let places = values.len() + 1;
    let counts: Vec<usize> = factors
        .iter()
        .map(|factor| places.saturating_sub(2 * (*factor).max(1)))
        .collect();
    let ahead = 2 * factors.iter().copied().max().unwrap_or(0).max(1);
    let mut running = Running::new(values);
    let mut sums = vec![0.0; factors.len()];
    for from in (0..places).step_by(BLOCK) {
        let phase = running.from(from, BLOCK + ahead);
        for ((sum, count), factor) in sums.iter_mut().zip(&counts).zip(factors) {
            let to = (from + BLOCK).min(*count);
            if from < to {
                *sum += second_differences(phase, *factor, 0..to - from);
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

/// The running sum of [`phase`], a stretch at a time.
struct Running<'v> {
    values: &'v [f64],
    mean: f64,
    /// The sums that are kept, the place of the first of them, and the sum behind the last.
    kept: Vec<f64>,
    first: usize,
    sum: f64,
}

impl<'v> Running<'v> {
    fn new(values: &'v [f64]) -> Self {
        Self {
            values,
            mean: mean(values),
            kept: vec![0.0],
            first: 0,
            sum: 0.0,
        }
    }

    /// The sums from a place on, which is never before that of the last call; so many, or as many as there are.
    fn from(&mut self, place: usize, count: usize) -> &[f64] {
        self.kept.drain(..place - self.first);
        self.first = place;
        let next = place + self.kept.len() - 1;
        let end = (place + count - 1).min(self.values.len());
        let (fours, rest) = self.values[next..end].as_chunks::<4>();
        self.kept.reserve(4 * fours.len() + rest.len());
        // Four at a time: only one of them waits for the sum before it.
        for four in fours {
            let [a, b, c, d] = four.map(|value| value - self.mean);
            let (two, later) = (a + b, c + d);
            self.kept.extend_from_slice(&[
                self.sum + a,
                self.sum + two,
                self.sum + (two + c),
                self.sum + (two + later),
            ]);
            self.sum += two + later;
        }
        for value in rest {
            self.sum += value - self.mean;
            self.kept.push(self.sum);
        }
        &self.kept
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Over the ends of blocks, and with a factor that reaches over many of them.
    #[test]
    fn several_factors_at_once_are_each_by_itself() {
        let mut n: u64 = 1;
        let mut noise = || {
            n = n * 16_807 % 2_147_483_647;
            n as f64 / 2_147_483_647.0
        };
        for count in [0, 1, 2, 3, 17, 2_047, 2_048, 2_049, 9_001] {
            let values: Vec<f64> = (0..count).map(|_| noise()).collect();
            let factors = [1, 2, 3, 512, 4_500, 0];
            let found = overlapping_allan_deviations(&values, &factors);
            for (factor, found) in factors.into_iter().zip(found) {
                let alone = overlapping_allan_deviation(&values, factor);
                let same = match (found, alone) {
                    (Some(one), Some(other)) => (one / other - 1.0).abs() < 1e-9,
                    (one, other) => one == other,
                };
                assert!(same, "{count} values, factor {factor}: {found:?} for {alone:?}");
            }
        }
    }
}

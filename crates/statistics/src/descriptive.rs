//! Mean, standard deviation, median and range.

use crate::sums::{sum, sum_of};

/// The mean; NaN of nothing.
#[must_use]
pub fn mean(values: &[f64]) -> f64 {
    let rough = sum(values) / values.len() as f64;
    // A second pass takes away what rounding left in the first.
    rough + sum_of([values], |[value]| value - rough) / values.len() as f64
}

/// The standard deviation with `n − 1`; NaN for fewer than two values.
#[must_use]
pub fn standard_deviation(values: &[f64]) -> f64 {
    let mean = mean(values);
    let sum = sum_of([values], |[value]| (value - mean).powi(2));
    (sum / (values.len() as f64 - 1.0)).sqrt()
}

/// The median; NaN of nothing.
#[must_use]
pub fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    match sorted.len() {
        0 => f64::NAN,
        n if n % 2 == 1 => sorted[n / 2],
        n => f64::midpoint(sorted[n / 2 - 1], sorted[n / 2]),
    }
}

/// The least and the largest value; infinite of nothing, the wrong way round.
#[must_use]
pub fn extremes(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    })
}

/// The median of at least one value; of an even number of values the higher of the two in the middle. They are put out of order: quicker
/// than [`median`], for long series in which nobody minds half a step.
pub fn median_high(values: &mut [f64]) -> f64 {
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// From the 0.5th to the 99.5th percentile of at least one value: the width of the band with 99 % of them. They are put out of order.
pub fn interpercentile_range(values: &mut [f64]) -> f64 {
    let [low, high] = interpercentile_bounds(values);
    high - low
}

/// The 0.5th and the 99.5th percentile of at least one value. They are put out of order.
pub fn interpercentile_bounds(values: &mut [f64]) -> [f64; 2] {
    let tail = values.len() / 200;
    let last = values.len() - 1 - tail;
    if let Some(found) = bounds_among_the_outer(values, tail) {
        return found;
    }
    let low = *values.select_nth_unstable_by(tail, f64::total_cmp).1;
    let high = *values.select_nth_unstable_by(last, f64::total_cmp).1;
    [low, high]
}

/// The values with so many below, and above, them, from those alone that lie outside of most of a sample; nothing where these are too few.
fn bounds_among_the_outer(values: &[f64], tail: usize) -> Option<[f64; 2]> {
    const SAMPLE: usize = 256;
    /// Of the sample that many are outside: five times what is looked for.
    const OUTER: usize = SAMPLE / 40;
    let every = values.len() / SAMPLE;
    if every < 8 {
        return None;
    }
    let mut sample: Vec<f64> = values.iter().copied().step_by(every).collect();
    sample.sort_unstable_by(f64::total_cmp);
    let (low, high) = (sample[OUTER], sample[sample.len() - 1 - OUTER]);
    // What is no number is neither: then the careful way is gone.
    let mut below: Vec<f64> = values.iter().copied().filter(|value| *value <= low).collect();
    let mut above: Vec<f64> = values.iter().copied().filter(|value| *value >= high).collect();
    let all_are_numbers = sum(values).is_finite();
    if !all_are_numbers || below.len() <= tail || above.len() <= tail {
        return None;
    }
    let last = above.len() - 1 - tail;
    Some([
        *below.select_nth_unstable_by(tail, f64::total_cmp).1,
        *above.select_nth_unstable_by(last, f64::total_cmp).1,
    ])
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt as _, SeedableRng as _};
    use rand_pcg::Pcg64;

    /// Whatever the order and the ties: what a sort puts there.
    #[test]
    fn the_bounds_of_the_band_are_those_of_a_sort() {
        let mut random = Pcg64::seed_from_u64(1);
        for count in [1, 2, 199, 200, 2_047, 2_048, 20_000] {
            for steps in [1.0, 3.0, 40.0, 1e9] {
                let draw = |_| (random.random::<f64>().powi(3) * steps).round() - 1.0;
                let mut values: Vec<f64> = (0..count).map(draw).collect();
                let mut sorted = values.clone();
                sorted.sort_by(f64::total_cmp);
                let expected = [sorted[count / 200], sorted[count - 1 - count / 200]];
                assert_eq!(
                    interpercentile_bounds(&mut sorted),
                    expected,
                    "{count}, {steps}, in order"
                );
                assert_eq!(interpercentile_bounds(&mut values), expected, "{count}, {steps}");
            }
        }
    }

    /// The 1000 numbers of NIST SP 1065 (Riley, 2008), p. 107 and 108: mean 0.4897745, deviation 0.2884664.
    #[test]
    fn mean_and_deviation_of_the_published_series() {
        let mut n = 1_234_567_890_u64;
        let values: Vec<f64> = (0..1000)
            .map(|_| {
                let value = n as f64 / 2_147_483_647.0;
                n = 16_807 * n % 2_147_483_647;
                value
            })
            .collect();
        assert!((mean(&values) - 0.489_774_5).abs() < 5e-8);
        assert!((standard_deviation(&values) - 0.288_466_4).abs() < 5e-8);
        assert!(
            crate::autocorrelation(&values).1 > 0.01,
            "a good generator shows none"
        );
        let shifted: Vec<f64> = values.iter().map(|v| v + 1e9).collect();
        assert!((standard_deviation(&shifted) / 0.288_466_4 - 1.0).abs() < 1e-6);
    }
}

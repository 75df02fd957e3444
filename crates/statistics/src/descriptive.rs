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
    let low = *values.select_nth_unstable_by(tail, f64::total_cmp).1;
    let high = *values.select_nth_unstable_by(last, f64::total_cmp).1;
    [low, high]
}

#[cfg(test)]
mod tests {
    use super::*;

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

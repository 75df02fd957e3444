//! Sums of long series, eight side by side: faster than one long sum, whose every term waits for the last, and rounding less.

/// The sum.
pub(crate) fn sum(values: &[f64]) -> f64 {
    sum_of([values], |[value]| value)
}

/// The sum of squares.
pub(crate) fn squares(values: &[f64]) -> f64 {
    sum_of([values], |[value]| value * value)
}

/// The sum of what a function makes of the values at each place of some series, as far as the shortest reaches.
pub(crate) fn sum_of<const N: usize>(series: [&[f64]; N], each: impl Fn([f64; N]) -> f64) -> f64 {
    let count = series.iter().map(|values| values.len()).min().unwrap_or(0);
    let parts = series.map(|values| values[..count].as_chunks::<8>());
    let mut sums = [0.0; 8];
    for at in 0..count / 8 {
        let chunks = parts.map(|(chunks, _)| &chunks[at]);
        for (lane, sum) in sums.iter_mut().enumerate() {
            *sum += each(chunks.map(|chunk| chunk[lane]));
        }
    }
    let left: f64 = (0..count % 8)
        .map(|at| each(parts.map(|(_, rest)| rest[at])))
        .sum();
    sums.iter().sum::<f64>() + left
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whole numbers add exactly in any order.
    #[test]
    fn sums_miss_no_place() {
        let values: Vec<f64> = (0..100).map(f64::from).collect();
        for count in 0..values.len() {
            let plain: f64 = values[..count].iter().sum();
            assert_eq!(sum(&values[..count]), plain);
            let plain: f64 = (1..=count).map(|at| values[at - 1] * values[100 - at]).sum();
            let back: Vec<f64> = values.iter().rev().copied().collect();
            assert_eq!(
                sum_of([&values[..count], &back], |[one, other]| one * other),
                plain
            );
        }
    }
}

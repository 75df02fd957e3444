//! Readings of which some are no number: sums and ends of the others, eight side by side, since a long log is gone through many times.

const LANES: usize = 8;

/// What the numbers among some readings are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Known {
    pub count: u32,
    pub sum: f64,
    /// Infinite, the wrong way round, where there is none.
    pub low: f64,
    pub high: f64,
}

impl Known {
    pub fn of(values: &[f32]) -> Self {
        let sum = sum(values);
        // A sum is a number where all are: no mean of readings is beyond the range of a double.
        if sum.is_finite() {
            let [low, high] = ends(values);
            let count = u32::try_from(values.len()).unwrap_or(u32::MAX);
            return Self {
                count,
                sum,
                low,
                high,
            };
        }
        let finite: Vec<f32> = values.iter().copied().filter(|value| value.is_finite()).collect();
        Self::of(&finite)
    }

    /// Their mean alone; NaN of none.
    pub fn mean_of(values: &[f32]) -> f64 {
        let sum = sum(values);
        if sum.is_finite() {
            sum / values.len() as f64
        } else {
            Self::of(values).mean()
        }
    }

    /// NaN of none.
    pub fn mean(&self) -> f64 {
        self.sum / f64::from(self.count)
    }
}

fn sum(values: &[f32]) -> f64 {
    let mut sums = [0.0_f64; LANES];
    let (eights, rest) = values.as_chunks::<LANES>();
    for eight in eights {
        for (sum, value) in sums.iter_mut().zip(eight) {
            *sum += f64::from(*value);
        }
    }
    sums.iter().sum::<f64>() + rest.iter().map(|value| f64::from(*value)).sum::<f64>()
}

/// The ends of numbers.
fn ends(values: &[f32]) -> [f64; 2] {
    let [mut lows, mut highs] = [[f32::INFINITY; LANES], [f32::NEG_INFINITY; LANES]];
    let (eights, rest) = values.as_chunks::<LANES>();
    let mut look = |lane: usize, value: f32| {
        lows[lane] = if value < lows[lane] { value } else { lows[lane] };
        highs[lane] = if value > highs[lane] { value } else { highs[lane] };
    };
    for eight in eights {
        for (lane, value) in eight.iter().enumerate() {
            look(lane, *value);
        }
    }
    for value in rest {
        look(0, *value);
    }
    [
        lows.into_iter()
            .fold(f64::INFINITY, |low, own| low.min(f64::from(own))),
        highs
            .into_iter()
            .fold(f64::NEG_INFINITY, |high, own| high.max(f64::from(own))),
    ]
}

/// The largest value; far below any where there is none. What is no number does not count.
pub(crate) fn largest(values: &[f32]) -> f32 {
    let mut most = [f32::MIN; LANES];
    let (eights, rest) = values.as_chunks::<LANES>();
    for eight in eights {
        for (most, value) in most.iter_mut().zip(eight) {
            *most = if *value > *most { *value } else { *most };
        }
    }
    rest.iter().chain(&most).copied().fold(f32::MIN, f32::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_does_not_count() {
        for count in 0..40_u8 {
            let values: Vec<f32> = (0..count)
                .map(|at| match at % 5 {
                    3 => f32::NAN,
                    4 => f32::INFINITY,
                    _ => f32::from(at) - 10.0,
                })
                .collect();
            let finite = || {
                values
                    .iter()
                    .copied()
                    .filter(|own| own.is_finite())
                    .map(f64::from)
            };
            let found = Known::of(&values);
            assert_eq!(found.count as usize, finite().count());
            assert_eq!(found.sum, finite().sum::<f64>());
            assert_eq!((found.low, found.high), statistics::extremes(finite()));
            let least = largest(&values);
            assert_eq!(least, values.iter().copied().fold(f32::MIN, f32::max));
        }
        assert!(Known::of(&[f32::NAN]).mean().is_nan() && Known::mean_of(&[]).is_nan());
        assert_eq!(Known::mean_of(&[f32::NAN, 1.0, 4.0]), 2.5);
    }
}

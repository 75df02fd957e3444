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
        let mut counts = [0_u32; LANES];
        let mut sums = [0.0_f64; LANES];
        let [mut lows, mut highs] = [[f32::INFINITY; LANES], [f32::NEG_INFINITY; LANES]];
        let mut look = |lane: usize, value: f32| {
            let is_known = value.is_finite();
            let [for_low, for_high] =
                [f32::INFINITY, f32::NEG_INFINITY].map(|end| if is_known { value } else { end });
            counts[lane] += u32::from(is_known);
            sums[lane] += f64::from(if is_known { value } else { 0.0 });
            lows[lane] = if for_low < lows[lane] { for_low } else { lows[lane] };
            highs[lane] = if for_high > highs[lane] {
                for_high
            } else {
                highs[lane]
            };
        };
        let (eights, rest) = values.as_chunks::<LANES>();
        for eight in eights {
            for (lane, value) in eight.iter().enumerate() {
                look(lane, *value);
            }
        }
        for (lane, value) in rest.iter().enumerate() {
            look(lane, *value);
        }
        let end = |ends: [f32; LANES], of: fn(f32, f32) -> f32| {
            ends.into_iter().reduce(of).map_or(f64::NAN, f64::from)
        };
        Self {
            count: counts.iter().sum(),
            sum: sums.iter().sum(),
            low: end(lows, f32::min),
            high: end(highs, f32::max),
        }
    }

    /// NaN of none.
    pub fn mean(&self) -> f64 {
        self.sum / f64::from(self.count)
    }
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
        assert!(Known::of(&[f32::NAN]).mean().is_nan());
    }
}

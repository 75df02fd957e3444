//! How far the values of a series resemble those before: autocorrelation, the time over which they do, and blocks that long.

use crate::mean;
use crate::quantiles::chi_squared_tail;

/// The correlation of each value with the one before, and how likely a larger one is by chance where there is none.
///
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.12: under independence normal with deviation `1/√n` (from memory).
#[must_use]
pub fn autocorrelation(values: &[f64]) -> (f64, f64) {
    let middle = mean(values);
    let all: f64 = values.iter().map(|v| (v - middle).powi(2)).sum();
    let pairs: f64 = values.windows(2).map(|w| (w[0] - middle) * (w[1] - middle)).sum();
    let r = pairs / all;
    let z = r.abs() * (values.len() as f64).sqrt();
    (r, chi_squared_tail(z * z, 1.0))
}

/// Over how many values a series hangs together: `1 + 2 Σ ρₖ`, up to the first coefficient that is not clearly positive.
///
/// # Source
/// [geyer-1992], section 3.3, the initial positive sequence.
#[must_use]
pub fn correlation_time(values: &[f64]) -> f64 {
    let count = values.len();
    if count < 4 {
        return 1.0;
    }
    let mean = values.iter().sum::<f64>() / count as f64;
    let covariance = |lag: usize| -> f64 {
        (lag..count)
            .map(|at| (values[at] - mean) * (values[at - lag] - mean))
            .sum::<f64>()
    };
    let variance = covariance(0);
    if variance <= 0.0 {
        return 1.0;
    }
    let mut sum = 1.0;
    let mut lag = 1;
    while lag + 1 < count.min(2_000) {
        let pair = (covariance(lag) + covariance(lag + 1)) / variance;
        if pair <= 0.0 {
            break;
        }
        sum += 2.0 * pair;
        lag += 2;
    }
    sum.clamp(1.0, count as f64)
}

/// A block length for a series that hangs together over `correlation` values: `(n τ²)^⅓`, within a tenth of the series.
///
/// # Source
/// The rate of [kuensch-1989]; the factor is common practice, no source.
#[must_use]
pub fn block_length(count: usize, correlation: f64) -> usize {
    let length = (count as f64 * correlation * correlation).cbrt().ceil();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 1 and the count"
    )]
    let length = length.clamp(1.0, (count as f64 / 10.0).max(1.0)) as usize;
    length
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square wave of some size hangs together over as long as one of any other size; one that never changes does not at all.
    #[test]
    fn the_time_does_not_depend_on_the_size() {
        let wave = |size: f64| -> Vec<f64> {
            (0..60)
                .map(|at| if at % 20 < 10 { size } else { -size })
                .collect()
        };
        let time = correlation_time(&wave(1.0));
        assert!(time > 3.0, "{time}");
        assert!((correlation_time(&wave(1e-6)) / time - 1.0).abs() < 1e-9);
        assert_eq!(correlation_time(&wave(0.0)), 1.0);
    }
}

//! Confidence intervals of means and standard deviations of one normal distribution, and of what comes next.

use crate::quantiles::{chi_squared_quantile, student_quantile};
use crate::{Estimate, mean, standard_deviation};

/// By how many standard errors an interval of Student's distribution reaches to each side: the coverage factor of JCGM 100.
#[must_use]
pub fn coverage_factor(freedom: f64, confidence: f64) -> f64 {
    student_quantile(0.5 + confidence / 2.0, freedom)
}

/// The variance of a sum of independent terms, and its effective degrees of freedom; each term is its variance and its degrees.
///
/// # Source
/// B. L. Welch and F. E. Satterthwaite: JCGM 100:2008, G.4.1 (from memory).
#[must_use]
pub fn welch_satterthwaite(terms: &[(f64, f64)]) -> (f64, f64) {
    let variance: f64 = terms.iter().map(|(own, _)| own).sum();
    let below: f64 = terms.iter().map(|(own, freedom)| own * own / freedom).sum();
    (variance, variance * variance / below)
}

/// The mean with Student's interval, for independent values of one normal distribution.
#[must_use]
pub fn mean_interval(values: &[f64], confidence: f64) -> Estimate {
    let n = values.len() as f64;
    let t = coverage_factor(n - 1.0, confidence);
    Estimate::around(mean(values), t * standard_deviation(values) / n.sqrt())
}

/// Where the next single value will lie: `x̄ ± t · s · √(1 + 1/n)`.
///
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.4 (from memory).
#[must_use]
pub fn prediction_interval(values: &[f64], confidence: f64) -> Estimate {
    let n = values.len() as f64;
    let t = coverage_factor(n - 1.0, confidence);
    Estimate::around(
        mean(values),
        t * standard_deviation(values) * (1.0 + 1.0 / n).sqrt(),
    )
}

/// A standard deviation with its interval: `s √(ν / χ²(1 − α/2, ν)) … s √(ν / χ²(α/2, ν))`.
///
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.3.1 (from memory).
#[must_use]
pub fn standard_deviation_interval(deviation: f64, freedom: f64, confidence: f64) -> Estimate {
    let tail = (1.0 - confidence) / 2.0;
    let bound = |share| deviation * (freedom / chi_squared_quantile(share, freedom)).sqrt();
    Estimate {
        value: deviation,
        low: bound(1.0 - tail),
        high: bound(tail),
    }
}

/// The difference of two means, second less first, from mean, deviation and number of each, where the deviations may differ.
///
/// # Source
/// Welch's interval with Satterthwaite's degrees of freedom: [nist-handbook], section 1.3.5.3; held against its worked example.
#[must_use]
pub fn difference_of_means(samples: [(f64, f64, usize); 2], confidence: f64) -> Estimate {
    let [(first, _, _), (second, _, _)] = samples;
    let of = samples.map(|(_, deviation, count)| (deviation * deviation / count as f64, count as f64 - 1.0));
    let (variance, effective) = welch_satterthwaite(&of);
    // Without any scatter nothing weighs one sample against the other.
    let freedom = if effective.is_nan() {
        of[0].1 + of[1].1
    } else {
        effective
    };
    Estimate::around(
        second - first,
        coverage_factor(freedom, confidence) * variance.sqrt(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of 1, 2, 3 the mean is 2 and the deviation 1; Student's factor for 2 degrees of freedom at 95 % is 4.303 (any table of it).
    #[test]
    fn the_next_value_strays_more_than_the_mean() {
        let values = [1.0, 2.0, 3.0];
        let near = |own: f64, expected: f64| assert!((own - expected).abs() < 1e-3, "{own} for {expected}");
        near(
            prediction_interval(&values, 0.95).high - 2.0,
            4.3027 * (4.0_f64 / 3.0).sqrt(),
        );
        near(mean_interval(&values, 0.95).high - 2.0, 4.3027 / 3.0_f64.sqrt());
    }
}

//! Mean, deviation and their intervals; values that stand out; shares of trials.

use super::quantiles::{beta, chi_squared, student};
use super::sums::{sum, sum_of};
use super::{Estimate, quantiles};

/// The mean; NaN of nothing.
#[must_use]
pub fn mean(values: &[f64]) -> f64 {
    let rough = sum(values) / values.len() as f64;
    // A second pass takes away what rounding left in the first.
    rough + sum_of([values], |[value]| value - rough) / values.len() as f64
}

/// The standard deviation with `n − 1`; NaN for fewer than two values.
#[must_use]
pub fn deviation(values: &[f64]) -> f64 {
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

/// Width of the band with 99 % of the values, at least one; they are put out of order.
#[must_use]
pub fn band(values: &mut [f64]) -> f64 {
    let tail = values.len() / 200;
    let last = values.len() - 1 - tail;
    let low = *values.select_nth_unstable_by(tail, f64::total_cmp).1;
    let high = *values.select_nth_unstable_by(last, f64::total_cmp).1;
    high - low
}

/// The difference of two means, second less first, from mean, deviation and number of each, where the deviations may differ.
///
/// # Source
/// Welch's interval with Satterthwaite's degrees of freedom: [nist-handbook], section 1.3.5.3; held against its worked example.
#[must_use]
pub fn difference_of_means(samples: [(f64, f64, usize); 2], confidence: f64) -> Estimate {
    let [(first, _, _), (second, _, _)] = samples;
    let of = samples.map(|(_, deviation, count)| (deviation * deviation / count as f64, count as f64 - 1.0));
    let variance = of[0].0 + of[1].0;
    let below: f64 = of.iter().map(|(own, freedom)| own * own / freedom).sum();
    let freedom = if below > 0.0 {
        variance * variance / below
    } else {
        of[0].1 + of[1].1
    };
    let half = student(f64::midpoint(1.0, confidence), freedom) * variance.sqrt();
    Estimate::around(second - first, half)
}

/// The mean with Student's interval, for independent values of one normal distribution.
#[must_use]
pub fn mean_interval(values: &[f64], confidence: f64) -> Estimate {
    let n = values.len() as f64;
    let t = student(0.5 + confidence / 2.0, n - 1.0);
    Estimate::around(mean(values), t * deviation(values) / n.sqrt())
}

/// Where the next single value will lie: `x̄ ± t · s · √(1 + 1/n)`.
///
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.4 (from memory).
#[must_use]
pub fn next_interval(values: &[f64], confidence: f64) -> Estimate {
    let n = values.len() as f64;
    let t = student(0.5 + confidence / 2.0, n - 1.0);
    Estimate::around(mean(values), t * deviation(values) * (1.0 + 1.0 / n).sqrt())
}

/// A standard deviation with its interval: `s √(ν / χ²(1 − α/2, ν)) … s √(ν / χ²(α/2, ν))`.
///
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.3.1 (from memory).
#[must_use]
pub fn deviation_interval(deviation: f64, freedom: f64, confidence: f64) -> Estimate {
    let tail = (1.0 - confidence) / 2.0;
    let bound = |share| deviation * (freedom / chi_squared(share, freedom)).sqrt();
    Estimate {
        value: deviation,
        low: bound(1.0 - tail),
        high: bound(tail),
    }
}

/// The share of trials with its exact interval by Clopper and Pearson: never less sure than it says, also of 0 in n.
///
/// # Source
/// C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404; through the beta distribution (from memory).
#[must_use]
pub fn share_interval(hits: u64, trials: u64, confidence: f64) -> Estimate {
    let (k, n) = (hits as f64, trials as f64);
    if trials == 0 {
        return Estimate {
            value: 0.5,
            low: 0.0,
            high: 1.0,
        };
    }
    let tail = (1.0 - confidence) / 2.0;
    Estimate {
        value: k / n,
        low: if hits == 0 {
            0.0
        } else {
            beta(tail, k, n - k + 1.0)
        },
        high: if hits >= trials {
            1.0
        } else {
            beta(1.0 - tail, k + 1.0, n - k)
        },
    }
}

/// How many trials in all, with `hits` bad ones among them, show at `confidence` that the share is at most `limit`.
///
/// For no bad one this is `n ≥ ln(1 − C) / ln(1 − p)`. Nothing where the limit is not between 0 and 1, or where more than a
/// million trials would be needed.
///
/// # Source
/// The success-run theorem; 59 trials for 95 % and 95 %, 299 for 95 % and 99 %, as tables of reliability tests have it (from memory).
#[must_use]
pub fn trials_for(limit: f64, hits: u64, confidence: f64) -> Option<u64> {
    if !(limit > 0.0 && limit < 1.0) {
        return None;
    }
    let shown = |n: u64| n > hits && beta(confidence, hits as f64 + 1.0, (n - hits) as f64) <= limit;
    let mut high = hits + 1;
    while !shown(high) {
        high *= 2;
        if high > 1_000_000 {
            return None;
        }
    }
    let mut low = hits;
    while high - low > 1 {
        let middle = u64::midpoint(low, high);
        if shown(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(high)
}

/// A value that stands out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suspect {
    /// Its place among the values.
    pub at: usize,
    /// How many deviations it lies from the mean of those that are left.
    pub score: f64,
    /// What the score is held against.
    pub critical: f64,
}

/// Rosner's test for up to `most` outliers on either side, for values that are normal but for those.
///
/// Returns the outliers, the farthest first, and every step of the test.
/// At least 5 values must be left; with fewer than 15 the test is only roughly right.
///
/// # Source
/// B. Rosner, Technometrics 25 (1983) 165; NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.3.
#[must_use]
pub fn suspects(values: &[f64], most: usize, level: f64) -> (Vec<Suspect>, Vec<Suspect>) {
    let mut left: Vec<usize> = (0..values.len()).collect();
    let mut steps: Vec<Suspect> = Vec::new();
    let mut count = 0;
    while steps.len() < most && left.len() > 5 {
        let kept: Vec<f64> = left.iter().map(|at| values[*at]).collect();
        let (middle, spread) = (mean(&kept), deviation(&kept));
        if !(spread > 0.0) {
            break;
        }
        let distance = |at: usize| (kept[at] - middle).abs();
        let farthest = (0..kept.len())
            .max_by(|a, b| distance(*a).total_cmp(&distance(*b)))
            .unwrap_or(0);
        let n = kept.len() as f64;
        let t = student(1.0 - level / (2.0 * n), n - 2.0);
        let step = Suspect {
            at: left[farthest],
            score: distance(farthest) / spread,
            critical: (n - 1.0) * t / ((n - 2.0 + t * t) * n).sqrt(),
        };
        left.remove(farthest);
        steps.push(step);
        if step.score > step.critical {
            count = steps.len();
        }
    }
    (steps[..count].to_vec(), steps)
}

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
    (r, quantiles::chi_squared_above(z * z, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.3: data of Rosner (1983), scores and critical values of ten steps
    /// as printed (from memory; the printed scores follow from the data).
    #[test]
    fn the_example_of_rosner_has_three_outliers() {
        let values = [
            -0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65,
            1.69, 1.70, 1.76, 1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23, 2.24,
            2.26, 2.35, 2.37, 2.40, 2.47, 2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21, 3.26, 3.30, 3.59,
            3.68, 4.30, 4.64, 5.34, 5.42, 6.01,
        ];
        let printed = [
            (3.118, 3.158),
            (2.942, 3.151),
            (3.179, 3.143),
            (2.810, 3.136),
            (2.815, 3.128),
            (2.848, 3.120),
            (2.279, 3.111),
            (2.310, 3.103),
            (2.101, 3.094),
            (2.067, 3.085),
        ];
        let (found, steps) = suspects(&values, 10, 0.05);
        for (step, (score, critical)) in steps.iter().zip(printed) {
            assert!((step.score - score).abs() < 1e-3, "{step:?}");
            assert!((step.critical - critical).abs() < 2e-3, "{step:?}");
        }
        let found: Vec<f64> = found.iter().map(|s| values[s.at]).collect();
        assert_eq!(found, [6.01, 5.42, 5.34]);
    }

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1: Grubbs' test of eight masses, G = 2.4687 (from memory);
    /// its one-sided critical value at 5 % is our two-sided one at 10 %: 2.032.
    #[test]
    fn the_example_of_grubbs_is_the_first_step() {
        let values = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
        let (found, steps) = suspects(&values, 1, 0.10);
        assert!((steps[0].score - 2.4687).abs() < 1e-4 && (steps[0].critical - 2.032).abs() < 1e-3);
        assert_eq!(found.len(), 1);
    }

    /// The success-run theorem; tables of reliability tests (from memory).
    #[test]
    fn trials_needed_are_those_of_the_tables() {
        for (limit, hits, confidence, trials) in [
            (0.05, 0, 0.95, 59),
            (0.01, 0, 0.95, 299),
            (0.10, 0, 0.90, 22),
            (0.05, 1, 0.95, 93),
            (0.05, 2, 0.95, 124),
        ] {
            assert_eq!(
                trials_for(limit, hits, confidence),
                Some(trials),
                "{limit} {hits}"
            );
        }
        assert_eq!(trials_for(0.0, 0, 0.95), None);
        assert_eq!(trials_for(1e-9, 0, 0.95), None);
    }

    /// Clopper and Pearson: 0 in 10 is at most 30.85 %, 10 in 10 at least 69.15 %; 5 in 10 is 18.71 % to 81.29 % (printed in many
    /// texts, from memory).
    #[test]
    fn shares_have_their_exact_interval() {
        let none = share_interval(0, 10, 0.95);
        assert!(none.low == 0.0 && (none.high - 0.3085).abs() < 1e-4);
        let half = share_interval(5, 10, 0.95);
        assert!((half.low - 0.1871).abs() < 1e-4 && (half.high - 0.8129).abs() < 1e-4);
        assert!((share_interval(10, 10, 0.95).low - 0.6915).abs() < 1e-4);
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
        assert!((deviation(&values) - 0.288_466_4).abs() < 5e-8);
        assert!(autocorrelation(&values).1 > 0.01, "a good generator shows none");
        let shifted: Vec<f64> = values.iter().map(|v| v + 1e9).collect();
        assert!((deviation(&shifted) / 0.288_466_4 - 1.0).abs() < 1e-6);
    }
}

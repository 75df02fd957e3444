//! Shares of trials: their confidence interval, and how many trials show one.

use crate::Estimate;
use crate::quantiles::beta_quantile;

/// The share of trials with its exact interval by Clopper and Pearson: never less sure than it says, also of 0 in n.
///
/// # Source
/// C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404; through the beta distribution (from memory).
#[must_use]
pub fn proportion_interval(hits: u64, trials: u64, confidence: f64) -> Estimate {
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
            beta_quantile(tail, k, n - k + 1.0)
        },
        high: if hits >= trials {
            1.0
        } else {
            beta_quantile(1.0 - tail, k + 1.0, n - k)
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
    let shown = |n: u64| n > hits && beta_quantile(confidence, hits as f64 + 1.0, (n - hits) as f64) <= limit;
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

#[cfg(test)]
mod tests {
    use super::*;

    /// The success-run theorem; tables of reliability tests (from memory).
    #[test]
    fn no_trial_says_nothing() {
        let found = proportion_interval(0, 0, 0.95);
        assert_eq!((found.low, found.value, found.high), (0.0, 0.5, 1.0));
    }

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
        let none = proportion_interval(0, 10, 0.95);
        assert!(none.low == 0.0 && (none.high - 0.3085).abs() < 1e-4);
        let half = proportion_interval(5, 10, 0.95);
        assert!((half.low - 0.1871).abs() < 1e-4 && (half.high - 0.8129).abs() < 1e-4);
        assert!((proportion_interval(10, 10, 0.95).low - 0.6915).abs() < 1e-4);
    }
}

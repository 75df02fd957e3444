//! Quantiles and tail shares of the usual distributions, by the library `statrs`.
//!
//! Arguments outside the range of a distribution give NaN instead of a panic: a caller with too few data sees no number.

use statrs::distribution::{Beta, ChiSquared, ContinuousCDF, FisherSnedecor, Normal, StudentsT};

/// The quantile of the normal distribution with mean 0 and deviation 1.
#[must_use]
pub fn normal_quantile(share: f64) -> f64 {
    of(Normal::new(0.0, 1.0), share)
}

/// The quantile of Student's t with so many degrees of freedom.
#[must_use]
pub fn student_quantile(share: f64, freedom: f64) -> f64 {
    of(StudentsT::new(0.0, 1.0, freedom), share)
}

/// The quantile of χ².
#[must_use]
pub fn chi_squared_quantile(share: f64, freedom: f64) -> f64 {
    of(ChiSquared::new(freedom), share)
}

/// The quantile of F.
#[must_use]
pub fn fisher_quantile(share: f64, above: f64, below: f64) -> f64 {
    // Through the beta distribution: F = (below/above) · b / (1 − b).
    let b = beta_quantile(share, above / 2.0, below / 2.0);
    below / above * b / (1.0 - b)
}

/// The quantile of the beta distribution.
#[must_use]
pub fn beta_quantile(share: f64, a: f64, b: f64) -> f64 {
    let Ok(distribution) = Beta::new(a, b) else {
        return f64::NAN;
    };
    if !(0.0..=1.0).contains(&share) {
        return f64::NAN;
    }
    // By halving: 60 steps exhaust what a double can tell apart near the middle.
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if distribution.cdf(middle) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// How likely |t| is beyond a value, both tails together.
#[must_use]
pub fn student_tails(t: f64, freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, freedom).map_or(f64::NAN, |d| 2.0 * d.sf(t.abs()))
}

/// How likely χ² is above a value.
#[must_use]
pub fn chi_squared_tail(value: f64, freedom: f64) -> f64 {
    ChiSquared::new(freedom).map_or(f64::NAN, |d| d.sf(value.max(0.0)))
}

/// How likely F is above a value.
#[must_use]
pub fn fisher_tail(value: f64, above: f64, below: f64) -> f64 {
    FisherSnedecor::new(above, below).map_or(f64::NAN, |d| d.sf(value.max(0.0)))
}

fn of<D: ContinuousCDF<f64, f64>, E>(distribution: Result<D, E>, share: f64) -> f64 {
    match distribution {
        Ok(distribution) if (0.0..=1.0).contains(&share) => distribution.inverse_cdf(share),
        _ => f64::NAN,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7, tables of the normal, t, χ² and F distributions (from memory);
    /// the rows with six digits recomputed with scipy.stats.
    #[test]
    fn quantiles_are_those_of_the_tables() {
        let rows = [
            (normal_quantile(0.975), 1.959_964),
            (student_quantile(0.975, 9.0), 2.262_157),
            (student_quantile(0.975, 1.0), 12.706),
            (student_quantile(0.995, 30.0), 2.750),
            (student_quantile(0.95, 200.0), 1.653),
            (chi_squared_quantile(0.025, 9.0), 2.700_389),
            (chi_squared_quantile(0.975, 9.0), 19.022_768),
            (chi_squared_quantile(0.95, 1.0), 3.841),
            (chi_squared_quantile(0.99, 100.0), 135.807),
            (fisher_quantile(0.975, 9.0, 9.0), 4.025_994),
            (fisher_quantile(0.95, 1.0, 10.0), 4.965),
            (fisher_quantile(0.95, 5.0, 20.0), 2.711),
        ];
        for (at, (found, table)) in rows.into_iter().enumerate() {
            assert!(
                (found / table - 1.0).abs() < 4e-4,
                "row {at}: {found} for {table}"
            );
        }
        // The three with most digits.
        assert!((student_quantile(0.975, 9.0) - 2.262_157).abs() < 1e-6);
        assert!((chi_squared_quantile(0.025, 9.0) - 2.700_389).abs() < 1e-6);
        assert!((fisher_quantile(0.975, 9.0, 9.0) - 4.025_994).abs() < 1e-6);
    }

    #[test]
    fn tails_answer_quantiles() {
        for freedom in [1.0, 4.0, 31.0] {
            assert!((student_tails(student_quantile(0.975, freedom), freedom) - 0.05).abs() < 1e-6);
            assert!((chi_squared_tail(chi_squared_quantile(0.95, freedom), freedom) - 0.05).abs() < 1e-6);
            assert!((fisher_tail(fisher_quantile(0.95, 3.0, freedom), 3.0, freedom) - 0.05).abs() < 1e-6);
        }
        assert!(
            student_quantile(0.975, 0.0).is_nan()
                && beta_quantile(1.5, 1.0, 1.0).is_nan()
                && fisher_quantile(0.95, -1.0, 2.0).is_nan()
        );
    }
}

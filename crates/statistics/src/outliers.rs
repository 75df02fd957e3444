//! Values that stand out: Rosner's test, the generalised extreme Studentised deviate.

use crate::quantiles::student_quantile;
use crate::{mean, standard_deviation};

/// A value that stands out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlier {
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
pub fn rosner_outliers(values: &[f64], most: usize, level: f64) -> (Vec<Outlier>, Vec<Outlier>) {
    let mut left: Vec<usize> = (0..values.len()).collect();
    let mut steps: Vec<Outlier> = Vec::new();
    let mut count = 0;
    while steps.len() < most && left.len() > 5 {
        let kept: Vec<f64> = left.iter().map(|at| values[*at]).collect();
        let (middle, spread) = (mean(&kept), standard_deviation(&kept));
        if !(spread > 0.0) {
            break;
        }
        let distance = |at: usize| (kept[at] - middle).abs();
        let farthest = (0..kept.len())
            .max_by(|a, b| distance(*a).total_cmp(&distance(*b)))
            .unwrap_or(0);
        let n = kept.len() as f64;
        let t = student_quantile(1.0 - level / (2.0 * n), n - 2.0);
        let step = Outlier {
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
        let (found, steps) = rosner_outliers(&values, 10, 0.05);
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
        let (found, steps) = rosner_outliers(&values, 1, 0.10);
        assert!((steps[0].score - 2.4687).abs() < 1e-4 && (steps[0].critical - 2.032).abs() < 1e-3);
        assert_eq!(found.len(), 1);
    }
}

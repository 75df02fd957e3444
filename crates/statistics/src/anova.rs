//! Analysis of variance: one way, and the nested design of a gauge study.

use super::describe::{deviation, mean};
use super::quantiles::{fisher_above, student};
use super::{Estimate, deviation_interval};

/// A one-way analysis of variance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OneWay {
    /// Degrees of freedom between groups.
    pub between_freedom: f64,
    /// Sum of squares between groups.
    pub between_sum: f64,
    /// Degrees of freedom within groups.
    pub within_freedom: f64,
    /// Sum of squares within groups.
    pub within_sum: f64,
    /// Mean square between over mean square within.
    pub f: f64,
    /// How likely a larger F is where the groups have one mean.
    pub chance: f64,
}

impl OneWay {
    /// The standard deviation within groups.
    #[must_use]
    pub fn within(&self) -> f64 {
        (self.within_sum / self.within_freedom).sqrt()
    }
}

/// One-way analysis of variance of groups of any size; nothing for fewer than two groups or no freedom within them.
///
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 7.4.3 (from memory); held against NIST StRD.
#[must_use]
pub fn one_way(groups: &[Vec<f64>]) -> Option<OneWay> {
    let groups: Vec<&Vec<f64>> = groups.iter().filter(|g| !g.is_empty()).collect();
    let count: usize = groups.iter().map(|g| g.len()).sum();
    if groups.len() < 2 || count <= groups.len() {
        return None;
    }
    // Deviations from a first mean keep the digits of data that are large beside their differences.
    let first = groups[0][0];
    let all: Vec<f64> = groups.iter().flat_map(|g| g.iter().map(|v| v - first)).collect();
    let grand = mean(&all);
    let (mut between_sum, mut within_sum) = (0.0, 0.0);
    for group in &groups {
        let shifted: Vec<f64> = group.iter().map(|v| v - first).collect();
        let middle = mean(&shifted);
        between_sum += group.len() as f64 * (middle - grand).powi(2);
        within_sum += shifted.iter().map(|v| (v - middle).powi(2)).sum::<f64>();
    }
    let (between_freedom, within_freedom) = ((groups.len() - 1) as f64, (count - groups.len()) as f64);
    let f = (between_sum / between_freedom) / (within_sum / within_freedom);
    Some(OneWay {
        between_freedom,
        between_sum,
        within_freedom,
        within_sum,
        f,
        chance: fisher_above(f, between_freedom, within_freedom),
    })
}

/// A gauge study at three levels: repetitions, days (or homings), runs (or switchings-on).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// Level 1, repeatability: deviation of repetitions, pooled.
    pub repeatability: Estimate,
    /// Degrees of freedom of the repeatability.
    pub repeatability_freedom: f64,
    /// Level 2: deviation of the averages of days, pooled over runs; nothing for one day.
    pub days: Option<Estimate>,
    /// Level 3: deviation of the averages of runs; nothing for one run.
    pub runs: Option<Estimate>,
    /// What the days add to repeatability: `√max(0, s₂² − s₁²/J)`.
    pub between_days: f64,
    /// What the runs add to both: `√max(0, s₃² − s₂²/K)`.
    pub between_runs: f64,
    /// The deviation of a single value of any run and day:
    /// `√(s₃² + (K−1)/K · s₂² + (J−1)/J · s₁²)`, or without the levels that were not repeated.
    pub single: Estimate,
    /// Effective degrees of freedom of that deviation.
    pub single_freedom: f64,
    /// The mean of the averages of the highest level that was repeated, with Student's interval: values of one run are no more
    /// independent of each other than the run is one.
    pub mean: Estimate,
    /// The standard error of that mean.
    pub mean_error: f64,
    /// Its degrees of freedom.
    pub mean_freedom: f64,
}

/// Evaluates runs of days of repetitions. Nothing where no day has two repetitions.
///
/// J and K are the mean counts where they differ; the interval of the single deviation is by Welch and Satterthwaite.
///
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 2.4.4 and 2.5.3 (three-level design).
#[must_use]
pub fn gauge(runs: &[Vec<Vec<f64>>], confidence: f64) -> Option<Gauge> {
    let runs: Vec<Vec<&Vec<f64>>> = runs
        .iter()
        .map(|run| run.iter().filter(|day| !day.is_empty()).collect::<Vec<_>>())
        .filter(|run| !run.is_empty())
        .collect();
    let days = || runs.iter().flatten();
    let freedom_1: f64 = days().map(|day| (day.len() - 1) as f64).sum();
    if freedom_1 < 1.0 {
        return None;
    }
    let pool = |groups: &mut dyn Iterator<Item = Vec<f64>>, freedom: f64| {
        let sum: f64 = groups
            .filter(|g| g.len() > 1)
            .map(|g| deviation(&g).powi(2) * (g.len() - 1) as f64)
            .sum();
        (sum / freedom).sqrt()
    };
    let s1 = pool(&mut days().map(|day| (*day).clone()), freedom_1);
    let averages = |run: &Vec<&Vec<f64>>| run.iter().map(|day| mean(day)).collect::<Vec<f64>>();
    let freedom_2: f64 = runs.iter().map(|run| (run.len() - 1) as f64).sum();
    let s2 = (freedom_2 >= 1.0).then(|| pool(&mut runs.iter().map(averages), freedom_2));
    let of_runs: Vec<f64> = runs.iter().map(|run| mean(&averages(run))).collect();
    let freedom_3 = of_runs.len() as f64 - 1.0;
    let s3 = (freedom_3 >= 1.0).then(|| deviation(&of_runs));
    let j = days().map(|day| day.len() as f64).sum::<f64>() / days().count() as f64;
    let k = runs.iter().map(|run| run.len() as f64).sum::<f64>() / runs.len() as f64;
    // The variance of a single value, term by term, each with its degrees of freedom.
    let mut terms: Vec<(f64, f64)> = Vec::new();
    match (s2, s3) {
        (Some(s2), Some(s3)) => {
            terms.push((s3 * s3, freedom_3));
            terms.push(((k - 1.0) / k * s2 * s2, freedom_2));
            terms.push(((j - 1.0) / j * s1 * s1, freedom_1));
        }
        (Some(s), None) => {
            terms.push((s * s, freedom_2));
            terms.push(((j - 1.0) / j * s1 * s1, freedom_1));
        }
        (None, Some(s)) => {
            terms.push((s * s, freedom_3));
            terms.push(((j - 1.0) / j * s1 * s1, freedom_1));
        }
        (None, None) => terms.push((s1 * s1, freedom_1)),
    }
    let variance: f64 = terms.iter().map(|(v, _)| v).sum();
    let below: f64 = terms.iter().map(|(v, f)| v * v / f).sum();
    let freedom = variance * variance / below;
    let single = deviation_interval(variance.sqrt(), freedom, confidence);
    let with_interval = |s: f64, freedom: f64| deviation_interval(s, freedom, confidence);
    let of_days: Vec<f64> = days().map(|day| mean(day)).collect();
    let (middle, mean_error, mean_freedom) = match (s2, s3) {
        (_, Some(s)) => (mean(&of_runs), s / (of_runs.len() as f64).sqrt(), freedom_3),
        (Some(s), None) => (mean(&of_days), s / (of_days.len() as f64).sqrt(), freedom_2),
        (None, None) => (mean(&of_days), s1 / (freedom_1 + 1.0).sqrt(), freedom_1),
    };
    Some(Gauge {
        repeatability: with_interval(s1, freedom_1),
        repeatability_freedom: freedom_1,
        days: s2.map(|s| with_interval(s, freedom_2)),
        runs: s3.map(|s| with_interval(s, freedom_3)),
        between_days: s2.map_or(0.0, |s| (s * s - s1 * s1 / j).max(0.0).sqrt()),
        between_runs: s3.map_or(0.0, |s| {
            let below = s2.map_or(s1 * s1 / j, |s| s * s / k);
            (s * s - below).max(0.0).sqrt()
        }),
        single_freedom: freedom,
        mean: Estimate::around(middle, student(0.5 + confidence / 2.0, mean_freedom) * mean_error),
        mean_error,
        mean_freedom,
        single,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 2.6.1.1: wafer 138, probe 1, run 1: six days of six repetitions,
    /// of which the averages and deviations are printed; the pooled deviation is 0.0978.
    #[test]
    fn the_pooled_deviation_of_the_published_gauge_study() {
        let printed = [
            (95.1772, 0.1191),
            (95.1567, 0.0183),
            (95.1937, 0.1282),
            (95.1959, 0.0398),
            (95.1442, 0.0346),
            (95.0610, 0.1539),
        ];
        // Six values with just that average and deviation.
        let days = printed.map(|(average, s): (f64, f64)| {
            let step = s * (5.0_f64 / 6.0).sqrt();
            vec![
                average + step,
                average - step,
                average + step,
                average - step,
                average + step,
                average - step,
            ]
        });
        let found = gauge(&[days.to_vec()], 0.95).unwrap();
        assert!((found.repeatability.value - 0.0978).abs() < 5e-5, "{found:?}");
        assert_eq!(found.repeatability_freedom, 30.0);
        let averages: Vec<f64> = printed.iter().map(|p| p.0).collect();
        assert!((found.days.unwrap().value - deviation(&averages)).abs() < 1e-12);
        assert_eq!(found.runs, None);
    }

    /// The same handbook, 2.4.4: five sums of squares with 60 degrees of freedom each make s₁ = 0.10290.
    #[test]
    fn sums_of_squares_pool_as_printed() {
        let sums = [0.48115, 0.69209, 0.48483, 1.21752, 0.30076];
        // 12 days of 6 repetitions for each wafer: each day with a twelfth of its sum.
        let wafers: Vec<Vec<Vec<f64>>> = sums
            .iter()
            .map(|sum| {
                let half = (sum / 12.0 / 6.0_f64).sqrt();
                vec![vec![half, -half, half, -half, half, -half]; 12]
            })
            .collect();
        let found = gauge(&wafers, 0.95).unwrap();
        assert_eq!(found.repeatability_freedom, 300.0);
        assert!((found.repeatability.value - 0.10290).abs() < 5e-6);
    }

    #[test]
    fn too_few_values_give_nothing() {
        assert_eq!(gauge(&[vec![vec![1.0]], vec![vec![2.0]]], 0.95), None);
        assert_eq!(one_way(&[vec![1.0, 2.0]]), None);
        assert_eq!(one_way(&[vec![1.0], vec![2.0], vec![]]), None);
        assert!(gauge(&[vec![vec![1.0, 2.0]]], 0.95).unwrap().single.value > 0.7);
    }
}

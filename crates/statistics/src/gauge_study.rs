//! The nested design of a gauge study: repetitions, days, runs.

use crate::{
    Estimate, coverage_factor, mean, standard_deviation, standard_deviation_interval, welch_satterthwaite,
};

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
    let study = Study::of(runs);
    let levels = study.levels()?;
    let (variance, single_freedom) = welch_satterthwaite(&levels.terms());
    let (middle, mean_error, mean_freedom) = study.mean(&levels);
    let interval = |level: Level| standard_deviation_interval(level.deviation, level.freedom, confidence);
    Some(Gauge {
        repeatability: interval(levels.repetitions),
        repeatability_freedom: levels.repetitions.freedom,
        days: levels.days.map(interval),
        runs: levels.runs.map(interval),
        between_days: levels.between_days(),
        between_runs: levels.between_runs(),
        single: standard_deviation_interval(variance.sqrt(), single_freedom, confidence),
        single_freedom,
        mean: Estimate::around(middle, coverage_factor(mean_freedom, confidence) * mean_error),
        mean_error,
        mean_freedom,
    })
}

/// A deviation with its degrees of freedom.
#[derive(Clone, Copy)]
struct Level {
    deviation: f64,
    freedom: f64,
}

impl Level {
    fn variance(self) -> f64 {
        self.deviation * self.deviation
    }

    fn of(values: &[f64]) -> Option<Self> {
        let freedom = values.len() as f64 - 1.0;
        (freedom >= 1.0).then(|| Self {
            deviation: standard_deviation(values),
            freedom,
        })
    }

    /// The deviation of several groups about their own means; nothing without a degree of freedom.
    fn pooled(groups: impl Iterator<Item = Vec<f64>>) -> Option<Self> {
        let (mut sum, mut freedom) = (0.0, 0.0);
        for group in groups.filter(|group| group.len() > 1) {
            let own = (group.len() - 1) as f64;
            sum += standard_deviation(&group).powi(2) * own;
            freedom += own;
        }
        (freedom >= 1.0).then(|| Self {
            deviation: (sum / freedom).sqrt(),
            freedom,
        })
    }
}

/// Runs of days that hold something.
struct Study<'v> {
    runs: Vec<Vec<&'v Vec<f64>>>,
}

impl<'v> Study<'v> {
    fn of(runs: &'v [Vec<Vec<f64>>]) -> Self {
        let days = |run: &'v Vec<Vec<f64>>| run.iter().filter(|day| !day.is_empty()).collect::<Vec<_>>();
        Self {
            runs: runs.iter().map(days).filter(|run| !run.is_empty()).collect(),
        }
    }

    fn days(&self) -> impl Iterator<Item = &'v Vec<f64>> + '_ {
        self.runs.iter().flatten().copied()
    }

    /// The averages of the days of each run.
    fn averages(&self) -> impl Iterator<Item = Vec<f64>> + '_ {
        self.runs
            .iter()
            .map(|run| run.iter().map(|day| mean(day)).collect())
    }

    fn of_runs(&self) -> Vec<f64> {
        self.averages().map(|averages| mean(&averages)).collect()
    }

    fn levels(&self) -> Option<Levels> {
        let days = self.days().count() as f64;
        Some(Levels {
            repetitions: Level::pooled(self.days().cloned())?,
            days: Level::pooled(self.averages()),
            runs: Level::of(&self.of_runs()),
            per_day: self.days().map(|day| day.len() as f64).sum::<f64>() / days,
            per_run: self.runs.iter().map(|run| run.len() as f64).sum::<f64>() / self.runs.len() as f64,
        })
    }

    /// The mean of the averages of the highest level that was repeated, its standard error and its degrees of freedom.
    fn mean(&self, levels: &Levels) -> (f64, f64, f64) {
        let of_days: Vec<f64> = self.days().map(|day| mean(day)).collect();
        match (levels.days, levels.runs) {
            (_, Some(level)) => {
                let of_runs = self.of_runs();
                let error = level.deviation / (of_runs.len() as f64).sqrt();
                (mean(&of_runs), error, level.freedom)
            }
            (Some(level), None) => {
                let error = level.deviation / (of_days.len() as f64).sqrt();
                (mean(&of_days), error, level.freedom)
            }
            (None, None) => {
                let level = levels.repetitions;
                let error = level.deviation / (level.freedom + 1.0).sqrt();
                (mean(&of_days), error, level.freedom)
            }
        }
    }
}

/// The deviations of the three levels, s₁ to s₃, and the mean counts J and K.
struct Levels {
    repetitions: Level,
    days: Option<Level>,
    runs: Option<Level>,
    per_day: f64,
    per_run: f64,
}

impl Levels {
    /// The variance of a single value, term by term, each with its degrees of freedom.
    fn terms(&self) -> Vec<(f64, f64)> {
        // All but one of the repetitions of a day are in its average already; so are all but one of the days of a run.
        let rest = |count: f64, level: Level| {
            let kept = (count - 1.0) / count * level.deviation * level.deviation;
            (kept, level.freedom)
        };
        let whole = |level: Level| (level.variance(), level.freedom);
        let repetitions = rest(self.per_day, self.repetitions);
        match (self.days, self.runs) {
            (Some(days), Some(runs)) => vec![whole(runs), rest(self.per_run, days), repetitions],
            (Some(level), None) | (None, Some(level)) => vec![whole(level), repetitions],
            (None, None) => vec![whole(self.repetitions)],
        }
    }

    /// What the days add to the repetitions.
    fn between_days(&self) -> f64 {
        let below = self.repetitions.variance() / self.per_day;
        self.days
            .map_or(0.0, |days| (days.variance() - below).max(0.0).sqrt())
    }

    /// What the runs add to both.
    fn between_runs(&self) -> f64 {
        let below = match self.days {
            Some(days) => days.variance() / self.per_run,
            None => self.repetitions.variance() / self.per_day,
        };
        self.runs
            .map_or(0.0, |runs| (runs.variance() - below).max(0.0).sqrt())
    }
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
        assert!((found.days.unwrap().value - standard_deviation(&averages)).abs() < 1e-12);
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

    /// Three levels by hand, with the formulas of the same handbook, 2.5.3: four repetitions 1 from the average of their day, two days 3 from that of
    /// their run, runs 20 apart.
    #[test]
    fn three_levels_are_told_apart() {
        let day = |middle: f64| vec![middle + 1.0, middle - 1.0, middle + 1.0, middle - 1.0];
        let run = |middle: f64| vec![day(middle - 3.0), day(middle + 3.0)];
        let found = gauge(&[run(0.0), run(20.0), run(40.0)], 0.95).unwrap();
        let near = |own: f64, square: f64| assert!((own * own / square - 1.0).abs() < 1e-12, "{own}");
        near(found.repeatability.value, 4.0 / 3.0);
        near(found.days.unwrap().value, 18.0);
        near(found.runs.unwrap().value, 400.0);
        near(found.between_days, 18.0 - 1.0 / 3.0);
        near(found.between_runs, 400.0 - 9.0);
        near(found.single.value, 400.0 + 9.0 + 1.0);
        // Three runs 20 apart: their mean is good to 20 / √3.
        near(found.mean_error, 400.0 / 3.0);
        // Without a second day the repetitions are below the runs.
        let found = gauge(&[vec![day(0.0)], vec![day(20.0)], vec![day(40.0)]], 0.95).unwrap();
        near(found.between_runs, 400.0 - 1.0 / 3.0);
        near(found.single.value, 400.0 + 1.0);
    }

    #[test]
    fn too_few_values_give_nothing() {
        assert_eq!(gauge(&[vec![vec![1.0]], vec![vec![2.0]]], 0.95), None);
        assert!(gauge(&[vec![vec![1.0, 2.0]]], 0.95).unwrap().single.value > 0.7);
    }
}

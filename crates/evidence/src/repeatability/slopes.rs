//! How a position changes with time or warmth, where trials of one homing and homings of one run are not independent.

use statistics::{CONFIDENCE, Estimate, coverage_factor, linear_regression, mean};

use super::Trial;

/// Values of homings of runs.
type Runs<T> = Vec<Vec<T>>;

/// A slope by the averages of homings; where there are runs too, by those of runs or by what changes inside them, whichever moves x more.
///
/// Nothing where x does not move, or too few averages are left for an interval.
pub(super) fn slope_of_averages(trials: &[Trial], x: &[f64], y: &[f64]) -> Option<Estimate> {
    let averages = |values: &[f64]| -> Option<Runs<f64>> {
        let runs = nested(trials, values)?;
        let of_run = |run: &Vec<Vec<f64>>| run.iter().map(|homing| mean(homing)).collect();
        Some(runs.iter().map(of_run).collect())
    };
    let (x, y) = (averages(x)?, averages(y)?);
    let of_runs = |runs: &[Vec<f64>]| runs.iter().map(|run| mean(run)).collect::<Vec<f64>>();
    let (x_runs, y_runs) = (of_runs(&x), of_runs(&y));
    let square = |value: &f64, middle: f64| (value - middle).powi(2);
    let runs = || x.iter().zip(&x_runs);
    let within: f64 = runs()
        .map(|(run, own)| run.iter().map(|value| square(value, *own)).sum::<f64>())
        .sum();
    let middle = mean(&x_runs);
    let between: f64 = runs()
        .map(|(run, own)| run.len() as f64 * square(own, middle))
        .sum();
    if x.len() > 1 && between >= within {
        return slope(&x_runs, &y_runs);
    }
    slope_inside(&about(&x, &x_runs), &about(&y, &y_runs), x_runs.len(), within)
}

/// Each run about its own average.
fn about(runs: &[Vec<f64>], middles: &[f64]) -> Vec<f64> {
    let runs = runs.iter().zip(middles);
    runs.flat_map(|(run, middle)| run.iter().map(move |value| value - middle))
        .collect()
}

/// The slope of what changes inside runs: as many freedoms fewer as there are runs.
fn slope_inside(x: &[f64], y: &[f64], runs: usize, within: f64) -> Option<Estimate> {
    let freedom = x.len() as f64 - runs as f64 - 1.0;
    if freedom < 1.0 || within <= 0.0 {
        return None;
    }
    let slope = x.iter().zip(y).map(|(x, y)| x * y).sum::<f64>() / within;
    let left: f64 = x.iter().zip(y).map(|(x, y)| (y - slope * x).powi(2)).sum();
    let error = (left / freedom / within).sqrt();
    Some(Estimate::around(
        slope,
        coverage_factor(freedom, CONFIDENCE) * error,
    ))
}

/// The slope of a straight line; nothing where x does not change or too few values are left for an interval.
pub(super) fn slope(x: &[f64], y: &[f64]) -> Option<Estimate> {
    // About the means, so that large times and temperatures lose no digits.
    let (middle, level) = (mean(x), mean(y));
    let rows: Vec<Vec<f64>> = x.iter().map(|x| vec![1.0, x - middle]).collect();
    let y: Vec<f64> = y.iter().map(|y| y - level).collect();
    let line = linear_regression(&rows, &y).ok()?;
    (line.freedom >= 1.0).then(|| line.coefficient(1, CONFIDENCE))
}

/// Runs of homings of values, where trials name them; one name alone is no study.
pub(super) fn nested(trials: &[Trial], values: &[f64]) -> Option<Runs<Vec<f64>>> {
    let has_runs = trials.iter().all(|t| t.run.is_some());
    let has_homings = trials.iter().all(|t| t.homing.is_some());
    if !has_runs && !has_homings {
        return None;
    }
    type Homings<'t> = Vec<(&'t Option<String>, Vec<f64>)>;
    let mut runs: Vec<(&Option<String>, Homings<'_>)> = Vec::new();
    let none = &None;
    for (trial, value) in trials.iter().zip(values) {
        let run = if has_runs { &trial.run } else { none };
        let homing = if has_homings { &trial.homing } else { none };
        let at = runs.iter().position(|(own, _)| *own == run).unwrap_or_else(|| {
            runs.push((run, Vec::new()));
            runs.len() - 1
        });
        let homings = &mut runs[at].1;
        match homings.iter_mut().find(|(own, _)| *own == homing) {
            Some((_, values)) => values.push(*value),
            None => homings.push((homing, vec![*value])),
        }
    }
    let groups: usize = runs.iter().map(|(_, homings)| homings.len()).sum();
    (groups > 1).then(|| {
        let homings = |h: Vec<(&Option<String>, Vec<f64>)>| h.into_iter().map(|(_, values)| values).collect();
        runs.into_iter().map(|(_, h)| homings(h)).collect()
    })
}

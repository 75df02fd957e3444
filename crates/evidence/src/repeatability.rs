//! One thing measured again and again: a bed probe, a limit switch, load-measured homing. How far does it scatter, and wander?
//!
//! What counts at the nozzle is not the scatter of ten touches in a row but that of tomorrow's single homing. Where the trials
//! name their homing and their run, the gauge study tells these apart, and the uncertainty of the Z offset takes the whole.
//! Nothing is thrown out as an outlier: a touch that strays will stray again. Outliers are named, and the deviation
//! is told with and without them.

mod report;

use quantity::Number;
use quantity::si::{Length, TemperatureInterval, ThermodynamicTemperature, Time};

use crate::Refused;
use statistics::{
    CONFIDENCE, Estimate, Gauge, Outlier, autocorrelation, coverage_factor, gauge, linear_regression, mean,
    mean_interval, prediction_interval, rosner_outliers, standard_deviation, standard_deviation_interval,
};

/// One trial.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trial {
    /// Where it triggered.
    pub at: Length,
    /// Which run it belongs to: a switching-on, a day.
    pub run: Option<String>,
    /// Which homing (or touch-down of the probe) of the run.
    pub homing: Option<String>,
    /// When.
    pub time: Option<Time>,
    /// How warm the thing or its holder was.
    pub temperature: Option<ThermodynamicTemperature>,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// What was measured, such as "bed probe".
    pub what: String,
    /// Where it should have triggered, by a better instrument.
    pub reference: Option<Length>,
    /// The largest error at 95 % that the offset may have.
    pub allowed: Length,
    /// How far the temperature strays between the setting of the offset and a print.
    pub warming: Option<TemperatureInterval>,
}

/// One term of the uncertainty of the offset.
#[derive(Clone, Debug, PartialEq)]
pub struct Term {
    /// What it comes from.
    pub what: &'static str,
    /// Standard uncertainty, millimetres.
    pub standard: f64,
    /// Its degrees of freedom; infinite for a bound that is known.
    pub freedom: f64,
}

/// All that the trials say; lengths in millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Repeatability {
    /// The trials in their order.
    pub values: Vec<f64>,
    /// Their mean.
    pub mean: Estimate,
    /// Mean less reference.
    pub bias: Option<Estimate>,
    /// Standard deviation of all trials about their mean.
    pub deviation: Estimate,
    /// Where the next trial will lie, at 95 %.
    pub next: Estimate,
    /// Change from the first to the last trial, by a straight line over their order.
    pub drift: Estimate,
    /// The same per hour, where times are known.
    pub drift_per_hour: Option<Estimate>,
    /// Change per kelvin, where temperatures are known and differ.
    pub per_kelvin: Option<Estimate>,
    /// Correlation of a trial with the one before, and how likely a larger one is by chance.
    pub memory: (f64, f64),
    /// Outliers by Rosner's test at 5 %, by their place.
    pub outliers: Vec<Outlier>,
    /// The deviation without the outliers.
    pub without_outliers: f64,
    /// The gauge study, where homings or runs are named.
    pub gauge: Option<Gauge>,
    /// The terms of the uncertainty of an offset that is set from the mean of these trials, for one homing.
    pub terms: Vec<Term>,
    /// What the terms make together at 95 %, with the bounds of the deviation behind them.
    pub expanded: Estimate,
    /// What was asked.
    pub ask: Ask,
    trials: Vec<Trial>,
}

/// A scatter of a millionth of a nanometre is none, millimetres.
const FINEST: f64 = 1e-12;
/// Fewer trials than this say nothing about a deviation that is worth a verdict.
const LEAST: usize = 5;

/// Looks at trials.
///
/// # Errors
/// [`Refused`] for fewer than five trials, a number that is not finite, a limit that is not above zero, or trials that are all
/// alike (a reading that cannot change says nothing).
pub fn repeatability(trials: &[Trial], ask: &Ask) -> Result<Repeatability, Refused> {
    refuse(trials, ask)?;
    let values: Vec<f64> = trials.iter().map(|t| mm(t.at)).collect();
    let n = values.len() as f64;
    let spread = standard_deviation(&values);
    let whole = standard_deviation_interval(spread, n - 1.0, CONFIDENCE);
    let order: Vec<f64> = (0..values.len()).map(|at| at as f64 / (n - 1.0)).collect();
    let per_hour: Option<Vec<f64>> = trials.iter().map(|t| t.time.map(|t| t.base() / 3600.0)).collect();
    let warmth: Option<Vec<f64>> = trials.iter().map(|t| t.temperature.map(Number::base)).collect();
    let (outliers, _) = rosner_outliers(&values, (values.len() / 10).clamp(1, 10), 0.05);
    let kept: Vec<f64> = (0..values.len())
        .filter(|at| !outliers.iter().any(|o| o.at == *at))
        .map(|at| values[at])
        .collect();
    let gauge = nested(trials, &values).and_then(|runs| gauge(&runs, CONFIDENCE));
    // Trials of one homing, and homings of one run, are not independent: a slope then goes by their averages.
    let slope = |x: &[f64]| match gauge {
        Some(_) => slope_of_averages(trials, x, &values),
        None => slope(x, &values),
    };
    let per_kelvin = warmth.and_then(|warmth| slope(&warmth));
    let mean = gauge.map_or_else(|| mean_interval(&values, CONFIDENCE), |gauge| gauge.mean);
    let single = gauge.map_or(whole, |g| g.single);
    let terms = terms(&gauge, spread, n, per_kelvin, ask.warming);
    Ok(Repeatability {
        mean,
        bias: ask.reference.map(|reference| mean.map(|m| m - mm(reference))),
        deviation: whole,
        next: gauge.map_or_else(|| prediction_interval(&values, CONFIDENCE), next_of_any),
        drift: slope(&order).unwrap_or(Estimate::around(0.0, f64::INFINITY)),
        drift_per_hour: per_hour.and_then(|hours| slope(&hours)),
        per_kelvin,
        memory: autocorrelation(&values),
        without_outliers: standard_deviation(&kept),
        outliers,
        gauge,
        // The scatter is what is known worst: its own bounds are carried over, and what is known stays.
        expanded: Estimate {
            value: expanded(&terms, 1.0),
            low: expanded(&terms, single.low / single.value),
            high: expanded(&terms, single.high / single.value),
        },
        terms,
        ask: ask.clone(),
        trials: trials.to_vec(),
        values,
    })
}

fn refuse(trials: &[Trial], ask: &Ask) -> Result<(), Refused> {
    if let Some(trial) = trials.iter().find(|t| !t.at.base().is_finite()) {
        return Err(Refused::new(
            format!("line {} holds no position", trial.line),
            "write where it triggered in millimetres, or leave the line out",
        ));
    }
    if trials.len() < LEAST {
        return Err(Refused::new(
            format!("{} trials are too few to tell a scatter", trials.len()),
            format!("measure at least {LEAST} times, better 30"),
        ));
    }
    if !(ask.allowed.base() > 0.0) {
        return Err(Refused::new(
            "the largest error that the offset may have is not above zero",
            "write it as a length, such as \"0.05 mm\"",
        ));
    }
    let values: Vec<f64> = trials.iter().map(|t| mm(t.at)).collect();
    // A deviation below that is the rounding of equal numbers.
    if !(standard_deviation(&values) > FINEST) {
        return Err(Refused::new(
            "all trials have one and the same value",
            "report more digits, or look whether the value was measured each time: a reading that cannot change says nothing",
        ));
    }
    Ok(())
}

/// Where a single trial of a run to come will lie.
fn next_of_any(gauge: Gauge) -> Estimate {
    let half = coverage_factor(gauge.single_freedom, CONFIDENCE) * gauge.single.value.hypot(gauge.mean_error);
    Estimate::around(gauge.mean.value, half)
}

/// A slope by the averages of homings; where there are runs too, by those of runs or by what changes inside them, whichever moves x more.
///
/// Nothing where x does not move, or too few averages are left for an interval.
fn slope_of_averages(trials: &[Trial], x: &[f64], y: &[f64]) -> Option<Estimate> {
    let averages = |values: &[f64]| -> Option<Vec<Vec<f64>>> {
        let runs = nested(trials, values)?;
        Some(
            runs.iter()
                .map(|run| run.iter().map(|homing| mean(homing)).collect())
                .collect(),
        )
    };
    let (x, y) = (averages(x)?, averages(y)?);
    let of_runs = |runs: &[Vec<f64>]| runs.iter().map(|run| mean(run)).collect::<Vec<f64>>();
    let (x_runs, y_runs) = (of_runs(&x), of_runs(&y));
    let about =
        |values: &[f64], middle: f64| values.iter().map(|value| (value - middle).powi(2)).sum::<f64>();
    let within: f64 = x
        .iter()
        .zip(&x_runs)
        .map(|(run, middle)| about(run, *middle))
        .sum();
    let middle = mean(&x_runs);
    let between: f64 = x
        .iter()
        .zip(&x_runs)
        .map(|(run, own)| run.len() as f64 * (own - middle).powi(2))
        .sum();
    if x.len() > 1 && between >= within {
        return slope(&x_runs, &y_runs);
    }
    // Each run about its own averages: as many freedoms fewer as there are runs.
    let inside = |runs: &[Vec<f64>], middles: &[f64]| -> Vec<f64> {
        let runs = runs.iter().zip(middles);
        runs.flat_map(|(run, middle)| run.iter().map(move |value| value - middle))
            .collect()
    };
    let (x, y) = (inside(&x, &x_runs), inside(&y, &y_runs));
    let freedom = x.len() as f64 - x_runs.len() as f64 - 1.0;
    if freedom < 1.0 || within <= 0.0 {
        return None;
    }
    let slope = x.iter().zip(&y).map(|(x, y)| x * y).sum::<f64>() / within;
    let left: f64 = x.iter().zip(&y).map(|(x, y)| (y - slope * x).powi(2)).sum();
    let error = (left / freedom / within).sqrt();
    Some(Estimate::around(
        slope,
        coverage_factor(freedom, CONFIDENCE) * error,
    ))
}

/// Runs of homings of values, where trials name them; one name alone is no study.
fn nested(trials: &[Trial], values: &[f64]) -> Option<Vec<Vec<Vec<f64>>>> {
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

/// The slope of a straight line; nothing where x does not change or too few values are left for an interval.
fn slope(x: &[f64], y: &[f64]) -> Option<Estimate> {
    // About the means, so that large times and temperatures lose no digits.
    let (middle, level) = (mean(x), mean(y));
    let rows: Vec<Vec<f64>> = x.iter().map(|x| vec![1.0, x - middle]).collect();
    let y: Vec<f64> = y.iter().map(|y| y - level).collect();
    let line = linear_regression(&rows, &y).ok()?;
    (line.freedom >= 1.0).then(|| line.coefficient(1, CONFIDENCE))
}

/// Scatter of the homing that counts, of the mean that the offset was set from, and what warming moves.
///
/// # Source
/// JCGM 100:2008, 4.2, 4.3.7 (a bound of half width a: a/√3) and 5.1 (from memory).
fn terms(
    gauge: &Option<Gauge>,
    spread: f64,
    n: f64,
    per_kelvin: Option<Estimate>,
    warming: Option<TemperatureInterval>,
) -> Vec<Term> {
    let scatter = |what, standard, freedom| Term {
        what,
        standard,
        freedom,
    };
    let mut terms = Vec::new();
    match gauge {
        Some(gauge) => {
            let freedom = gauge.single_freedom;
            terms.push(scatter(
                "scatter of a single homing of any run",
                gauge.single.value,
                freedom,
            ));
            terms.push(scatter(
                "the mean that the offset was set from",
                gauge.mean_error,
                gauge.mean_freedom,
            ));
        }
        None => {
            terms.push(scatter("scatter of a single trial", spread, n - 1.0));
            terms.push(scatter(
                "the mean that the offset was set from",
                spread / n.sqrt(),
                n - 1.0,
            ));
        }
    }
    if let (Some(slope), Some(warming)) = (per_kelvin, warming) {
        // The steepest slope that the trials allow, and the whole stray as a bound.
        let steepest = slope.low.abs().max(slope.high.abs());
        let reach = steepest * warming.base().abs();
        terms.push(scatter(
            "warming since the offset was set",
            reach / 3.0_f64.sqrt(),
            f64::INFINITY,
        ));
    }
    terms
}

/// Root of the sum of squares, times Student's t for the effective degrees of freedom; with the scatter so many times as large.
///
/// # Source
/// JCGM 100:2008, 5.1.2 and G.4.1, the formula of Welch and Satterthwaite (from memory). The mean and the single trial share one
/// deviation, so that their variances add before their freedom counts.
fn expanded(terms: &[Term], larger: f64) -> f64 {
    let squares = |finite: bool| -> f64 {
        terms
            .iter()
            .filter(|t| t.freedom.is_finite() == finite)
            .map(|t| t.standard.powi(2))
            .sum()
    };
    let (scatter, known) = (squares(true) * larger.powi(2), squares(false));
    let freedom = terms.first().map_or(f64::NAN, |t| t.freedom);
    let total = scatter + known;
    let effective = freedom * (total / scatter).powi(2);
    coverage_factor(effective.min(1e6), CONFIDENCE) * total.sqrt()
}

fn mm(length: Length) -> f64 {
    length.base() * 1e3
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, G.4.1, example: ten, five and fifteen readings with relative uncertainties 0.25 %, 0.57 %, 0.82 % have 19
    /// effective degrees of freedom together (from memory). Here the first term alone carries freedom: the rest is known.
    #[test]
    fn a_known_term_adds_freedom() {
        let term = |standard, freedom| Term {
            what: "",
            standard,
            freedom,
        };
        let alone = expanded(&[term(1.0, 9.0)], 1.0);
        assert!((alone - 2.262_157).abs() < 1e-5);
        // As much again of known size: (1 + 1)² / (1/9) = 36 degrees of freedom, t = 2.028.
        let both = expanded(&[term(1.0, 9.0), term(1.0, f64::INFINITY)], 1.0);
        assert!((both / 2.0_f64.sqrt() - 2.028).abs() < 1e-3, "{both}");
    }
}

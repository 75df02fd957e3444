//! One thing measured again and again: a bed probe, a limit switch, homing by stall detection. How far does it scatter, and wander?
//!
//! What counts at the nozzle is not the scatter of ten touches in a row but that of tomorrow's single homing. Where the trials
//! name their homing and their run, the gauge study tells these apart, and the uncertainty of the Z offset takes the whole.
//! Nothing is thrown out as an outlier: a touch that strays will stray again. Outliers are named, and the deviation
//! is told with and without them.

mod slopes;
mod uncertainty;
mod words;

use quantity::Number as _;
use quantity::si::{Length, TemperatureInterval, ThermodynamicTemperature, Time};
use statistics::{
    CONFIDENCE, Estimate, Gauge, Outlier, autocorrelation, coverage_factor, gauge, mean_interval,
    prediction_interval, rosner_outliers, standard_deviation, standard_deviation_interval,
};

use self::slopes::{nested, slope, slope_of_averages};
use self::uncertainty::{expanded, terms};
use crate::lengths::mm;
use crate::{Refused, Verdict};

pub use self::uncertainty::{Source, Term};

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
    let freedom = values.len() as f64 - 1.0;
    let spread = standard_deviation(&values);
    let whole = standard_deviation_interval(spread, freedom, CONFIDENCE);
    let (outliers, _) = rosner_outliers(&values, (values.len() / 10).clamp(1, 10), 0.05);
    let gauge = nested(trials, &values).and_then(|runs| gauge(&runs, CONFIDENCE));
    // Trials of one homing, and homings of one run, are not independent: a slope then goes by their averages.
    let slope = |x: &[f64]| match gauge {
        Some(_) => slope_of_averages(trials, x, &values),
        None => slope(x, &values),
    };
    let by = |of: fn(&Trial) -> Option<f64>| slope(&all(trials, of)?);
    let per_kelvin = by(|t| Some(t.temperature?.base()));
    let mean = gauge.map_or_else(|| mean_interval(&values, CONFIDENCE), |gauge| gauge.mean);
    let terms = terms(
        gauge.as_ref(),
        spread,
        values.len() as f64,
        per_kelvin,
        ask.warming,
    );
    Ok(Repeatability {
        mean,
        bias: ask.reference.map(|reference| mean.map(|m| m - mm(reference))),
        deviation: whole,
        next: gauge.map_or_else(|| prediction_interval(&values, CONFIDENCE), next_of_any),
        drift: slope(&order(values.len())).unwrap_or(Estimate::around(0.0, f64::INFINITY)),
        drift_per_hour: by(|t| Some(t.time?.base() / 3600.0)),
        per_kelvin,
        memory: autocorrelation(&values),
        without_outliers: standard_deviation(&without(&values, &outliers)),
        outliers,
        gauge,
        expanded: with_bounds(&terms, gauge.map_or(whole, |g| g.single)),
        terms,
        ask: ask.clone(),
        trials: trials.to_vec(),
        values,
    })
}

/// The places of trials in their order, from 0 to 1.
fn order(count: usize) -> Vec<f64> {
    (0..count).map(|at| at as f64 / (count as f64 - 1.0)).collect()
}

/// What every trial says; nothing where one of them does not.
fn all(trials: &[Trial], of: impl Fn(&Trial) -> Option<f64>) -> Option<Vec<f64>> {
    trials.iter().map(of).collect()
}

fn without(values: &[f64], outliers: &[Outlier]) -> Vec<f64> {
    let kept = (0..values.len()).filter(|at| !outliers.iter().any(|o| o.at == *at));
    kept.map(|at| values[at]).collect()
}

/// The scatter is what is known worst: its own bounds are carried over, and what is known stays.
fn with_bounds(terms: &[Term], single: Estimate) -> Estimate {
    Estimate {
        value: expanded(terms, 1.0),
        low: expanded(terms, single.low / single.value),
        high: expanded(terms, single.high / single.value),
    }
}

fn refuse(trials: &[Trial], ask: &Ask) -> Result<(), Refused> {
    if let Some(trial) = trials.iter().find(|t| !t.at.base().is_finite()) {
        return Err(words::no_position(trial.line));
    }
    if trials.len() < LEAST {
        return Err(words::too_few(trials.len()));
    }
    if !(ask.allowed.base() > 0.0) {
        return Err(words::no_limit());
    }
    let values: Vec<f64> = trials.iter().map(|t| mm(t.at)).collect();
    // A deviation below that is the rounding of equal numbers.
    if standard_deviation(&values) > FINEST {
        Ok(())
    } else {
        Err(words::all_alike())
    }
}

/// Where a single trial of a run to come will lie.
fn next_of_any(gauge: Gauge) -> Estimate {
    let half = coverage_factor(gauge.single_freedom, CONFIDENCE) * gauge.single.value.hypot(gauge.mean_error);
    Estimate::around(gauge.mean.value, half)
}

impl Repeatability {
    /// Whether an offset set from these trials is good enough, at the bounds of their scatter.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        Verdict::at_most(self.expanded.low, self.expanded.high, mm(self.ask.allowed))
    }

    /// How many times as large a study parts the bounds of the uncertainty from the limit, if the scatter stays as estimated;
    /// nothing where twenty times as many would not.
    fn times_to_judge(&self) -> Option<f64> {
        let allowed = mm(self.ask.allowed);
        let freedom = self
            .gauge
            .map_or(self.values.len() as f64 - 1.0, |gauge| gauge.single_freedom);
        (5..=80).map(|quarters| f64::from(quarters) / 4.0).find(|times| {
            let larger = |term: &Term| Term {
                freedom: term.freedom * times,
                ..*term
            };
            let terms: Vec<Term> = self.terms.iter().map(larger).collect();
            let of_one = standard_deviation_interval(1.0, freedom * times, CONFIDENCE);
            let bounds = [of_one.low, of_one.high].map(|scatter| expanded(&terms, scatter));
            Verdict::at_most(bounds[0], bounds[1], allowed) != Verdict::Open
        })
    }

    /// The trials in their order, less their mean: those that stand out, or the others.
    fn in_order(&self, out: bool) -> impl Iterator<Item = [f64; 2]> + '_ {
        let is_out = |at: usize| self.outliers.iter().any(|o| o.at == at);
        let trials = (0..self.values.len()).filter(move |at| is_out(*at) == out);
        trials.map(|at| [at as f64 + 1.0, self.values[at] - self.mean.value])
    }

    /// Counts in classes, by the rule of Freedman and Diaconis, as the corners of a stepped line.
    fn classes(&self) -> Vec<[f64; 2]> {
        let mut sorted = self.values.clone();
        sorted.sort_by(f64::total_cmp);
        let n = sorted.len();
        let (low, high) = (sorted[0], sorted[n - 1]);
        let quartiles = sorted[n * 3 / 4] - sorted[n / 4];
        let width = (2.0 * quartiles / (n as f64).cbrt()).max((high - low) / 40.0);
        let classes = (((high - low) / width).ceil() as usize).max(1);
        let width = (high - low) / classes as f64;
        let mut counts = vec![0.0; classes];
        for value in &sorted {
            counts[(((value - low) / width) as usize).min(classes - 1)] += 1.0;
        }
        let mut points = vec![[low - self.mean.value, 0.0]];
        for (at, count) in counts.iter().enumerate() {
            let left = low + width * at as f64 - self.mean.value;
            points.push([left, *count]);
            points.push([left + width, *count]);
        }
        points.push([high - self.mean.value, 0.0]);
        points
    }
}

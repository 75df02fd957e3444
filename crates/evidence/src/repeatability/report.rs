//! Repeatability told: verdict for the offset, scatter, drift, outliers, the gauge study, a run chart and a histogram.

use quantity::si::{Length, Ratio, TemperatureInterval, kelvin, millimetre, percent};
use quantity::{AnyValue, Number, Value};

use super::{Repeatability, Term, expanded};
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Table, Trouble, Verdict};
use statistics::{CONFIDENCE, Estimate, standard_deviation_interval};

/// Below this chance a correlation of neighbours is taken as one.
const MEMORY: f64 = 0.01;

impl Repeatability {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let allowed = self.ask.allowed.base() * 1e3;
        let verdict = Verdict::at_most(self.expanded.low, self.expanded.high, allowed);
        Report {
            title: format!("Repeatability: {}", self.ask.what),
            verdict,
            sentence: self.sentence(verdict),
            figures: self.figures(),
            advice: self.advice(verdict),
            tables: self.tables(),
            pictures: vec![Picture::Plot(self.chart()), Picture::Plot(self.histogram())],
            troubles: self.troubles(),
            sources: vec!["nist-handbook", "rosner-1983", "jcgm-100"],
        }
    }

    fn sentence(&self, verdict: Verdict) -> String {
        let judged = match verdict {
            Verdict::Holds => "within",
            Verdict::Fails => "more than",
            _ => "not shown to be within",
        };
        format!(
            "A single trial scatters with a standard deviation of {}; an offset set from these {} trials is then good to ± {} at 95 %, {judged} the {} allowed.",
            short(self.gauge.map_or(self.deviation.value, |g| g.single.value)),
            self.values.len(),
            short(self.expanded.value),
            Value::exact(self.ask.allowed),
        )
    }

    fn figures(&self) -> Vec<Figure> {
        let mut figures = vec![
            Figure::plain(
                "offset-uncertainty",
                "uncertainty of the offset at 95 %, with the bounds of the scatter behind it",
                length(self.expanded),
            ),
            match self.gauge {
                None => Figure::with_interval(
                    "deviation",
                    "standard deviation of all trials",
                    length(self.deviation),
                ),
                // Trials of one homing are not independent: the gauge study has the interval.
                Some(_) => Figure::plain(
                    "deviation",
                    "standard deviation of all trials about their mean",
                    Value::exact(millimetre(self.deviation.value)),
                ),
            },
            Figure::with_interval("mean", "mean of the trials", length(self.mean)),
            Figure::with_interval("next", "where the next single trial will lie", length(self.next)),
            Figure::with_interval(
                "drift",
                "drift from the first to the last trial",
                length(self.drift),
            ),
        ];
        if let Some(bias) = self.bias {
            figures.push(Figure::with_interval("bias", "mean less reference", length(bias)));
        }
        if let Some(drift) = self.drift_per_hour {
            figures.push(Figure::with_interval(
                "drift-per-hour",
                "drift in an hour",
                length(drift),
            ));
        }
        if let Some(slope) = self.per_kelvin {
            figures.push(Figure::with_interval(
                "per-kelvin",
                "change for each kelvin",
                length(slope),
            ));
        }
        if let Some(gauge) = &self.gauge {
            let level = |id, what: &str, e| Figure::with_interval(id, what, length(e));
            figures.push(level(
                "gauge-repeatability",
                "within one homing, standard deviation",
                gauge.repeatability,
            ));
            figures.push(level(
                "gauge-single",
                "single trial of any homing and run, standard deviation",
                gauge.single,
            ));
            let between = |s: f64| Value::exact(millimetre(s));
            if gauge.days.is_some() {
                figures.push(Figure::plain(
                    "gauge-between-homings",
                    "what homing anew adds",
                    between(gauge.between_days),
                ));
            }
            if gauge.runs.is_some() {
                figures.push(Figure::plain(
                    "gauge-between-runs",
                    "what another run adds",
                    between(gauge.between_runs),
                ));
            }
        }
        if !self.outliers.is_empty() {
            figures.push(Figure::plain(
                "deviation-without-outliers",
                "standard deviation without the outliers, for comparison only",
                Value::exact(millimetre(self.without_outliers)),
            ));
        }
        figures
    }

    fn advice(&self, verdict: Verdict) -> Vec<Advice> {
        let mut advice = Vec::new();
        let drifts = !self.drift.holds(0.0);
        let warm = self.per_kelvin.is_some_and(|slope| !slope.holds(0.0));
        if warm {
            advice.push(Advice::helps("Set the offset, and home before a print, at the same temperature: the position follows the warmth."));
        } else if drifts {
            advice.push(Advice::helps("Let it warm up or settle before the offset is set: the position drifted during these trials. Look for a loose screw too."));
        }
        if let Some(gauge) = &self.gauge {
            let larger = gauge.between_days.max(gauge.between_runs);
            if larger > gauge.repeatability.value {
                advice.push(Advice::in_vain("Averaging more touches of one homing would not help: most of the scatter comes from homing anew or switching on."));
                advice.push(Advice::helps("Look at what moves between homings: play of the carriage, the seat of the switch, the motor's step at which it stops."));
            } else if verdict != Verdict::Holds {
                advice.push(Advice::helps(
                    "Take the mean of several touches: scatter within one homing is the larger part.",
                ));
            }
        } else if verdict != Verdict::Holds {
            advice.push(Advice::helps("Name homing and run of each trial: then the part that averaging takes away can be told from the part that it does not."));
        }
        if !self.outliers.is_empty() {
            advice.push(Advice::helps("Find out what happened at the outliers: a cable that pulls, filament on the nozzle, a touch beside the plate."));
            advice.push(Advice::in_vain(
                "Leaving the outliers out of the sum makes the number better, not the printer.",
            ));
        }
        if verdict == Verdict::NotShown {
            advice.push(self.more());
        }
        advice
    }

    /// How many times as large a study parts the bounds of the uncertainty from the limit, if the scatter stays as estimated;
    /// nothing where twenty times as many would not.
    fn times_to_judge(&self) -> Option<f64> {
        let allowed = self.ask.allowed.base() * 1e3;
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
            Verdict::at_most(bounds[0], bounds[1], allowed) != Verdict::NotShown
        })
    }

    /// What to measure before the verdict can be told.
    fn more(&self) -> Advice {
        let Some(times) = self.times_to_judge() else {
            return Advice::in_vain(
                "Measuring more would hardly part it from the limit: it lies too near. Allow more, or lessen what makes it up.",
            );
        };
        Advice::helps(match self.gauge {
            Some(_) => format!(
                "Measure again with {times} times as many runs and homings: the scatter between them is too uncertain to judge."
            ),
            None => format!(
                "Measure again, about {:.0} trials: the scatter itself is too uncertain to judge.",
                times * self.values.len() as f64
            ),
        })
    }

    fn tables(&self) -> Vec<Table> {
        let total: f64 = self.terms.iter().map(|t| t.standard.powi(2)).sum();
        let rows = self.terms.iter().map(|term| {
            let share: Value<Ratio> = Value::exact(percent(100.0 * term.standard.powi(2) / total));
            vec![
                term.what.to_owned(),
                short(term.standard),
                share.to_string(),
                if term.freedom.is_finite() {
                    format!("{:.0}", term.freedom)
                } else {
                    "known bound".to_owned()
                },
            ]
        });
        let mut tables = vec![Table::of(
            "Uncertainty of the offset for one homing",
            &[
                "from",
                "standard uncertainty",
                "share of the variance",
                "degrees of freedom",
            ],
            rows,
        )];
        if !self.outliers.is_empty() {
            let rows = self.outliers.iter().map(|o| {
                vec![
                    format!("{}", o.at + 1),
                    short(self.values[o.at]),
                    format!("{:.2}", o.score),
                    format!("{:.2}", o.critical),
                ]
            });
            tables.push(Table::of(
                "Outliers by Rosner's test at 5 %",
                &["trial", "value", "deviations from the mean", "critical"],
                rows,
            ));
        }
        tables
    }

    fn chart(&self) -> Plot {
        let is_out = |at: &usize| self.outliers.iter().any(|o| o.at == *at);
        let points = |out: bool| {
            (0..self.values.len())
                .filter(|at| is_out(at) == out)
                .map(|at| [at as f64 + 1.0, self.values[at] - self.mean.value])
                .collect()
        };
        let series = |name: &str, out: bool| Series {
            name: name.into(),
            points: points(out),
            dots: true,
        };
        let mark = |name: &str, at: f64| Mark {
            name: name.into(),
            at,
            upright: false,
        };
        let mut all = vec![series("trials", false)];
        if !self.outliers.is_empty() {
            all.push(series("outliers", true));
        }
        Plot {
            title: "Trials in their order".into(),
            x: "trial".into(),
            y: "position less mean, mm".into(),
            series: all,
            marks: vec![
                mark("next trial, upper", self.next.high - self.mean.value),
                mark("next trial, lower", self.next.low - self.mean.value),
            ],
            logarithmic: [false, false],
        }
    }

    /// Counts in classes, by the rule of Freedman and Diaconis, as a stepped line.
    fn histogram(&self) -> Plot {
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
        Plot {
            title: "How often each position came".into(),
            x: "position less mean, mm".into(),
            y: "trials".into(),
            series: vec![Series {
                name: "trials in a class".into(),
                points,
                dots: false,
            }],
            marks: Vec::new(),
            logarithmic: [false, false],
        }
    }

    fn troubles(&self) -> Vec<Trouble> {
        let mut troubles = Vec::new();
        let (memory, chance) = self.memory;
        // Touches of one homing resemble each other, and the gauge study counts with that.
        if chance < MEMORY && self.gauge.is_none() {
            troubles.push(Trouble::of_all(format!(
                "a trial resembles the one before (correlation {memory:.2}): the trials are not independent, and intervals are too narrow"
            )));
        }
        for outlier in &self.outliers {
            let line = self.trials[outlier.at].line;
            let what = format!(
                "stands out: {:.1} standard deviations from the mean of the others; it is counted all the same",
                outlier.score
            );
            troubles.push(if line > 0 {
                Trouble::at(line, what)
            } else {
                Trouble::of_all(what)
            });
        }
        if let Some(warming) = self.ask.warming
            && self.per_kelvin.is_none()
        {
            let warming: Value<TemperatureInterval> = Value::exact(kelvin(warming.base()));
            troubles.push(Trouble::of_all(format!(
                "the trials hold no temperatures that differ: what a warming of {warming} does to the offset is not known and not counted"
            )));
        }
        troubles
    }
}

fn length(estimate: Estimate) -> AnyValue {
    let value: Value<Length> = estimate.of(millimetre);
    value.into()
}

fn short(length: f64) -> String {
    Value::exact(millimetre(length)).to_string()
}

//! Repeatability told: verdict for the offset, scatter, drift, outliers, the gauge study, a run chart and a histogram.

use quantity::Value;
use quantity::si::{Ratio, millimetre, percent};
use statistics::{Gauge, Outlier};

use super::{LEAST, Repeatability, Source, Term};
use crate::Refused;
use crate::lengths::{exact, in_millimetres, interval, told_in_millimetres};
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Table, Trouble, Verdict};

/// Below this chance a correlation of neighbours is taken as one.
const MEMORY: f64 = 0.01;

pub(super) fn no_position(line: u64) -> Refused {
    Refused::new(
        format!("line {line} holds no position"),
        "write where it triggered in millimetres, or leave the line out",
    )
}

pub(super) fn too_few(trials: usize) -> Refused {
    Refused::new(
        format!("{trials} trials are too few to tell a scatter"),
        format!("measure at least {LEAST} times, better 30"),
    )
}

pub(super) fn no_limit() -> Refused {
    Refused::new(
        "the largest error that the offset may have is not above zero",
        "write it as a length, such as \"0.05 mm\"",
    )
}

pub(super) fn all_alike() -> Refused {
    Refused::new(
        "all trials have one and the same value",
        "report more digits, or look whether the value was measured each time: a reading that cannot change says nothing",
    )
}

impl Repeatability {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = self.verdict();
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
            Verdict::Pass => "within",
            Verdict::Fail => "more than",
            _ => "not shown to be within",
        };
        format!(
            "A single trial scatters with a standard deviation of {}; an offset set from these {} trials is then good to ± {} at 95 %, {judged} the {} allowed.",
            told_in_millimetres(self.gauge.map_or(self.deviation, |gauge| gauge.single)),
            self.values.len(),
            told_in_millimetres(self.expanded),
            Value::exact(self.ask.allowed),
        )
    }

    fn figures(&self) -> Vec<Figure> {
        let mut figures = vec![
            Figure::plain(
                "offset-uncertainty",
                "uncertainty of the offset at 95 %, with the bounds of the scatter behind it",
                self.expanded.of(millimetre),
            ),
            self.deviation_figure(),
            interval("mean", "mean of the trials", self.mean),
            interval("next", "where the next single trial will lie", self.next),
            interval("drift", "drift from the first to the last trial", self.drift),
        ];
        let more = [
            ("bias", "mean less reference", self.bias),
            ("drift-per-hour", "drift in an hour", self.drift_per_hour),
            ("per-kelvin", "change for each kelvin", self.per_kelvin),
        ];
        figures.extend(
            more.into_iter()
                .filter_map(|(id, what, own)| Some(interval(id, what, own?))),
        );
        figures.extend(self.gauge.iter().flat_map(gauge_figures));
        if !self.outliers.is_empty() {
            figures.push(exact(
                "deviation-without-outliers",
                "standard deviation without the outliers, for comparison only",
                self.without_outliers,
            ));
        }
        figures
    }

    /// Trials of one homing are not independent: where there is a gauge study, it has the interval.
    fn deviation_figure(&self) -> Figure {
        let what = "standard deviation of all trials";
        match self.gauge {
            None => interval("deviation", what, self.deviation),
            Some(_) => exact(
                "deviation",
                format!("{what} about their mean"),
                self.deviation.value,
            ),
        }
    }

    fn advice(&self, verdict: Verdict) -> Vec<Advice> {
        let mut advice = Vec::new();
        let warm = self.per_kelvin.is_some_and(|slope| !slope.holds(0.0));
        if warm {
            advice.push(Advice::helps("Set the offset, and home before a print, at the same temperature: the position follows the warmth."));
        } else if !self.drift.holds(0.0) {
            advice.push(Advice::helps("Let it warm up or settle before the offset is set: the position drifted during these trials. Look for a loose screw too."));
        }
        advice.extend(self.advice_on_averaging(verdict));
        if !self.outliers.is_empty() {
            advice.push(Advice::helps("Find out what happened at the outliers: a cable that pulls, filament on the nozzle, a touch beside the plate."));
            advice.push(Advice::in_vain(
                "Leaving the outliers out of the sum makes the number better, not the printer.",
            ));
        }
        if verdict == Verdict::Open {
            advice.push(self.more());
        }
        advice
    }

    /// Whether the mean of several touches would help.
    fn advice_on_averaging(&self, verdict: Verdict) -> Vec<Advice> {
        match &self.gauge {
            Some(gauge) if gauge.between_days.max(gauge.between_runs) > gauge.repeatability.value => vec![
                Advice::in_vain(
                    "Averaging more touches of one homing would not help: most of the scatter comes from homing anew or switching on.",
                ),
                Advice::helps(
                    "Look at what moves between homings: play of the carriage, the seat of the switch, the motor's step at which it stops.",
                ),
            ],
            _ if verdict == Verdict::Pass => Vec::new(),
            Some(_) => vec![Advice::helps(
                "Take the mean of several touches: scatter within one homing is the larger part.",
            )],
            None => vec![Advice::helps(
                "Name homing and run of each trial: then the part that averaging takes away can be told from the part that it does not.",
            )],
        }
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
        let terms = Table::of(
            "Uncertainty of the offset for one homing",
            &[
                "from",
                "standard uncertainty",
                "share of the variance",
                "degrees of freedom",
            ],
            self.terms.iter().map(|term| term_row(term, total)),
        );
        let outliers = (!self.outliers.is_empty()).then(|| {
            Table::of(
                "Outliers by Rosner's test at 5 %",
                &["trial", "value", "deviations from the mean", "critical"],
                self.outliers.iter().map(|own| self.outlier_row(own)),
            )
        });
        [terms].into_iter().chain(outliers).collect()
    }

    fn outlier_row(&self, outlier: &Outlier) -> Vec<String> {
        vec![
            format!("{}", outlier.at + 1),
            in_millimetres(self.values[outlier.at]),
            format!("{:.2}", outlier.score),
            format!("{:.2}", outlier.critical),
        ]
    }

    fn chart(&self) -> Plot {
        let mut series = vec![Series::dots("trials", self.in_order(false))];
        if !self.outliers.is_empty() {
            series.push(Series::dots("outliers", self.in_order(true)));
        }
        Plot::new(
            "Trials in their order",
            ["trial", "position less mean, mm"],
            series,
        )
        .marked([
            Mark::across("next trial, upper", self.next.high - self.mean.value),
            Mark::across("next trial, lower", self.next.low - self.mean.value),
        ])
    }

    fn histogram(&self) -> Plot {
        Plot::new(
            "How often each position came",
            ["position less mean, mm", "trials"],
            vec![Series::line("trials in a class", self.classes())],
        )
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
            let warming = Value::exact(warming);
            troubles.push(Trouble::of_all(format!(
                "the trials hold no temperatures that differ: what a warming of {warming} does to the offset is not known and not counted"
            )));
        }
        troubles
    }
}

fn gauge_figures(gauge: &Gauge) -> Vec<Figure> {
    let mut figures = vec![
        interval(
            "gauge-repeatability",
            "within one homing, standard deviation",
            gauge.repeatability,
        ),
        interval(
            "gauge-single",
            "single trial of any homing and run, standard deviation",
            gauge.single,
        ),
    ];
    if gauge.days.is_some() {
        figures.push(exact(
            "gauge-between-homings",
            "what homing anew adds",
            gauge.between_days,
        ));
    }
    if gauge.runs.is_some() {
        figures.push(exact(
            "gauge-between-runs",
            "what another run adds",
            gauge.between_runs,
        ));
    }
    figures
}

fn term_row(term: &Term, total: f64) -> Vec<String> {
    let share: Value<Ratio> = Value::exact(percent(100.0 * term.standard.powi(2) / total));
    vec![
        term.source.words().to_owned(),
        in_millimetres(term.standard),
        share.to_string(),
        if term.freedom.is_finite() {
            format!("{:.0}", term.freedom)
        } else {
            "known bound".to_owned()
        },
    ]
}

impl Source {
    fn words(self) -> &'static str {
        match self {
            Self::SingleHoming => "scatter of a single homing of any run",
            Self::SingleTrial => "scatter of a single trial",
            Self::Mean => "the mean that the offset was set from",
            Self::Warming => "warming since the offset was set",
        }
    }
}

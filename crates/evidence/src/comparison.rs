//! Two boards on the same machine: is the temperature steadier on one of them, by how much, and is that shown?
//!
//! Readings that follow each other are alike, so a log of a thousand readings is worth far fewer. Differences get their interval from
//! blocks drawn again from each soak; a difference is shown where the interval keeps clear of zero.

use quantity::si::{TemperatureInterval, kelvin};
use quantity::{AnyValue, Number as _, Value};

use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Picture, Plot, Report, Row, Series, Table, Verdict};
use crate::temperature::Analysis;
use crate::{Refused, Trouble};
use statistics::bootstrap::{BlockBootstrap, basic_interval, normal_interval};
use statistics::{
    CONFIDENCE, Estimate, block_length, correlation_time, difference_of_means, interpercentile_range,
};

/// Draws of the resampling.
const DRAWS: usize = 1_000;

/// One board with its log.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// The name of the board.
    pub board: &'a str,
    /// Its log, looked at.
    pub analysis: &'a Analysis,
}

/// What the two logs say about one quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shown {
    /// The interval of the difference keeps clear of zero.
    Different,
    /// The interval lies within what counts as equal.
    Equal,
    /// Neither.
    NotShownToDiffer,
    /// One event on a board: nobody knows how much it would be off the next time.
    NoSpread,
}

/// One quantity on both boards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// A short name in kebab case.
    pub id: &'static str,
    /// What it is.
    pub what: &'static str,
    /// On the first and on the second board.
    pub values: [TemperatureInterval; 2],
    /// Second less first, with its 95 % interval; nothing where one event tells no spread.
    pub difference: Option<Value<TemperatureInterval>>,
    /// What is shown.
    pub shown: Shown,
}

/// Two logs side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The names of the boards.
    pub boards: [String; 2],
    /// What the heater is called.
    pub name: String,
    /// Swing, noise, overshoot.
    pub differences: Vec<Difference>,
    /// Within how much two values count as equal.
    pub equal_within: TemperatureInterval,
    /// What stands in the way of a fair comparison.
    pub troubles: Vec<Trouble>,
    readings: [Vec<[f64; 2]>; 2],
}

/// Compares two logs of one heater.
///
/// - `equal_within`: a difference that nobody would mind, such as 0.1 K.
///
/// # Errors
/// [`Refused`] where one of the logs has no soak.
pub fn compare(
    first: Side<'_>,
    second: Side<'_>,
    equal_within: TemperatureInterval,
) -> Result<Comparison, Refused> {
    let soak = |side: Side<'_>| {
        side.analysis.swing.clone().map_err(|refused| {
            Refused::new(
                format!(
                    "the log of {} cannot be compared: {}",
                    side.board, refused.problem
                ),
                refused.mend,
            )
        })
    };
    let (one, two) = (soak(first)?, soak(second)?);
    let mut differences = vec![
        drawn_again(
            "deviation",
            "standard deviation of the reading",
            &one.readings,
            &two.readings,
            equal_within,
            deviation,
        ),
        drawn_again(
            "width",
            "width of the band with 99 % of the readings",
            &one.readings,
            &two.readings,
            equal_within,
            interpercentile_range,
        ),
        of_values(
            "noise",
            "white noise of sensor and input",
            one.noise,
            two.noise,
            equal_within,
        ),
    ];
    differences.extend(of_events(
        [&first.analysis.overshoots, &second.analysis.overshoots],
        equal_within,
    ));
    let mut troubles = Vec::new();
    let [warm, other] = [first, second].map(|side| side.analysis.wanted().base());
    if (warm - other).abs() > 5.0 {
        troubles.push(Trouble::of_all(format!(
            "the targets differ ({:.0} °C and {:.0} °C): noise in kelvin depends on the temperature",
            warm - 273.15,
            other - 273.15
        )));
    }
    let start = |readings: &[f64], step: f64| -> Vec<[f64; 2]> {
        let mean = readings.iter().sum::<f64>() / readings.len() as f64;
        let few = readings.len().min(400);
        (0..few)
            .map(|at| [at as f64 * step, readings[at] - mean])
            .collect()
    };
    Ok(Comparison {
        boards: [first, second].map(|side| side.board.to_owned()),
        name: first.analysis.ask.name.clone(),
        differences,
        equal_within,
        troubles,
        readings: [
            start(&one.readings, one.reading_step),
            start(&two.readings, two.reading_step),
        ],
    })
}

fn deviation(values: &mut [f64]) -> f64 {
    statistics::standard_deviation(values)
}

/// The difference of a statistic of two series, second less first, with its interval.
///
/// # Source
/// As [`basic_interval`] and [`BlockBootstrap`].
#[must_use]
pub fn difference(first: &[f64], second: &[f64], statistic: impl Fn(&mut [f64]) -> f64) -> Estimate {
    let (estimate, mut draws) = draws(first, second, statistic);
    basic_interval(estimate, &mut draws, CONFIDENCE)
}

/// The difference of a statistic, second less first, and draws of it.
fn draws(first: &[f64], second: &[f64], statistic: impl Fn(&mut [f64]) -> f64) -> (f64, Vec<f64>) {
    let (mut at, mut drawn) = (Vec::new(), Vec::new());
    let mut draws_of = |series: &[f64], seed: u64| -> (f64, Vec<f64>) {
        let block = block_length(series.len(), correlation_time(series));
        let mut bootstrap = BlockBootstrap::new(series.len(), block, seed);
        let draws = (0..DRAWS)
            .map(|_| {
                bootstrap.draw(&mut at);
                drawn.clear();
                drawn.extend(at.iter().map(|at| series[*at]));
                statistic(&mut drawn)
            })
            .collect();
        (statistic(&mut series.to_vec()), draws)
    };
    let (one, draws_one) = draws_of(first, 1);
    let (two, draws_two) = draws_of(second, 2);
    let draws = draws_one.iter().zip(&draws_two).map(|(one, two)| two - one);
    (two - one, draws.collect())
}

fn drawn_again(
    id: &'static str,
    what: &'static str,
    first: &[f64],
    second: &[f64],
    equal_within: TemperatureInterval,
    statistic: fn(&mut [f64]) -> f64,
) -> Difference {
    let (estimate, mut draws) = draws(first, second, statistic);
    let found = if id == "width" {
        normal_interval(estimate, &draws, CONFIDENCE)
    } else {
        basic_interval(estimate, &mut draws, CONFIDENCE)
    };
    let difference = Value::between(kelvin(found.low), kelvin(found.value), kelvin(found.high));
    Difference {
        id,
        what,
        values: [
            kelvin(statistic(&mut first.to_vec())),
            kelvin(statistic(&mut second.to_vec())),
        ],
        shown: shown(difference, equal_within),
        difference: Some(difference),
    }
}

/// The difference of two independent values; their intervals add by squares on each side.
fn of_values(
    id: &'static str,
    what: &'static str,
    one: Value<TemperatureInterval>,
    two: Value<TemperatureInterval>,
    equal_within: TemperatureInterval,
) -> Difference {
    let parts = |value: Value<TemperatureInterval>| {
        let middle = value.nominal().base();
        (middle, middle - value.low().base(), value.high().base() - middle)
    };
    let ((first, below, above), (second, below_two, above_two)) = (parts(one), parts(two));
    let middle = second - first;
    let difference = Value::between(
        kelvin(middle - below_two.hypot(above)),
        kelvin(middle),
        kelvin(middle + above_two.hypot(below)),
    );
    Difference {
        id,
        what,
        values: [kelvin(first), kelvin(second)],
        difference: Some(difference),
        shown: shown(difference, equal_within),
    }
}

/// The difference of mean overshoots, where both logs have some.
fn of_events(
    boards: [&Vec<TemperatureInterval>; 2],
    equal_within: TemperatureInterval,
) -> Option<Difference> {
    let [one, two] = boards.map(|events| {
        let events: Vec<f64> = events.iter().map(|own| own.base()).collect();
        let mean = events.iter().sum::<f64>() / events.len() as f64;
        (mean, statistics::standard_deviation(&events), events.len())
    });
    let fewest = one.2.min(two.2);
    if fewest == 0 {
        return None;
    }
    let difference = (fewest > 1).then(|| difference_of_means([one, two], CONFIDENCE).of(kelvin));
    Some(Difference {
        id: "overshoot",
        what: if fewest > 1 {
            "overshoot, mean of the heat-ups"
        } else {
            "overshoot after the heat-up"
        },
        values: [kelvin(one.0), kelvin(two.0)],
        shown: difference.map_or(Shown::NoSpread, |difference| shown(difference, equal_within)),
        difference,
    })
}

fn shown(difference: Value<TemperatureInterval>, equal_within: TemperatureInterval) -> Shown {
    let (low, high, limit) = (
        difference.low().base(),
        difference.high().base(),
        equal_within.base(),
    );
    // A difference that is shown but that nobody would mind is called equal.
    if low >= -limit && high <= limit {
        Shown::Equal
    } else if low > 0.0 || high < 0.0 {
        Shown::Different
    } else {
        Shown::NotShownToDiffer
    }
}

impl Comparison {
    /// Whether the second board is shown to hold the temperature no worse.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let Some(main) = self.differences.first() else {
            return Verdict::NotShown;
        };
        let better = main
            .difference
            .is_some_and(|difference| difference.nominal().base() < 0.0);
        match (main.shown, better) {
            (Shown::Equal, _) | (Shown::Different, true) => Verdict::Holds,
            (Shown::Different, false) => Verdict::Fails,
            (Shown::NotShownToDiffer | Shown::NoSpread, _) => Verdict::NotShown,
        }
    }

    fn words(&self, difference: &Difference) -> String {
        match difference.shown {
            Shown::Different => "different".to_owned(),
            Shown::Equal => format!("equal within {}", size(self.equal_within)),
            Shown::NotShownToDiffer => "not shown to differ".to_owned(),
            Shown::NoSpread => {
                "not told: one heat-up on a board tells no spread; log three or more on each".to_owned()
            }
        }
    }

    fn sentence(&self) -> String {
        let [first, second] = &self.boards;
        let Some(main) = self.differences.first() else {
            return String::new();
        };
        let [one, two] = main.values;
        let said = match (main.shown, two < one) {
            (Shown::Different, true) => format!("{second} holds it steadier than {first}"),
            (Shown::Different, false) => format!("{second} holds it less steadily than {first}"),
            (Shown::Equal, _) => format!(
                "{first} and {second} are equal within {}",
                size(self.equal_within)
            ),
            (Shown::NotShownToDiffer | Shown::NoSpread, _) => {
                format!("{first} and {second} are not shown to differ; longer logs would decide")
            }
        };
        format!(
            "{said}: the standard deviation is {} and {}.",
            size(one),
            size(two)
        )
    }

    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let [first, second] = &self.boards;
        let figures = self.differences.iter().filter_map(|own| {
            Some(Figure {
                id: own.id,
                what: format!("{}, {second} less {first}", own.what),
                value: AnyValue::from(own.difference?),
                bare: false,
                confidence: Some(CONFIDENCE),
                working: None,
            })
        });
        let rows = self.differences.iter().map(|own| Row {
            cells: vec![
                own.what.to_owned(),
                size(own.values[0]),
                size(own.values[1]),
                self.words(own),
            ],
            chosen: false,
        });
        let advice = (self.verdict() == Verdict::NotShown).then(|| Advice {
            sentence: "a soak of half an hour on each board, on the same day, at the same target".to_owned(),
            helps: true,
        });
        let series = self
            .boards
            .iter()
            .zip(&self.readings)
            .map(|(board, points)| Series {
                name: board.clone(),
                points: points.clone(),
                dots: false,
            });
        let of = if self.name.is_empty() {
            String::new()
        } else {
            format!(" of the {}", self.name)
        };
        Report {
            title: format!("Temperature{of}: {first} and {second}"),
            verdict: self.verdict(),
            sentence: self.sentence(),
            figures: figures.collect(),
            advice: advice.into_iter().collect(),
            tables: vec![Table {
                title: "Side by side".to_owned(),
                columns: vec![
                    "what".to_owned(),
                    first.clone(),
                    second.clone(),
                    "shown".to_owned(),
                ],
                rows: rows.collect(),
            }],
            pictures: vec![Picture::Plot(Plot {
                title: "Start of the soaks, around their means".to_owned(),
                x: "time, s".to_owned(),
                y: "reading less mean, K".to_owned(),
                series: series.collect(),
                marks: Vec::new(),
                logarithmic: [false, false],
            })],
            troubles: self.troubles.clone(),
            sources: vec![
                "politis-romano-1992",
                "nist-handbook",
                "davison-hinkley-1997",
                "kuensch-1989",
                "geyer-1992",
            ],
        }
    }
}

fn size(value: TemperatureInterval) -> String {
    format!("{:.3} K", value.base())
}

//! Two boards on the same machine: is the temperature steadier on one of them, by how much, and is that shown?
//!
//! Readings that follow each other are alike, so a log of a thousand readings is worth far fewer. Differences get their interval from
//! blocks drawn again from each soak; a difference is shown where the interval keeps clear of zero.

mod words;

use quantity::si::{TemperatureInterval, kelvin};
use quantity::{Number as _, Value};
use statistics::bootstrap::{BlockBootstrap, basic_interval, normal_interval};
use statistics::{
    CONFIDENCE, Estimate, block_length, correlation_time, difference_of_means, interpercentile_range,
    standard_deviation,
};

use crate::quantities::{InUnit as _, in_celsius};
use crate::temperature::{Analysis, Swing};
use crate::{Refused, Trouble, Verdict};

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

/// What is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Compared {
    /// How far from the target 99 % of the readings stay: what each log is judged by.
    Farthest,
    /// Standard deviation of the reading.
    Deviation,
    /// Width of the band with 99 % of the readings.
    Width,
    /// White noise of sensor and input.
    Noise,
    /// Overshoot after a heat-up, the mean of several.
    Overshoot,
}

/// One quantity on both boards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// What it is.
    pub of: Compared,
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
    let soaks = [soak(first)?, soak(second)?];
    let events = [first, second].map(|side| &side.analysis.overshoots);
    Ok(Comparison {
        boards: [first, second].map(|side| side.board.to_owned()),
        name: first.analysis.ask.name.clone(),
        differences: differences(soaks, events, equal_within),
        equal_within,
        troubles: troubles([first, second]),
        readings: soaks.map(beginning),
    })
}

fn soak(side: Side<'_>) -> Result<&Swing, Refused> {
    if side.analysis.scale_in_doubt {
        return Err(words::scale_in_doubt(side.board));
    }
    let found = side.analysis.swing.as_ref();
    found.map_err(|refused| words::no_soak(side.board, refused))
}

fn differences(
    soaks: [&Swing; 2],
    overshoots: [&Vec<TemperatureInterval>; 2],
    equal_within: TemperatureInterval,
) -> Vec<Difference> {
    let readings = soaks.map(|soak| &soak.readings[..]);
    let mut found = vec![
        of_sizes(Compared::Farthest, soaks.map(|soak| soak.farthest), equal_within),
        drawn_again(Compared::Width, readings, equal_within),
        drawn_again(Compared::Deviation, readings, equal_within),
        of_sizes(Compared::Noise, soaks.map(|soak| soak.noise), equal_within),
    ];
    found.extend(of_events(overshoots, equal_within));
    found
}

/// Targets farther apart than this make another noise, K.
const OTHER_TARGET: f64 = 5.0;

fn troubles(sides: [Side<'_>; 2]) -> Vec<Trouble> {
    let targets = sides.map(|side| in_celsius(side.analysis.wanted()));
    let differ = (targets[0] - targets[1]).abs() > OTHER_TARGET;
    differ.then(|| words::other_target(targets)).into_iter().collect()
}

/// The beginning of a soak, around its mean: seconds, kelvin.
fn beginning(soak: &Swing) -> Vec<[f64; 2]> {
    let readings = &soak.readings;
    let mean = readings.iter().sum::<f64>() / readings.len() as f64;
    let few = readings.iter().take(400).enumerate();
    few.map(|(at, reading)| [at as f64 * soak.reading_step, reading - mean])
        .collect()
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
    let mut drawn = Vec::new();
    let mut draws_of = |series: &[f64], seed: u64| -> (f64, Vec<f64>) {
        let block = block_length(series.len(), correlation_time(series));
        let mut bootstrap = BlockBootstrap::new(series.len(), block, seed);
        let draws = (0..DRAWS)
            .map(|_| {
                bootstrap.draw(series, &mut drawn);
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

fn drawn_again(of: Compared, readings: [&[f64]; 2], equal_within: TemperatureInterval) -> Difference {
    let [first, second] = readings;
    let statistic: fn(&mut [f64]) -> f64 = match of {
        Compared::Width => interpercentile_range,
        _ => |values| standard_deviation(values),
    };
    let (estimate, mut draws) = draws(first, second, statistic);
    let found = match of {
        Compared::Width => normal_interval(estimate, &draws, CONFIDENCE),
        _ => basic_interval(estimate, &mut draws, CONFIDENCE),
    };
    let difference = found.of(kelvin);
    Difference {
        of,
        values: readings.map(|values| kelvin(statistic(&mut values.to_vec()))),
        shown: shown(difference, equal_within),
        difference: Some(difference),
    }
}

/// The difference of two independent values; their intervals add by squares on each side.
fn of_sizes(
    of: Compared,
    sizes: [Value<TemperatureInterval>; 2],
    equal_within: TemperatureInterval,
) -> Difference {
    let parts = |value: Value<TemperatureInterval>| {
        let middle = value.nominal().base();
        (middle, middle - value.low().base(), value.high().base() - middle)
    };
    let [(first, below, above), (second, below_two, above_two)] = sizes.map(parts);
    let middle = second - first;
    let difference = Value::between(
        kelvin(middle - below_two.hypot(above)),
        kelvin(middle),
        kelvin(middle + above_two.hypot(below)),
    );
    Difference {
        of,
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
        (mean, standard_deviation(&events), events.len())
    });
    let fewest = one.2.min(two.2);
    if fewest == 0 {
        return None;
    }
    let difference = (fewest > 1).then(|| difference_of_means([one, two], CONFIDENCE).of(kelvin));
    Some(Difference {
        of: Compared::Overshoot,
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

impl Compared {
    /// A short name in kebab case.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Farthest => "farthest",
            Self::Deviation => "deviation",
            Self::Width => "width",
            Self::Noise => "noise",
            Self::Overshoot => "overshoot",
        }
    }
}

impl Comparison {
    /// The quantity that decides: how near to the target each log stays, which is what it is judged by; where that is not shown to differ,
    /// the width, if that does.
    #[must_use]
    pub fn main(&self) -> Option<&Difference> {
        let of = |of: Compared| self.differences.iter().find(|own| own.of == of);
        let farthest = of(Compared::Farthest)?;
        let width = of(Compared::Width).filter(|own| own.shown == Shown::Different);
        match farthest.shown {
            Shown::Different => Some(farthest),
            _ => width.or(Some(farthest)),
        }
    }

    /// Whether the second board is shown to hold the temperature no worse.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let Some(main) = self.main() else {
            return Verdict::Open;
        };
        let better = main
            .difference
            .is_some_and(|difference| difference.nominal().base() < 0.0);
        match (main.shown, better) {
            (Shown::Equal, _) | (Shown::Different, true) => Verdict::Pass,
            (Shown::Different, false) => Verdict::Fail,
            (Shown::NotShownToDiffer | Shown::NoSpread, _) => Verdict::Open,
        }
    }
}

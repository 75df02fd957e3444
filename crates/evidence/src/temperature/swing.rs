//! The swing of a soak, taken apart: control, sensor noise, steps of the input, drift, pick-up.
//!
//! All parts are variances of the reading around its mean, so that they can be summed. Above the drift the split is made by frequency:
//! what the identified process makes of the duty is control; narrow lines in the rest are pick-up (a mains or PWM frequency shows at its
//! alias); the level floor of the rest is noise, of which the steps of the input have `q²/12`. That holds where the noise is wider than some
//! half of a step; where it is not, it is told from how readings jump between levels, or said to be hidden.

mod allan;
mod coherence;
mod lines;
mod parts;
mod resampling;
mod rounded;
mod soak;
mod spectra;
pub mod steps;

use physics::control;
use quantity::si::{Frequency, Ratio, TemperatureInterval, Time, kelvin};
use quantity::{Number as _, Value};
use statistics::spectrum::Spectrum;

pub use self::coherence::Coherence;
use self::parts::told;
use self::soak::Soak;
use self::spectra::Spectra;
use self::steps::{Levels, levels};
use super::phases::Span;
use super::process::Process;
use super::view::View;
use super::words;
use crate::Refused;
use crate::digits::written_degrees;
use crate::quantities::InUnit as _;
use crate::read::{Channel, Log};

/// Bins below this one are drift.
const DRIFT_BINS: usize = 3;
/// A soak needs so many samples.
pub(super) const FEWEST: usize = 120;
/// Samples that the detection of steps and the resampling look at.
const LOOKED_AT: usize = 20_000;
/// Where a part of the swing comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// What the duty moved.
    Control,
    /// White noise of sensor and input.
    Noise,
    /// Steps of the input.
    Steps,
    /// Slow change.
    Drift,
    /// Narrow lines that the duty did not make.
    PickUp,
    /// A regular swing that control or pick-up may make: the log does not tell which.
    Regular,
    /// What none of these explains.
    Rest,
}

/// How the white noise was told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoiseFrom {
    /// From the level floor of the spectrum, less `q²/12` of the steps.
    Floor,
    /// From how readings jump between the levels of steps that are coarser than it, by likelihood.
    Jumps,
    /// Hidden by the steps: the interval begins at nothing.
    Hidden,
}

/// A part of the swing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Where it comes from.
    pub cause: Cause,
    /// Its size, root mean square.
    pub size: TemperatureInterval,
    /// Its share of the variance.
    pub share: Ratio,
}

/// A narrow line of the spectrum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Where it shows; its true frequency may be an alias away.
    pub frequency: Frequency,
    /// Its size, root mean square.
    pub size: TemperatureInterval,
    /// [`Cause::PickUp`], or [`Cause::Regular`] where control may make it as well.
    pub cause: Cause,
}

/// The swing of a soak.
#[derive(Clone, Debug, PartialEq)]
pub struct Swing {
    /// From where to where in the log.
    pub start: Time,
    /// See `start`.
    pub end: Time,
    /// How many samples.
    pub samples: usize,
    /// Mean reading less target, with its 95 % interval; around 0 K where there is no target.
    pub offset: Value<TemperatureInterval>,
    /// How far from the target 99 % of the readings stay at most, with its 95 % interval: offset and width together.
    pub farthest: Value<TemperatureInterval>,
    /// Standard deviation of the reading, with its 95 % interval.
    pub deviation: Value<TemperatureInterval>,
    /// Width of the band that holds 99 % of the readings, with its 95 % interval.
    pub width: Value<TemperatureInterval>,
    /// The parts, the largest first.
    pub parts: Vec<Part>,
    /// White noise before the steps, with its 95 % interval.
    pub noise: Value<TemperatureInterval>,
    /// How that was told.
    pub noise_from: NoiseFrom,
    /// The step of the input, where one was seen.
    pub levels: Option<Levels>,
    /// The step of the digits in which the log is written, by which a reading may be off by half; 0 K where it is finer than 0.01 K.
    pub digits: TemperatureInterval,
    /// Lines, the strongest first.
    pub lines: Vec<Line>,
    /// Whether the identified process told what the duty moved; else a regular swing may be control or pick-up.
    pub by_process: bool,
    /// Whether the heater was switched on and off, nothing between both.
    pub is_switched: bool,
    /// Whether the log has the duty.
    pub has_duty: bool,
    /// Coherence of reading and duty; nothing where the log has no duty, or too few stretches for a mean.
    pub coherence: Option<Coherence>,
    /// The period at which the identified process just oscillates under proportional control; nothing where there is no process.
    pub period: Option<Time>,
    /// Spectra of the reading and of what the duty moved: frequency (Hz), density (K²/Hz).
    pub(crate) spectra: (Spectrum, Option<Spectrum>),
    /// Allan deviation: time (s), K.
    pub(crate) allan: Vec<[f64; 2]>,
    /// Readings of the soak, few enough to draw from again, °C; and the time between them, s.
    pub(crate) readings: Vec<f64>,
    pub(crate) reading_step: f64,
}

impl Swing {
    /// A part by its cause; nothing where it is not there.
    #[must_use]
    pub fn part(&self, cause: Cause) -> Option<&Part> {
        self.parts.iter().find(|part| part.cause == cause)
    }
    /// The step of the input.
    #[must_use]
    pub fn step(&self) -> Option<TemperatureInterval> {
        self.levels.map(|levels| kelvin(levels.step))
    }
    /// The coherence where it decides. Where the process tells what the duty moved, it does not: a duty that follows pick-up is as coherent with
    /// the reading as one that makes it.
    #[must_use]
    pub fn deciding_coherence(&self) -> Option<&Coherence> {
        self.coherence.as_ref().filter(|_| !self.by_process)
    }
    /// The mean reading, °C.
    pub(super) fn level(&self) -> f64 {
        self.readings.iter().sum::<f64>() / self.readings.len() as f64
    }
    /// Whether the mean lies beside the target by more than the readings swing.
    #[must_use]
    pub fn is_beside(&self) -> bool {
        self.offset.nominal().base().abs() > self.width.nominal().base() / 2.0
    }
}

/// Takes the longest soak apart.
pub(super) fn split(
    log: &Log,
    channel: &Channel,
    view: &View,
    spans: &[Span],
    process: Option<&Process>,
) -> Result<Swing, Refused> {
    let soak = Soak::longest(log, channel, view, spans).ok_or_else(words::no_soak)?;
    if soak.count < FEWEST {
        return Err(words::short_soak(soak.count));
    }
    let spectra = Spectra::of(&soak, process).ok_or_else(words::soak_in_pieces)?;
    let levels = levels(&soak.beginning(LOOKED_AT * 4));
    let readings = soak.thinned(LOOKED_AT);
    let every = channel.measured.len().div_ceil(LOOKED_AT).max(1);
    let sample = channel.measured.iter().step_by(every);
    let sample: Vec<f64> = sample.map(|reading| f64::from(*reading)).collect();
    let digits = written_degrees(sample.iter().copied()).max(step_of_still(&readings, sample));
    let resampled = resampling::resampled(&readings, soak.asked()).rounded(digits);
    let told = told(&spectra, &soak, levels, process.map(steepest));
    let [start, end] = soak.ends();
    Ok(Swing {
        start,
        end,
        samples: soak.count,
        offset: resampled.offset.of(kelvin),
        farthest: resampled.farthest.of(kelvin),
        deviation: resampled.deviation.of(kelvin),
        width: resampled.width.of(kelvin),
        parts: told.parts,
        noise: told.noise,
        noise_from: told.noise_from,
        levels,
        digits: kelvin(digits),
        lines: told.lines,
        by_process: spectra.moved.is_some(),
        is_switched: soak.is_switched,
        has_duty: spectra.has_duty,
        coherence: Coherence::of(&spectra),
        period: process.and_then(period),
        allan: allan::deviations(soak.measured(), soak.rate.recip()),
        reading_step: soak.measured().len() as f64 / readings.len() as f64 / soak.rate,
        spectra: (spectra.reading, spectra.moved),
        readings,
    })
}

/// The step of an input whose readings hardly left a level, by the readings of the whole log around it, K: they do not say where between two levels
/// they were. 0 where they tell by themselves, or nothing tells.
fn step_of_still(soak: &[f64], mut all: Vec<f64>) -> f64 {
    let (low, high) = statistics::extremes(soak.iter().copied());
    if soak.iter().any(|own| *own != low && *own != high) {
        return 0.0;
    }
    all.retain(|own| (low - AROUND..=high + AROUND).contains(own));
    all.sort_by(f64::total_cmp);
    all.dedup();
    if all.len() < 3 {
        return 0.0;
    }
    all.windows(2)
        .map(|two| two[1] - two[0])
        .fold(f64::INFINITY, f64::min)
}

/// So far around a level its step is looked for, K: further off a thermistor has another one.
const AROUND: f64 = 10.0;

/// How fast full power heats at most, K/s.
fn steepest(process: &Process) -> f64 {
    process.steepest_rise()
}

/// The period at which a process just oscillates under proportional control.
fn period(process: &Process) -> Option<Time> {
    control::ultimate(&process.model()).map(|own| own.period)
}

//! The swing of a soak, taken apart: control, sensor noise, steps of the input, drift, pick-up.
//!
//! All parts are variances of the reading around its mean, so that they can be summed. Above the drift the split is made by frequency:
//! what the identified process makes of the duty is control; narrow lines in the rest are pick-up (a mains or PWM frequency shows at its
//! alias); the level floor of the rest is noise, of which the steps of the input have `q²/12`. That holds where the noise is wider than some
//! half of a step; where it is not, it is told from how readings jump between levels, or said to be hidden.

use physics::control;
use quantity::Value;
use quantity::si::{Frequency, Ratio, TemperatureInterval, Time, hertz, kelvin, ratio, second};
use quantity::{Number as _, Range};

use super::phases::{Phase, Span};
use super::process::{Process, Runner};
use super::rounded::{self, Rounded, Sample};
use super::steps::{Levels, levels};
use super::view::View;
use crate::Refused;
use crate::read::{Channel, Log};
use statistics::allan::overlapping_allan_deviations;
use statistics::bootstrap::{BlockBootstrap, basic_interval, normal_interval};
use statistics::spectrum::{Spectrum, Welch, coherence_by_chance};
use statistics::{
    CONFIDENCE, Estimate, block_length, chi_squared_quantile, correlation_time, interpercentile_range,
};

/// Bins below this one are drift.
const DRIFT_BINS: usize = 3;
/// A soak needs so many samples.
const FEWEST: usize = 120;
/// Samples that the detection of steps and the resampling look at.
const LOOKED_AT: usize = 20_000;
/// By how much the median of some two dozen bins may be low.
const MEDIAN_MARGIN: f64 = 1.3;
/// Fewer segments tell no coherence: a single one is coherent with anything.
const FEWEST_SEGMENTS: usize = 4;
/// Draws of the resampling.
const DRAWS: usize = 400;

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

impl Cause {
    /// The word on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Control => "control",
            Self::Noise => "sensor noise",
            Self::Steps => "steps of the input",
            Self::Drift => "drift",
            Self::PickUp => "pick-up",
            Self::Regular => "control or pick-up (cannot be told apart here)",
            Self::Rest => "not told apart",
        }
    }
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

/// How far reading and duty swing together, by frequency: 1 where one follows from the other, near 0 where they have nothing in common.
///
/// In a closed loop the duty follows every reading, so coherence is high where pick-up or noise reach the controller, too; what is *not*
/// coherent is not control.
#[derive(Clone, Debug, PartialEq)]
pub struct Coherence {
    /// Where the reading swings most, above the drift.
    pub peak: Frequency,
    /// The coherence there.
    pub at_peak: Ratio,
    /// The mean over all frequencies above the drift, each weighted by how much the reading swings there.
    pub mean: Ratio,
    /// What chance alone exceeds at one frequency in twenty.
    pub by_chance: Ratio,
    /// The stretch of frequencies around the peak in which the coherence is above chance; nothing where it is not so at the peak.
    pub band: Option<Range<Frequency>>,
    /// Frequency (Hz), coherence.
    pub(crate) curve: Vec<[f64; 2]>,
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
    /// Mean reading less target; 0 K where there is no target.
    pub offset: TemperatureInterval,
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
    /// Lines, the strongest first.
    pub lines: Vec<Line>,
    /// Whether the identified process told what the duty moved; else a regular swing may be control or pick-up.
    pub by_process: bool,
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
    /// The band in which 99 % of the readings lie, around their mean: half its width, at the bounds of its interval.
    #[must_use]
    pub fn half_width(&self) -> Range<TemperatureInterval> {
        Range::new(self.width.low() / 2.0, self.width.high() / 2.0)
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
    let (from, to) = longest_soak(view, spans, log).ok_or_else(|| {
        Refused::new(
            "there is no soak in the log",
            "let the heater hold its target for some minutes",
        )
    })?;
    let target = channel
        .target
        .as_ref()
        .map_or(f64::NAN, |target| f64::from(target.at(from)));
    let sums = Sums::of(&channel.measured[from..to]);
    if sums.count < FEWEST {
        return Err(Refused::new(
            format!("the longest soak has {} readings", sums.count),
            format!("at least {FEWEST}: let the heater hold its target for some minutes"),
        ));
    }
    let rate = (to - from - 1) as f64 / (log.time[to - 1] - log.time[from]);
    let segment = segment(sums.count);
    let spectra = spectra(log, channel, (from, to), process, segment, rate).ok_or_else(|| {
        Refused::new(
            "gaps cut the soak into pieces that are too short",
            "a log without gaps of at least some minutes",
        )
    })?;
    let first: Vec<f64> = finite(&channel.measured[from..to]).take(LOOKED_AT * 4).collect();
    let levels = levels(&first);
    let whole = thinned(&channel.measured[from..to]);
    let together = correlation_time(&whole);
    let (deviation, width) = resampled(&whole, block_length(whole.len(), together));
    let period = process
        .and_then(|process| control::ultimate(&process.model()))
        .map(|own| own.period);
    let steepest = process.map(|process| process.gain.high().base() / process.lag.low().base());
    let told = parts(&spectra, sums.variance(), levels, sums.count, steepest);
    Ok(Swing {
        start: second(log.time[from]),
        end: second(log.time[to - 1]),
        samples: sums.count,
        offset: kelvin(if target.is_nan() || target <= 0.0 {
            0.0
        } else {
            sums.mean() - target
        }),
        deviation: interval(deviation),
        width: interval(width),
        parts: told.parts,
        noise: told.noise,
        noise_from: told.noise_from,
        levels,
        lines: told.lines,
        by_process: spectra.moved.is_some() && process.is_some(),
        has_duty: spectra.has_duty,
        coherence: spectra.coherence(),
        period,
        allan: allan(&channel.measured[from..to], 1.0 / rate),
        spectra: (spectra.reading, spectra.moved),
        reading_step: (to - from) as f64 / whole.len() as f64 / rate,
        readings: whole,
    })
}

fn interval(found: Estimate) -> Value<TemperatureInterval> {
    Value::between(
        kelvin(found.low.clamp(0.0, found.value)),
        kelvin(found.value),
        kelvin(found.high.max(found.value)),
    )
}

/// The soak with most samples, in samples of the log, without its beginning, which still settles.
fn longest_soak(view: &View, spans: &[Span], log: &Log) -> Option<(usize, usize)> {
    let sample = |point: usize| view.sample.get(point).copied().unwrap_or(log.len());
    spans
        .iter()
        .filter(|span| span.phase == Phase::Soak)
        .map(|span| {
            let (from, to) = span.points;
            let length = view.time[to - 1] - view.time[from];
            let settled = (length / 5.0).min(300.0);
            let begin = (from..to)
                .find(|at| view.time[*at] - view.time[from] >= settled)
                .unwrap_or(from);
            (sample(begin), sample(to))
        })
        .max_by_key(|(from, to)| to - from)
}

/// A power of two of about a quarter of the soak.
fn segment(count: usize) -> usize {
    let quarter = (count / 4).clamp(32, 8_192);
    1 << quarter.ilog2()
}

fn finite(values: &[f32]) -> impl Iterator<Item = f64> + '_ {
    values
        .iter()
        .filter(|value| value.is_finite())
        .map(|value| f64::from(*value))
}

/// At most so many values over the whole stretch.
fn thinned(values: &[f32]) -> Vec<f64> {
    let every = values.len().div_ceil(LOOKED_AT).max(1);
    finite(values).step_by(every).collect()
}

/// Running sums, around the first value so that no digits are lost.
struct Sums {
    count: usize,
    around: f64,
    sum: f64,
    squares: f64,
}

impl Sums {
    fn of(values: &[f32]) -> Self {
        let around = finite(values).next().unwrap_or(0.0);
        let start = Self {
            count: 0,
            around,
            sum: 0.0,
            squares: 0.0,
        };
        finite(values).fold(start, |mut sums, value| {
            let off = value - around;
            sums.count += 1;
            sums.sum += off;
            sums.squares += off * off;
            sums
        })
    }
    fn mean(&self) -> f64 {
        self.around + self.sum / self.count as f64
    }
    fn variance(&self) -> f64 {
        let mean = self.sum / self.count as f64;
        (self.squares / self.count as f64 - mean * mean).max(0.0)
    }
}

fn deviation(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let count = values.clone().count() as f64;
    let mean = values.clone().sum::<f64>() / count;
    (values.map(|value| (value - mean).powi(2)).sum::<f64>() / (count - 1.0).max(1.0)).sqrt()
}

/// Deviation and width with intervals from blocks drawn again.
fn resampled(values: &[f64], block: usize) -> (Estimate, Estimate) {
    let mut bootstrap = BlockBootstrap::new(values.len(), block, 1);
    let (mut deviations, mut widths) = (Vec::with_capacity(DRAWS), Vec::with_capacity(DRAWS));
    let (mut at, mut drawn) = (Vec::new(), Vec::new());
    for _ in 0..DRAWS {
        bootstrap.draw(&mut at);
        drawn.clear();
        drawn.extend(at.iter().map(|at| values[*at]));
        deviations.push(deviation(drawn.iter().copied()));
        widths.push(interpercentile_range(&mut drawn));
    }
    let own = deviation(values.iter().copied());
    let mut copy = values.to_vec();
    let own_width = interpercentile_range(&mut copy);
    (
        basic_interval(own, &mut deviations, CONFIDENCE),
        normal_interval(own_width, &widths, CONFIDENCE),
    )
}

struct Spectra {
    reading: Spectrum,
    /// What the duty moved, as the process tells.
    moved: Option<Spectrum>,
    /// The reading less that.
    left: Spectrum,
    has_duty: bool,
    /// The first readings of the soak, each with what the duty moved.
    samples: Vec<Sample>,
    /// Of reading and duty, in each bin; 0 without a duty.
    coherent: Vec<f64>,
}

impl Spectra {
    fn coherence(&self) -> Option<Coherence> {
        let bins = self.reading.density.len();
        if !self.has_duty || self.reading.segments < FEWEST_SEGMENTS || bins <= DRIFT_BINS + 1 {
            return None;
        }
        let density = &self.reading.density;
        let inner = DRIFT_BINS..bins - 1;
        let peak = inner
            .clone()
            .max_by(|one, other| density[*one].total_cmp(&density[*other]))?;
        let sum: f64 = density[inner.clone()].iter().sum();
        let weighted: f64 = inner.clone().map(|bin| density[bin] * self.coherent[bin]).sum();
        let by_chance = coherence_by_chance(self.reading.segments, CONFIDENCE);
        let at = |bin: usize| hertz(self.reading.frequencies[bin]);
        let above = |bin: &usize| self.coherent[*bin] > by_chance;
        let low = inner
            .clone()
            .rev()
            .filter(|bin| *bin <= peak)
            .take_while(above)
            .last();
        let high = inner.clone().filter(|bin| *bin >= peak).take_while(above).last();
        let curve = inner.map(|bin| [self.reading.frequencies[bin], self.coherent[bin]]);
        Some(Coherence {
            peak: at(peak),
            at_peak: ratio(self.coherent[peak]),
            mean: ratio(weighted / sum.max(f64::MIN_POSITIVE)),
            by_chance: ratio(by_chance),
            band: low.zip(high).map(|(low, high)| Range::new(at(low), at(high))),
            curve: curve.collect(),
        })
    }
}

/// One pass over the log: the process runs from the first sample so that it has settled where the soak begins.
fn spectra(
    log: &Log,
    channel: &Channel,
    (from, to): (usize, usize),
    process: Option<&Process>,
    segment: usize,
    rate: f64,
) -> Option<Spectra> {
    let mut both = Welch::new(segment, rate);
    let mut apart = Welch::new(segment, rate);
    let plant = process.map(Process::plant);
    let duty = channel.duty.as_deref();
    let mut runner = plant.map(|plant| {
        let rise = process.map_or(0.0, |process| {
            f64::from(channel.measured[0]) - (process.room.base() - 273.15)
        });
        Runner::new(plant, log.time[0], rise)
    });
    let delay = plant.map_or(0.0, |plant| plant.delay);
    let (mut held, mut next) = (0.0_f64, 0);
    if let (Some(plant), Some(runner)) = (plant, &runner) {
        held = runner.rise() / plant.gain;
    }
    let mut last = f64::NAN;
    let begin = if duty.is_some() { 0 } else { from };
    let mut told = 0.0;
    let mut samples = Vec::new();
    let mut starts = log
        .starts
        .iter()
        .copied()
        .skip_while(|start| *start < begin)
        .peekable();
    for at in begin..to {
        if starts.next_if_eq(&at).is_some() {
            both.gap();
            apart.gap();
        }
        if let Some(now) = duty.map(|duty| f64::from(duty[at])).filter(|now| now.is_finite()) {
            told = now;
        }
        let mut moved = 0.0;
        if let (Some(runner), Some(duty)) = (&mut runner, duty) {
            while next < to && log.time[next] + delay <= log.time[at] {
                runner.hold(held, log.time[next] + delay - runner.time());
                let value = f64::from(duty[next]);
                held = if value.is_finite() { value } else { held };
                next += 1;
            }
            runner.hold(held, log.time[at] - runner.time());
            moved = runner.rise();
        }
        if at < from {
            continue;
        }
        let value = f64::from(channel.measured[at]);
        // One missing reading must not cut a segment: the last one stands for it.
        let value = if value.is_finite() { value } else { last };
        if value.is_nan() {
            continue;
        }
        last = value;
        if samples.len() < rounded::MOST {
            samples.push([log.time[at], value, moved]);
        }
        both.push(value, told);
        apart.push(value - moved, moved);
    }
    let (reading, _, coherent) = both.finish()?;
    let (left, moved, _) = apart.finish()?;
    Some(Spectra {
        reading,
        moved: duty.and(plant).map(|_| moved),
        left,
        has_duty: duty.is_some(),
        samples,
        coherent,
    })
}

struct Told {
    parts: Vec<Part>,
    noise: Value<TemperatureInterval>,
    noise_from: NoiseFrom,
    lines: Vec<Line>,
}

/// Below this share of a step, noise and rounding are no longer two white parts that add up: at 0.6 of a step, together 0.66, what is left of the
/// pattern of the steps is `2 e^(−2π²·0.36)`, less than two thousandths (Bennett 1948, from memory).
const COARSE: f64 = 0.66;

/// Noise under coarse steps, and what the steps make of it.
fn under_steps(spectra: &Spectra, step: f64, lines: &[Found]) -> Option<Rounded> {
    spectra.moved.as_ref()?;
    let mut lines: Vec<&Found> = lines.iter().collect();
    lines.sort_by(|one, other| other.power.total_cmp(&one.power));
    // More than a few would leave nothing to the noise; weak ones that are left out count as noise.
    let strongest: Vec<f64> = lines.iter().take(2).map(|own| own.frequency).collect();
    rounded::rounded(&spectra.samples, step, &strongest)
}

fn parts(
    spectra: &Spectra,
    variance: f64,
    levels: Option<Levels>,
    count: usize,
    steepest: Option<f64>,
) -> Told {
    let bins = spectra.reading.density.len();
    let df = spectra.reading.width();
    let quick: f64 = spectra.reading.power(DRIFT_BINS, bins);
    let drift = (variance - quick).max(0.0);
    let lines = named(lines(spectra), spectra, steepest);
    let in_line = |bin: usize| lines.iter().any(|own| (own.from..own.to).contains(&bin));
    // The floor of the upper half, where no part of such a machine moves.
    let upper: Vec<f64> = (bins / 2..bins - 1)
        .filter(|bin| !in_line(*bin))
        .map(|bin| spectra.left.density[bin])
        .collect();
    let floor = upper.iter().sum::<f64>() / upper.len().max(1) as f64;
    let band = df * (bins - 1) as f64;
    let whole = (floor * band).min(variance);
    let steps = levels.map_or(0.0, |levels| (levels.step * levels.step / 12.0).min(whole));
    let coarse = levels.filter(|levels| whole.sqrt() < COARSE * levels.step);
    let jumps = coarse.and_then(|levels| under_steps(spectra, levels.step, &lines));
    let (white, steps) = match jumps {
        Some(found) => {
            let white = found.noise[1].powi(2).min(variance);
            (white, (found.left - white).clamp(0.0, variance - white))
        }
        None => (whole - steps, steps),
    };
    let of = |cause: Cause| -> f64 {
        let own = lines.iter().filter(|own| own.cause == cause);
        own.map(|own| own.power).sum()
    };
    let (pick_up, mut regular) = (of(Cause::PickUp), of(Cause::Regular));
    let control = match &spectra.moved {
        Some(moved) => (DRIFT_BINS..bins)
            .map(|bin| moved.density[bin].min(spectra.reading.density[bin]) * df)
            .sum::<f64>(),
        // Without a duty or a process nobody knows what it moved: what stands above the floor and is no line may be its doing.
        None => {
            regular += (DRIFT_BINS..bins)
                .filter(|bin| !in_line(*bin))
                .map(|bin| (spectra.reading.density[bin] - floor).max(0.0) * df)
                .sum::<f64>();
            0.0
        }
    };
    // The drift band holds its share of the floor too.
    let drift = (drift - floor * df * (DRIFT_BINS as f64 - 0.5)).max(0.0);
    let known = [
        (Cause::Control, control),
        (Cause::Noise, white),
        (Cause::Steps, steps),
        (Cause::Drift, drift),
        (Cause::PickUp, pick_up),
        (Cause::Regular, regular),
    ];
    let sum: f64 = known.iter().map(|(_, power)| power).sum();
    let rest = (variance - sum).max(0.0);
    let total = variance.max(sum).max(f64::MIN_POSITIVE);
    let mut parts: Vec<Part> = known
        .into_iter()
        .chain([(Cause::Rest, rest)])
        .filter(|(_, power)| *power > 1e-3 * total)
        .map(|(cause, power)| Part {
            cause,
            size: kelvin(power.sqrt()),
            share: ratio(power / total),
        })
        .collect();
    parts.sort_by(|one, other| other.share.base().total_cmp(&one.share.base()));
    // Half of the band has half of the degrees of freedom, less what neighbours in a window share.
    let freedom = 0.45 * count as f64 * upper.len() as f64 / (bins as f64 / 2.0);
    let bound = |share: f64| {
        let squared = whole * freedom / chi_squared_quantile(share, freedom.max(1.0));
        kelvin((squared - steps).max(0.0).sqrt())
    };
    let tail = (1.0 - CONFIDENCE) / 2.0;
    let (noise, noise_from) = match (jumps, coarse) {
        (Some(found), _) => {
            let [low, middle, high] = found.noise.map(kelvin);
            let from = if found.noise[0] > 0.0 {
                NoiseFrom::Jumps
            } else {
                NoiseFrom::Hidden
            };
            (Value::between(low, middle, high), from)
        }
        // Without a process nobody knows what moved under the steps. All that is seen may be noise, or none of it; and readings that keep to
        // one level may hide a good part of half a step.
        (None, Some(levels)) => {
            let high = bound(tail).larger(kelvin(levels.step / 2.0));
            (
                Value::between(kelvin(0.0), kelvin(white.sqrt()), high),
                NoiseFrom::Hidden,
            )
        }
        (_, None) => (
            Value::between(bound(1.0 - tail), kelvin(white.sqrt()), bound(tail)),
            NoiseFrom::Floor,
        ),
    };
    let lines = {
        let mut lines: Vec<Line> = lines
            .into_iter()
            .map(|own| Line {
                frequency: hertz(own.frequency),
                size: kelvin(own.power.sqrt()),
                cause: own.cause,
            })
            .collect();
        lines.sort_by(|one, other| other.size.base().total_cmp(&one.size.base()));
        lines
    };
    Told {
        parts,
        noise,
        noise_from,
        lines,
    }
}

/// A line before it is told: its bins, its mean frequency (Hz), its power (K²).
struct Found {
    from: usize,
    to: usize,
    frequency: f64,
    power: f64,
    cause: Cause,
}

/// What may make each line.
///
/// With duty and process the lines are what the duty did not move. With a duty alone, what is coherent with it may be control, or pick-up
/// that the controller follows. Without a duty only what changes faster than full power
/// heats (`steepest`, K/s) is no control.
fn named(found: Vec<(usize, usize, f64)>, spectra: &Spectra, steepest: Option<f64>) -> Vec<Found> {
    let bins = spectra.reading.density.len();
    // As rare by chance as a line itself.
    let chance = coherence_by_chance(spectra.reading.segments, 1.0 - 0.01 / bins as f64);
    let mut out: Vec<Found> = found
        .into_iter()
        .map(|(from, to, power)| {
            let frequency = peak(&spectra.left, from, to);
            let may_be_control = if spectra.moved.is_some() {
                false
            } else if spectra.has_duty {
                spectra.reading.segments < FEWEST_SEGMENTS
                    || spectra.coherent[from..to].iter().any(|own| *own > chance)
            } else {
                let needed = core::f64::consts::TAU * frequency * (2.0 * power).sqrt();
                steepest.is_none_or(|steepest| needed <= steepest)
            };
            Found {
                from,
                to,
                frequency,
                power,
                cause: if may_be_control {
                    Cause::Regular
                } else {
                    Cause::PickUp
                },
            }
        })
        .collect();
    // A swing that is no sine has lines at whole multiples of its frequency, which are as little told.
    let slow: Vec<(f64, f64)> = out
        .iter()
        .filter(|own| own.cause == Cause::Regular)
        .map(|own| (own.frequency, own.power))
        .collect();
    for own in &mut out {
        let of = |(frequency, power): &(f64, f64)| {
            let times = own.frequency / frequency;
            let off = (times - times.round()).abs() * frequency;
            own.power < *power && times.round() >= 2.0 && off <= 1.5 * spectra.reading.width()
        };
        if slow.iter().any(of) {
            own.cause = Cause::Regular;
        }
    }
    out
}

/// Frequency of a line: the mean of its bins, weighted by their density.
fn peak(spectrum: &Spectrum, from: usize, to: usize) -> f64 {
    let sum: f64 = spectrum.density[from..to].iter().sum();
    let first: f64 = (from..to)
        .map(|bin| spectrum.density[bin] * spectrum.frequencies[bin])
        .sum();
    first / sum.max(f64::MIN_POSITIVE)
}

/// Narrow lines in what control does not explain: first bin, the one behind the last, power above the surroundings.
fn lines(spectra: &Spectra) -> Vec<(usize, usize, f64)> {
    let density = &spectra.left.density;
    let bins = density.len();
    if bins < 24 {
        return Vec::new();
    }
    // Few logs of pure noise shall show a line that is none; the median around a bin is itself off by some per cent.
    let freedom = 2.0 * (spectra.left.segments as f64 / 1.056).max(1.0);
    let limit = MEDIAN_MARGIN * chi_squared_quantile(1.0 - 0.01 / bins as f64, freedom) / freedom;
    let around = |bin: usize| -> f64 {
        let (from, to) = (bin.saturating_sub(12).max(DRIFT_BINS), (bin + 13).min(bins - 1));
        let mut near: Vec<f64> = (from..to)
            .filter(|at| at.abs_diff(bin) > 2)
            .map(|at| density[at])
            .collect();
        let middle = near.len() / 2;
        *near.select_nth_unstable_by(middle, f64::total_cmp).1
    };
    let is_control = |bin: usize| {
        spectra
            .moved
            .as_ref()
            .is_some_and(|moved| moved.density[bin] > 0.2 * spectra.reading.density[bin])
    };
    let mut out: Vec<(usize, usize, f64)> = Vec::new();
    let mut bin = DRIFT_BINS;
    while bin < bins - 1 {
        let floor = around(bin);
        if density[bin] < limit * floor || is_control(bin) {
            bin += 1;
            continue;
        }
        let end = (bin..bins)
            .find(|at| density[*at] < limit * floor)
            .unwrap_or(bins);
        // Hann's window spreads a line over four bins.
        let (from, to) = (bin.saturating_sub(1).max(DRIFT_BINS), (end + 1).min(bins));
        // What is wider than a line is none: a resonance, or control without a process to tell.
        let narrow = to - from <= 8;
        let power: f64 = density[from..to]
            .iter()
            .map(|own| (own - floor).max(0.0))
            .sum::<f64>()
            * spectra.left.width();
        if narrow {
            out.push((from, to, power));
        }
        bin = to;
    }
    out
}

/// Allan deviations from single samples to a quarter of the soak; long soaks in means for the long times.
fn allan(values: &[f32], step: f64) -> Vec<[f64; 2]> {
    const MOST: usize = 1 << 17;
    let mut out = Vec::new();
    let mut add = |series: &[f64], step: f64, least: f64| {
        let factors: Vec<usize> = (0..)
            .map(|power| 1_usize << power)
            .take_while(|factor| factor * 4 <= series.len())
            .collect();
        let found = overlapping_allan_deviations(series, &factors);
        for (factor, deviation) in factors.iter().zip(found) {
            let time = *factor as f64 * step;
            if let Some(deviation) = deviation.filter(|_| time > least) {
                out.push([time, deviation]);
            }
        }
    };
    let head: Vec<f64> = finite(&values[..values.len().min(MOST)]).collect();
    add(&head, step, 0.0);
    if values.len() > MOST {
        let every = values.len().div_ceil(MOST);
        let means: Vec<f64> = values
            .chunks_exact(every)
            .map(|part| {
                let (count, sum) =
                    finite(part).fold((0.0, 0.0), |(count, sum), value| (count + 1.0, sum + value));
                sum / f64::max(count, 1.0)
            })
            .collect();
        add(&means, step * every as f64, step * (MOST / 4) as f64);
    }
    out
}

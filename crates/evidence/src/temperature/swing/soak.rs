//! The longest soak of a log, in samples of the log.

use quantity::si::{Time, second};

use crate::known::Known;
use crate::read::{Channel, Log};
use crate::temperature::phases::{Phase, Span};
use crate::temperature::view::View;

/// A stretch of a log in which the target is held, without its beginning, which still settles.
pub(super) struct Soak<'l> {
    pub log: &'l Log,
    pub channel: &'l Channel,
    /// First sample, and the one behind the last.
    pub from: usize,
    pub to: usize,
    /// How many of them hold a reading.
    pub count: usize,
    /// Their mean, °C, and variance, K².
    mean: f64,
    pub variance: f64,
    /// Samples in a second.
    pub rate: f64,
    /// Whether the heater is switched on and off.
    pub is_switched: bool,
}

impl<'l> Soak<'l> {
    /// The soak with most samples; nothing where the log has none.
    pub fn longest(log: &'l Log, channel: &'l Channel, view: &View, spans: &[Span]) -> Option<Self> {
        let soaks = spans.iter().filter(|span| span.phase == Phase::Soak);
        let settled = soaks.map(|span| settled(log, view, span));
        let (from, to) = settled.max_by_key(|(from, to)| to - from)?;
        let (count, mean, variance) = moments(&channel.measured[from..to]);
        Some(Self {
            log,
            channel,
            from,
            to,
            count,
            mean,
            variance,
            is_switched: channel
                .duty
                .as_ref()
                .is_some_and(|duty| is_switched(&duty[from..to])),
            rate: (to - from - 1) as f64 / (log.time[to - 1] - log.time[from]),
        })
    }

    pub fn measured(&self) -> &'l [f32] {
        &self.channel.measured[self.from..self.to]
    }

    pub fn ends(&self) -> [Time; 2] {
        [self.from, self.to - 1].map(|at| second(self.log.time[at]))
    }

    /// The target, °C; the mean reading where there is none.
    pub fn asked(&self) -> f64 {
        let target = self.channel.target.as_ref();
        let target = target.map(|target| f64::from(target.at(self.from)));
        target.filter(|target| *target > 0.0).unwrap_or(self.mean)
    }

    /// The first readings.
    pub fn beginning(&self, most: usize) -> Vec<f64> {
        finite(self.measured()).take(most).collect()
    }

    /// The share of readings that lie more than a level from the one before.
    pub fn leaps(&self, step: f64) -> f64 {
        let readings = || finite(self.measured());
        let leaps = readings()
            .zip(readings().skip(1))
            .filter(|(one, next)| (next - one).abs() > 1.5 * step);
        leaps.count() as f64 / self.count.max(1) as f64
    }

    /// At most so many readings over the whole stretch.
    pub fn thinned(&self, most: usize) -> Vec<f64> {
        let every = self.measured().len().div_ceil(most).max(1);
        finite(self.measured()).step_by(every).collect()
    }
}

/// A soak in samples of the log, without the fifth of it, or five minutes, in which it still settles.
fn settled(log: &Log, view: &View, span: &Span) -> (usize, usize) {
    let sample = |point: usize| view.sample.get(point).copied().unwrap_or(log.len());
    let (from, to) = span.points;
    let length = view.time[to - 1] - view.time[from];
    let settled = (length / 5.0).min(300.0);
    let begin = (from..to)
        .find(|at| view.time[*at] - view.time[from] >= settled)
        .unwrap_or(from);
    (sample(begin), sample(to))
}

/// The readings that are numbers.
pub(super) fn finite(values: &[f32]) -> impl Iterator<Item = f64> + '_ {
    values
        .iter()
        .filter(|value| value.is_finite())
        .map(|value| f64::from(*value))
}

/// Whether a duty is switched on and off: nothing between both, and over at least two whole cycles.
fn is_switched(duty: &[f32]) -> bool {
    /// Rows within which it may have been switched.
    const BETWEEN: f64 = 0.05;
    let known = Known::of(duty);
    let most = known.high.max(0.0);
    let (low, high, half) = (0.02 * most, 0.98 * most, 0.5 * most);
    let (mut between, mut switched, mut was_on) = (0_u32, 0_u32, None);
    for own in finite(duty) {
        let is_on = own > half;
        between += u32::from(own >= low && own < high);
        switched += u32::from(was_on.is_some_and(|was_on: bool| was_on != is_on));
        was_on = Some(is_on);
    }
    most > 0.0 && switched >= 4 && f64::from(between) < BETWEEN * f64::from(known.count)
}

/// Number, mean and variance, by sums around the first value so that no digits are lost.
fn moments(values: &[f32]) -> (usize, f64, f64) {
    let around = finite(values).next().unwrap_or(0.0);
    let (mut count, mut sum, mut squares) = (0, 0.0, 0.0);
    for value in finite(values) {
        let off = value - around;
        count += 1;
        sum += off;
        squares += off * off;
    }
    let mean = sum / count as f64;
    let variance = (squares / count as f64 - mean * mean).max(0.0);
    (count, around + mean, variance)
}

//! A log in few points: means over blocks of samples, enough for phases, fits and pictures.

use quantity::si::{ThermodynamicTemperature, Time, celsius, second};

use crate::known::Known;
use crate::read::{Channel, Log, ordinary_step};

/// At most so many points.
const MOST: usize = 20_000;

/// At most so many points of the stretch that tells the process: an hour at twenty samples a second.
pub(super) const MOST_NEAR: usize = 72_000;

/// Means over blocks. Blocks without a number are left out.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct View {
    /// Middle of each block, s.
    pub time: Vec<f64>,
    /// Start of each block, s: from here on its duty holds.
    pub start: Vec<f64>,
    /// First sample of each block.
    pub sample: Vec<usize>,
    /// °C
    pub measured: Vec<f64>,
    /// °C; NaN where none was told.
    pub target: Vec<f64>,
    /// Share of full power; empty where the log has none.
    pub duty: Vec<f64>,
    /// Ordinary time between samples, s.
    pub step: f64,
}

impl View {
    pub fn of(log: &Log, channel: &Channel) -> Self {
        Self::between(log, channel, 0, log.len(), MOST)
    }

    /// The samples from `from` up to `to` in at most so many points.
    pub fn between(log: &Log, channel: &Channel, from: usize, to: usize, most: usize) -> Self {
        let every = (to - from).div_ceil(most).max(1);
        let mut view = Self {
            step: ordinary_step(&log.time),
            ..Self::default()
        };
        let mut at = from;
        let mut held = 0.0;
        while at < to {
            let end = (at + every).min(to);
            let reading = Known::mean_of(&channel.measured[at..end]);
            if !reading.is_nan() {
                view.time.push(f64::midpoint(log.time[at], log.time[end - 1]));
                view.start.push(log.time[at]);
                view.sample.push(at);
                view.measured.push(reading);
                let target = channel.target.as_ref().map_or(f32::NAN, |target| target.at(at));
                view.target.push(f64::from(target));
                if let Some(duty) = &channel.duty {
                    let known = Known::mean_of(&duty[at..end]);
                    // Where no duty is told the last one goes on.
                    held = if known.is_nan() { held } else { known };
                    view.duty.push(held);
                }
            }
            at = end;
        }
        view
    }

    pub fn len(&self) -> usize {
        self.time.len()
    }

    pub fn step(&self) -> Time {
        second(self.step)
    }

    /// The highest temperature that five points in turn reach.
    pub fn hottest(&self) -> ThermodynamicTemperature {
        let lasted = |five: &[f64]| five.iter().copied().fold(f64::INFINITY, f64::min);
        let highest = self.measured.windows(self.len().clamp(1, 5)).map(lasted);
        celsius(highest.fold(-273.15, f64::max))
    }

    /// The last target above 0 °C, else the temperature at the end.
    pub fn wanted(&self) -> ThermodynamicTemperature {
        let last = self.target.iter().rev().find(|target| **target > 0.0);
        celsius(last.or(self.measured.last()).copied().unwrap_or(0.0))
    }
}

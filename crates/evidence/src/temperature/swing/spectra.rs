//! Spectra of a soak: of the reading, of what the duty moved, and of what is left.

use statistics::spectrum::{Spectrum, Welch};

use super::rounded::{self, Sample};
use super::soak::Soak;
use crate::quantities::in_celsius;
use crate::read::Log;
use crate::temperature::process::{Process, Runner};

/// Spectra of a soak.
pub(super) struct Spectra {
    pub reading: Spectrum,
    /// What the duty moved, as the process tells.
    pub moved: Option<Spectrum>,
    /// The reading less that.
    pub left: Spectrum,
    pub has_duty: bool,
    /// The first readings of the soak, each with what the duty moved.
    pub samples: Vec<Sample>,
    /// Of reading and duty, in each bin; 0 without a duty.
    pub coherent: Vec<f64>,
}

impl Spectra {
    /// One pass over the log; nothing where gaps leave no whole segment.
    pub fn of(soak: &Soak<'_>, process: Option<&Process>) -> Option<Self> {
        let Soak { log, channel, .. } = soak;
        let duty = channel.duty.as_deref();
        let mut collected = Collected::new(soak);
        // A log may begin without a reading.
        let first = channel.measured.iter().copied().find(|own| own.is_finite());
        let mut moving = process
            .zip(duty)
            .zip(first)
            .map(|((process, duty), first)| Moving::new(process, log, first, duty, soak.to));
        // The process runs from the first sample so that it has settled where the soak begins.
        let begin = if duty.is_some() { 0 } else { soak.from };
        let later = log.starts.iter().copied().skip_while(|start| *start < begin);
        let mut starts = later.peekable();
        let mut told = 0.0;
        for at in begin..soak.to {
            if starts.next_if_eq(&at).is_some() {
                collected.gap();
            }
            if let Some(now) = duty.map(|duty| f64::from(duty[at])).filter(|now| now.is_finite()) {
                told = now;
            }
            let moved = moving.as_mut().map_or(0.0, |moving| moving.until(log.time[at]));
            if at >= soak.from {
                collected.push(log.time[at], f64::from(channel.measured[at]), told, moved);
            }
        }
        collected.finish(duty.is_some(), moving.is_some())
    }
}

/// What the process makes of the duty, up to a time that rises from call to call.
struct Moving<'l> {
    runner: Runner,
    delay: f64,
    time: &'l [f64],
    duty: &'l [f32],
    /// The duty that is felt, and the sample whose duty will be next.
    felt: f64,
    next: usize,
}

impl<'l> Moving<'l> {
    fn new(process: &Process, log: &'l Log, first: f32, duty: &'l [f32], to: usize) -> Self {
        let plant = process.plant();
        let rise = f64::from(first) - in_celsius(process.room);
        let runner = Runner::new(plant, log.time[0], rise);
        Self {
            // What kept the first rise goes on until the first duty is felt.
            felt: runner.rise() / plant.gain,
            runner,
            delay: plant.delay,
            time: &log.time[..to],
            duty,
            next: 0,
        }
    }

    #[inline]
    fn until(&mut self, time: f64) -> f64 {
        while self.next < self.time.len() && self.time[self.next] + self.delay <= time {
            let edge = self.time[self.next] + self.delay;
            self.runner.hold(self.felt, edge - self.runner.time());
            let value = f64::from(self.duty[self.next]);
            self.felt = if value.is_finite() { value } else { self.felt };
            self.next += 1;
        }
        self.runner.hold(self.felt, time - self.runner.time());
        self.runner.rise()
    }
}

/// Segments of a soak, as they come.
struct Collected {
    /// Reading and duty.
    both: Welch,
    /// The reading less what the duty moved, and that.
    apart: Welch,
    samples: Vec<Sample>,
    /// The last reading.
    last: f64,
}

impl Collected {
    fn new(soak: &Soak<'_>) -> Self {
        let segment = segment(soak.count);
        Self {
            both: Welch::new(segment, soak.rate),
            apart: Welch::new(segment, soak.rate),
            samples: Vec::new(),
            last: f64::NAN,
        }
    }

    fn gap(&mut self) {
        self.both.gap();
        self.apart.gap();
    }

    #[inline]
    fn push(&mut self, time: f64, reading: f64, duty: f64, moved: f64) {
        // One missing reading must not cut a segment: the last one stands for it.
        if reading.is_finite() {
            self.last = reading;
        } else if self.last.is_nan() {
            return;
        }
        if self.samples.len() < rounded::MOST {
            self.samples.push([time, self.last, moved]);
        }
        self.both.push(self.last, duty);
        self.apart.push(self.last - moved, moved);
    }

    fn finish(self, has_duty: bool, by_process: bool) -> Option<Spectra> {
        let (reading, _, coherent) = self.both.finish()?;
        let (left, moved, _) = self.apart.finish()?;
        Some(Spectra {
            reading,
            moved: by_process.then_some(moved),
            left,
            has_duty,
            samples: self.samples,
            coherent,
        })
    }
}

/// A power of two of about a quarter of the soak.
fn segment(count: usize) -> usize {
    let quarter = (count / 4).clamp(32, 8_192);
    1 << quarter.ilog2()
}

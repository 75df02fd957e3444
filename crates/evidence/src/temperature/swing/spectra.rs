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
    /// One pass over the soak, or over stretches of a long one; nothing where gaps leave no whole segment.
    pub fn of(soak: &Soak<'_>, process: Option<&Process>) -> Option<Self> {
        let duty = soak.channel.duty.as_deref();
        let mut collected = Collected::new(soak);
        let mut by_process = false;
        for (from, to) in stretches(soak.from, soak.to) {
            collected.gap();
            by_process |= collected.stretch(soak, process, from, to);
        }
        collected.finish(duty.is_some(), by_process)
    }
}

/// A soak of more than twice as many samples is looked at in so many stretches, even over it, of that many samples together: some 250 segments
/// tell each part of the swing to some per cent, and a log of days takes no longer than one of an hour.
const MOST: usize = 1 << 20;
const STRETCHES: usize = 16;

/// From which sample to which one a soak is looked at.
fn stretches(from: usize, to: usize) -> Vec<(usize, usize)> {
    let count = to - from;
    if count <= 2 * MOST {
        return vec![(from, to)];
    }
    let length = MOST / STRETCHES;
    (0..STRETCHES)
        .map(|at| from + at * (count - length) / (STRETCHES - 1))
        .map(|begin| (begin, begin + length))
        .collect()
}

/// From where on a process has to run so that at a sample nothing is left of how it began: as many of its lags before, and its dead time.
fn settling(process: &Process, time: &[f64], from: usize) -> usize {
    const LAGS: f64 = 12.0;
    let plant = process.plant();
    let before = time[from] - LAGS * plant.lags.iter().sum::<f64>() - plant.delay;
    time[..from].partition_point(|own| *own < before)
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
    /// Begins at a sample with a reading.
    fn new(
        process: &Process,
        log: &'l Log,
        (begin, first): (usize, f64),
        duty: &'l [f32],
        to: usize,
    ) -> Self {
        let plant = process.plant();
        let rise = first - in_celsius(process.room);
        let runner = Runner::new(plant, log.time[begin], rise);
        Self {
            // What kept the first rise goes on until the first duty is felt.
            felt: runner.rise() / plant.gain,
            runner,
            delay: plant.delay,
            time: &log.time[..to],
            duty,
            next: begin,
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

    /// Takes a stretch of the soak; whether the process told what the duty moved in it.
    fn stretch(&mut self, soak: &Soak<'_>, process: Option<&Process>, from: usize, to: usize) -> bool {
        let Soak { log, channel, .. } = soak;
        let duty = channel.duty.as_deref();
        // A log may begin without a reading.
        let reading = |begin: usize| {
            let mut later = channel.measured[begin..].iter();
            later
                .find(|own| own.is_finite())
                .map(|own| (begin, f64::from(*own)))
        };
        let mut moving = process.zip(duty).and_then(|(process, duty)| {
            // In the first stretch from the first sample of the log: what the heat-up left is in it.
            let begin = if from == soak.from {
                0
            } else {
                settling(process, &log.time, from)
            };
            Some(Moving::new(process, log, reading(begin)?, duty, to))
        });
        let last = |duty: &[f32]| duty[..from].iter().rev().copied().find(|own| own.is_finite());
        let mut told = duty.and_then(last).map_or(0.0, f64::from);
        let later = log.starts.iter().copied().skip_while(|start| *start < from);
        let mut starts = later.peekable();
        for at in from..to {
            if starts.next_if_eq(&at).is_some() {
                self.gap();
            }
            if let Some(now) = duty.map(|duty| f64::from(duty[at])).filter(|now| now.is_finite()) {
                told = now;
            }
            let moved = moving.as_mut().map_or(0.0, |moving| moving.until(log.time[at]));
            self.push(log.time[at], f64::from(channel.measured[at]), told, moved);
        }
        moving.is_some()
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

#[cfg(test)]
mod tests {
    use quantity::si::second;
    use rand::{RngExt as _, SeedableRng as _};
    use rand_pcg::Pcg64;

    use super::*;
    use crate::read::Channel;
    use crate::temperature::phases::{Phase, Span};
    use crate::temperature::view::View;

    #[test]
    fn stretches_lie_even_over_a_long_soak() {
        assert_eq!(stretches(5, 5 + 2 * MOST), [(5, 5 + 2 * MOST)]);
        let (from, to) = (7, 7 + 10 * MOST + 3);
        let found = stretches(from, to);
        assert_eq!((found[0].0, found[STRETCHES - 1].1), (from, to));
        assert!(found.iter().all(|(begin, end)| end - begin == MOST / STRETCHES));
        let between = found.windows(2).map(|two| two[1].0 - two[0].1);
        let (least, most) = (between.clone().min().unwrap(), between.max().unwrap());
        assert!(least > 0 && most - least <= 1, "{least} to {most}");
    }

    /// A long soak with noise of 0.1 K and a swing of 0.2 K at 0.37 Hz: both are told from its stretches alone.
    #[test]
    fn a_long_soak_is_told_from_stretches() {
        let count = 2 * MOST + 100_000;
        let mut random = Pcg64::seed_from_u64(1);
        let mut noise = || (random.random::<f64>() - 0.5) * 12.0_f64.sqrt() * 0.1;
        let time: Vec<f64> = (0..count).map(|at| at as f64 * 0.1).collect();
        let swing = |time: &f64| 0.2 * 2.0_f64.sqrt() * (core::f64::consts::TAU * 0.37 * time).sin();
        #[expect(clippy::cast_possible_truncation, reason = "as a log has it")]
        let measured = time
            .iter()
            .map(|time| (210.0 + swing(time) + noise()) as f32)
            .collect();
        let channel = Channel {
            measured,
            ..Channel::default()
        };
        let log = Log {
            time,
            channels: vec![channel],
            starts: vec![0],
            troubles: Vec::new(),
        };
        let view = View::of(&log, &log.channels[0]);
        let span = Span {
            phase: Phase::Soak,
            start: second(0.0),
            end: second(1.0),
            target: None,
            points: (0, view.len()),
        };
        let soak = Soak::longest(&log, &log.channels[0], &view, &[span]).unwrap();
        let found = Spectra::of(&soak, None).unwrap();
        assert!(
            (200..300).contains(&found.reading.segments),
            "{}",
            found.reading.segments
        );
        let line = (0.37 / found.reading.width()).round();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a bin")]
        let line = line as usize;
        let power = found.reading.power(line - 3, line + 4);
        let rest = found.reading.power(1, line - 3) + found.reading.power(line + 4, usize::MAX);
        assert!((power.sqrt() - 0.2).abs() < 0.002, "{power}");
        assert!((rest.sqrt() - 0.1).abs() < 0.001, "{rest}");
    }
}

//! Time and channels side by side: while they are read, and as the log that was.

use quantity::si::{Time, second};

use super::Channel;
use crate::Trouble;

/// A log that was read: time rises throughout.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// s
    pub(crate) time: Vec<f64>,
    /// The heaters, at least one.
    pub channels: Vec<Channel>,
    /// First samples of the pieces between which time was lost; the first is 0.
    pub(crate) starts: Vec<usize>,
    /// What could not be read, was left out or assumed.
    pub troubles: Vec<Trouble>,
}

impl Log {
    /// How many samples there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.time.len()
    }
    /// Whether there is none; a log that was read has at least three.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.time.is_empty()
    }
    /// From first to last sample.
    #[must_use]
    pub fn duration(&self) -> Time {
        match (self.time.first(), self.time.last()) {
            (Some(first), Some(last)) => second(last - first),
            _ => second(0.0),
        }
    }
    /// The channel of that name, whatever its case.
    #[must_use]
    pub fn channel(&self, name: &str) -> Option<&Channel> {
        self.channels
            .iter()
            .find(|channel| channel.name.eq_ignore_ascii_case(name))
    }
}

/// Time and channels, while they are read and put in order.
#[derive(Clone, Debug, Default)]
pub(super) struct Samples {
    pub time: Vec<f64>,
    pub channels: Vec<Channel>,
}

impl Samples {
    /// Moves a sample forward over those that were left out.
    pub fn keep(&mut self, from: usize, to: usize, time: f64) {
        self.time[to] = time;
        for channel in &mut self.channels {
            channel.keep(from, to);
        }
    }

    /// Whether two samples hold the same values, whatever their stamps.
    pub fn equal(&self, one: usize, other: usize) -> bool {
        self.channels.iter().all(|channel| channel.equal(one, other))
    }

    pub fn truncate(&mut self, count: usize) {
        self.time.truncate(count);
        for channel in &mut self.channels {
            channel.truncate(count);
        }
    }

    /// Adds a later part; what it held is given back column by column, so that no two copies of the whole stand in memory.
    pub fn append(&mut self, later: Self) {
        let before = self.time.len();
        let Self { time, channels } = later;
        self.time.reserve_exact(time.len());
        self.time.extend_from_slice(&time);
        drop(time);
        for (own, later) in self.channels.iter_mut().zip(channels) {
            own.append(before, later);
        }
    }
}

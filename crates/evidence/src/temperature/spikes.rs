//! Readings that jump and come back, as no part can: a loose contact, or what couples into the cable of the sensor.

use quantity::si::{TemperatureInterval, Time, kelvin, second};

use crate::read::{Channel, Log};

/// From so many on they are a fault; fewer may be a mishap of the log.
const SEVERAL: usize = 3;
/// A smaller jump may be noise, K; common practice, no source.
const LEAST: f64 = 15.0;
/// It comes back within so many samples, and to within this share of its jump.
const WITHIN: usize = 3;
const BACK: f64 = 0.25;

/// Jumps of a reading that come back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spikes {
    /// How many.
    pub count: usize,
    /// The largest.
    pub largest: TemperatureInterval,
    /// When the first one was.
    pub first: Time,
}

impl Spikes {
    /// Whether there are so many that they are a fault.
    #[must_use]
    pub fn is_fault(&self) -> bool {
        self.count >= SEVERAL
    }
}

/// Whether any reading lies a jump from the one before: one quick look at a long log.
fn any_jump(readings: &[f32]) -> bool {
    let later = readings.get(1..).unwrap_or_default();
    let is_jump = |one: &f32, next: &f32| (f64::from(*next) - f64::from(*one)).abs() >= LEAST;
    let mut stretches = readings.chunks(1 << 10).zip(later.chunks(1 << 10));
    stretches.any(|(one, next)| {
        one.iter()
            .zip(next)
            .fold(false, |any, (one, next)| any | is_jump(one, next))
    })
}

/// The spikes of a log; nothing where it has none.
pub(super) fn spikes(log: &Log, channel: &Channel) -> Option<Spikes> {
    let readings = &channel.measured;
    if !any_jump(readings) {
        return None;
    }
    let (mut count, mut largest, mut first) = (0, 0.0_f64, 0);
    let mut at = 1;
    while at < readings.len() {
        let before = f64::from(readings[at - 1]);
        let jump = f64::from(readings[at]) - before;
        // NaN is no jump.
        if !(jump.abs() >= LEAST) {
            at += 1;
            continue;
        }
        let later = readings[at + 1..].iter().take(WITHIN).map(|own| f64::from(*own));
        let back = later
            .enumerate()
            .find(|(_, own)| (own - before).abs() <= BACK * jump.abs());
        let Some((after, _)) = back else {
            at += 1;
            continue;
        };
        if count == 0 {
            first = at;
        }
        count += 1;
        largest = largest.max(jump.abs());
        // The way back is no jump of its own.
        at += after + 2;
    }
    (count > 0).then(|| Spikes {
        count,
        largest: kelvin(largest),
        first: second(log.time[first]),
    })
}

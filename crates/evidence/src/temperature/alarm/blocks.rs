//! A log in blocks of a second or more: means, and whether a reading moved at all within its block.

use crate::known::Known;
use crate::read::{Channel, Log};
use crate::temperature::phases::noise;

/// Shorter blocks than this would be noise, s.
const SHORTEST: f64 = 1.0;
/// At most about so many blocks: the widest log is read in little memory.
const MOST: f64 = 200_000.0;
/// From this below its target on a part is heated with all there is, K.
const FAR_BELOW: f64 = 20.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct Block {
    /// Its middle, s.
    pub time: f64,
    /// Mean reading, °C; NaN where there is none.
    pub reading: f64,
    /// Lowest and highest reading, °C.
    pub low: f64,
    pub high: f64,
    /// Mean duty as a share; NaN where none is known yet.
    pub duty: f64,
    /// °C; 0 where there is none.
    pub target: f64,
    /// Samples with a reading.
    pub count: u32,
    /// Whether time was lost before it.
    pub begins: bool,
}

pub(super) struct Blocks {
    pub all: Vec<Block>,
    /// White noise of the means, K.
    pub noise: f64,
    /// The least change that readings show, K.
    pub step: f64,
    /// What the log writes for all that the controller may give; 1 where it never stood at less far below a target.
    pub full: f64,
    /// Whether it tells a duty, and a target above 0 °C.
    pub has_duty: bool,
    pub has_target: bool,
}

impl Blocks {
    pub fn of(log: &Log, channel: &Channel) -> Self {
        let mut all = blocks(log, channel);
        without_spikes(&mut all);
        let readings: Vec<f64> = all
            .iter()
            .map(|own| own.reading)
            .filter(|own| !own.is_nan())
            .collect();
        Self {
            noise: noise(&readings),
            step: step(&channel.measured),
            full: full(&all),
            has_duty: all.iter().any(|own| !own.duty.is_nan()),
            has_target: all.iter().any(|own| own.target > 0.0),
            all,
        }
    }

    /// Stretches of blocks that all pass, none over a gap or a change of the target.
    pub fn stretches(&self, pass: impl Fn(&Block) -> bool) -> Vec<&[Block]> {
        let same = |one: &Block, other: &Block| {
            !other.begins && one.target.to_bits() == other.target.to_bits() && pass(one) == pass(other)
        };
        self.all.chunk_by(same).filter(|own| pass(&own[0])).collect()
    }

    /// Stretches with one target, or with none.
    pub fn targets(&self) -> Vec<&[Block]> {
        let same = |one: &Block, other: &Block| one.target.to_bits() == other.target.to_bits();
        self.all.chunk_by(same).collect()
    }
}

pub(super) fn length(blocks: &[Block]) -> f64 {
    match blocks {
        [first, .., last] => last.time - first.time,
        _ => 0.0,
    }
}

/// The mean of numbers; NaN of none.
pub(super) fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let known = values.filter(|own| !own.is_nan());
    let (count, sum) = known.fold((0.0, 0.0), |(count, sum), own| (count + 1.0, sum + own));
    sum / count
}

fn blocks(log: &Log, channel: &Channel) -> Vec<Block> {
    let length = log.time.last().copied().unwrap_or(0.0);
    let width = (length / MOST).max(SHORTEST);
    let mut starts = log.starts.iter().copied().peekable();
    let mut targets = channel
        .target
        .iter()
        .flat_map(|runs| runs.starts.iter().copied().zip(runs.values.iter()));
    let mut next = targets.next();
    let (mut target, mut duty) = (0.0, f64::NAN);
    let mut all = Vec::new();
    let (mut at, mut samples) = (0, 1);
    while at < log.len() {
        let mut begins = false;
        while starts.next_if(|start| *start <= at).is_some() {
            begins = true;
        }
        while let Some((_, value)) = next.filter(|(start, _)| *start <= at) {
            target = if value.is_nan() { 0.0 } else { f64::from(*value) };
            next = targets.next();
        }
        let limit = starts.peek().copied().unwrap_or(log.len());
        let limit = limit.min(next.map_or(log.len(), |(start, _)| start));
        let behind = log.time[at] + width * 0.999;
        // Mostly as many samples as the block before.
        let mut to = (at + samples).min(limit);
        while to > at + 1 && log.time[to - 1] >= behind {
            to -= 1;
        }
        while to < limit && log.time[to] < behind {
            to += 1;
        }
        samples = to - at;
        if let Some(known) = &channel.duty {
            let now = Known::mean_of(&known[at..to]);
            // Where no duty is told the last one goes on.
            duty = if now.is_nan() { duty } else { now };
        }
        let readings = Known::of(&channel.measured[at..to]);
        all.push(Block {
            time: f64::midpoint(log.time[at], log.time[to - 1]),
            reading: without_extremes(readings),
            low: readings.low,
            high: readings.high,
            duty,
            target: if target > 0.0 { target } else { 0.0 },
            count: readings.count,
            begins,
        });
        at = to;
    }
    all
}

/// The mean; of three and more without the lowest and the highest: a spike of one sample is no course.
fn without_extremes(readings: Known) -> f64 {
    if readings.count < 3 {
        return readings.mean();
    }
    (readings.sum - readings.low - readings.high) / f64::from(readings.count - 2)
}

/// Each reading as the median of itself and two neighbours on either side: a spike or two go, a step stays.
fn without_spikes(all: &mut [Block]) {
    let before: Vec<f64> = all.iter().map(|own| own.reading).collect();
    let mut near = Vec::with_capacity(5);
    for (at, block) in all.iter_mut().enumerate().filter(|(_, block)| block.count > 0) {
        // At an end, and beside a gap, there are fewer on one side: as many are taken on the other.
        let first = at.saturating_sub(2).min(before.len().saturating_sub(5));
        near.clear();
        near.extend(before[first..].iter().take(5).filter(|own| !own.is_nan()));
        near.sort_by(f64::total_cmp);
        block.reading = near[near.len() / 2];
    }
}

/// The tenth part of all changes from reading to reading is no larger than this.
fn step(readings: &[f32]) -> f64 {
    let every = (readings.len() / 50_000).max(1);
    let changes = readings
        .windows(2)
        .step_by(every)
        .map(|two| f64::from((two[1] - two[0]).abs()));
    let mut changes: Vec<f64> = changes.filter(|own| *own > 1e-4).collect();
    if changes.is_empty() {
        return 0.0;
    }
    changes.sort_by(f64::total_cmp);
    changes[changes.len() / 10]
}

/// A controller may be held to less than full power: then its duty stands at that while it heats from far below.
fn full(all: &[Block]) -> f64 {
    let far = || {
        all.iter()
            .filter(|own| own.target - own.reading >= FAR_BELOW)
            .map(|own| own.duty)
    };
    let most = far().fold(0.0, f64::max);
    let stood = far().filter(|own| (own - most).abs() < 1e-3).count();
    if (0.3..0.95).contains(&most) && stood >= 10 {
        most
    } else {
        1.0
    }
}

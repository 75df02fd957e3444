//! Rules of a reading that stays below its target.

use super::blocks::{Block, Blocks, length, mean};
use super::{Found, Kind};

/// No bed is asked for more than this, °C; a hot end is quicker.
const BED: f64 = 130.0;
/// Of full duty is what reaches this share of it.
const FULL: f64 = 0.95;

/// Full duty while the reading falls, and does not come back: a sensor that has slipped out, or a heater that gives nothing.
pub(super) fn falls(blocks: &Blocks) -> Option<Found> {
    // Fall (K), below the target (K), for (s); a bed is slow, and no gust takes much from it.
    let least = |target: f64| {
        if target >= BED {
            (10.0, 15.0, 10.0)
        } else {
            (5.0, 7.0, 30.0)
        }
    };
    if !blocks.has_duty {
        return None;
    }
    let is_full =
        |own: &Block| own.target > 0.0 && own.duty >= FULL * blocks.full && own.reading < own.target - 5.0;
    blocks.stretches(is_full).into_iter().find_map(|own| {
        let (mut top, (fall, below, time)) = (own[0], least(own[0].target));
        let low = own.iter().find(|block| {
            if block.reading >= top.reading {
                top = **block;
            }
            top.reading - block.reading >= fall + 4.0 * blocks.noise
                && block.target - block.reading >= below
                && block.time - top.time >= time
        })?;
        let later = own
            .iter()
            .filter(|block| block.time >= low.time && !block.reading.is_nan());
        let lowest = later.min_by(|one, other| one.reading.total_cmp(&other.reading))?;
        // A gust: the heater wins it back.
        (!comes_back(blocks, top.reading.min(low.target - 5.0), lowest)).then(|| Found {
            kind: Kind::FallsAtFullDuty,
            from: top.time,
            to: lowest.time,
            seen: low.time,
            reading: lowest.reading,
        })
    })
}

/// Whether the reading is as high again within five minutes and the target is the same.
fn comes_back(blocks: &Blocks, level: f64, from: &Block) -> bool {
    let first = blocks.all.partition_point(|own| own.time <= from.time);
    let later = blocks.all[first..].iter();
    let mut later =
        later.take_while(|own| own.time < from.time + 300.0 && own.target.to_bits() == from.target.to_bits());
    later.any(|own| own.reading >= level)
}

/// A target that was held is left for good, whatever the duty.
pub(super) fn leaves(blocks: &Blocks) -> Option<Found> {
    const BELOW: f64 = 20.0;
    const FOR: f64 = 60.0;
    let with_target = blocks.targets().into_iter().filter(|own| own[0].target > 0.0);
    with_target.into_iter().find_map(|own| {
        let target = own[0].target;
        let held = own.iter().position(|block| block.reading >= target - 5.0)?;
        let rest = &own[held..];
        let same =
            |one: &Block, other: &Block| (one.reading < target - BELOW) == (other.reading < target - BELOW);
        let low = rest.chunk_by(same).filter(|own| own[0].reading < target - BELOW);
        low.into_iter().find_map(|low| {
            let (first, last) = (low.first()?, low.last()?);
            let lowest = low.iter().map(|own| own.reading).fold(f64::INFINITY, f64::min);
            // What has begun to rise again is on its way back.
            let wins = last.reading - lowest > 5.0 + 4.0 * blocks.noise;
            (length(low) >= FOR && !wins && !comes_back(blocks, target - 5.0, last)).then(|| Found {
                kind: Kind::LeavesTarget,
                from: first.time,
                to: last.time,
                seen: first.time + FOR,
                reading: last.reading,
            })
        })
    })
}

/// Full duty without rise, from the start or from some way on; where no duty is told, a target that is not neared.
pub(super) fn no_rise(blocks: &Blocks) -> Option<Found> {
    /// The slowest healthy heat-up rises twice as fast, K/s, once lags and dead time have passed.
    const SLOWEST: f64 = 0.02;
    /// What rises less than this in two minutes will not get there, K.
    const STANDS: f64 = 0.6;
    let is_full = |own: &Block| match (blocks.has_duty, blocks.has_target) {
        (true, true) => own.duty >= FULL * blocks.full && own.target - own.reading >= 10.0,
        (true, false) => own.duty >= FULL,
        (false, _) => own.target - own.reading >= 15.0,
    };
    blocks.stretches(is_full).into_iter().find_map(|own| {
        let coarse = 50.0 * (blocks.step - 0.3).clamp(0.0, 2.0);
        // How long a heat-up is waited for, and how much of that lags and dead time may take, s.
        let (cold, lags) = if own[0].target >= BED {
            (50.0, 20.0)
        } else {
            (120.0, 60.0)
        };
        let cold = cold + coarse;
        let warm = 120.0 + 120.0 * (blocks.step - 0.3).clamp(0.0, 2.0);
        let begin = mean(
            own.iter()
                .take_while(|one| one.time <= own[0].time + 10.0)
                .map(|one| one.reading),
        );
        let found = |kind, seen: &Block, to: &Block| Found {
            kind,
            from: own[0].time,
            to: to.time,
            seen: seen.time,
            reading: to.reading,
        };
        // From the start: one window, whose end may lie anywhere behind.
        if let Some(end) = own.iter().find(|one| one.time - own[0].time >= cold)
            && risen(own, own[0].time, end.time) < SLOWEST * (cold - lags)
            && is_cold(own, blocks)
            // A heavy part is late, and rises in the end.
            && own.iter().all(|one| !(one.reading - begin >= 5.0 + 4.0 * blocks.noise))
        {
            let last = own
                .iter()
                .take_while(|one| one.reading - begin < 2.0 + 4.0 * blocks.noise)
                .last();
            return Some(found(Kind::NoRise, end, last.unwrap_or(end)));
        }
        if !blocks.has_target {
            return None;
        }
        let windows = own.iter().step_by((own.len() / 2_000).max(1));
        for first in windows {
            let end = own.partition_point(|one| one.time < first.time + warm);
            let Some(end) = own.get(end) else { break };
            if risen(own, first.time, end.time) < STANDS {
                let kind = if end.reading - begin < 5.0 {
                    Kind::NoRise
                } else {
                    Kind::OutOfReach
                };
                return Some(found(kind, end, own.last().unwrap_or(end)));
            }
        }
        out_of_reach(own, blocks).map(|end| found(Kind::OutOfReach, end, end))
    })
}

/// Without a target nobody knows how hot it is to be, and a warm bed rises slowly: only a part that is as cold as it ever was has to rise.
fn is_cold(own: &[Block], blocks: &Blocks) -> bool {
    let lowest = blocks
        .all
        .iter()
        .map(|own| own.reading)
        .fold(f64::INFINITY, f64::min);
    own[0].reading < lowest + 5.0
}

/// The mean of the last fifth of a time less that of its first.
fn risen(own: &[Block], from: f64, to: f64) -> f64 {
    let part = (to - from) / 5.0;
    let of = |from: f64, to: f64| {
        let (first, last) = (
            own.partition_point(|one| one.time < from),
            own.partition_point(|one| one.time <= to),
        );
        mean(own[first..last].iter().map(|one| one.reading))
    };
    of(to - part, to) - of(from, from + part)
}

/// Where a heat-up bends towards a temperature that is well below its target, by each half of it alike.
fn out_of_reach<'b>(own: &'b [Block], blocks: &Blocks) -> Option<&'b Block> {
    const SHORT_OF: f64 = 8.0;
    if !blocks.has_duty || length(own) < 120.0 {
        return None;
    }
    let last = own.last()?;
    // The dead time and the smaller lag at the start are no part of the bend.
    let (from, width) = (own[0].time + 0.2 * length(own), 0.8 * length(own) / 5.0);
    let part = |at: f64| {
        let (begin, end) = (from + at * width, from + (at + 1.0) * width);
        let (first, last) = (
            own.partition_point(|one| one.time < begin),
            own.partition_point(|one| one.time < end),
        );
        mean(own[first..last].iter().map(|one| one.reading))
    };
    let parts = [0.0, 1.0, 2.0, 3.0, 4.0].map(part);
    let short = parts.windows(3).all(|three| {
        let (before, after) = (three[1] - three[0], three[2] - three[1]);
        let bends = after < 0.7 * before && before > 10.0 * blocks.noise.max(blocks.step / 3.0);
        // Of a decaying rise: `end = last + after² / (before − after)`.
        bends && three[2] + after * after / (before - after) < last.target - SHORT_OF
    });
    short.then_some(last)
}

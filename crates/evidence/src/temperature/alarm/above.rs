//! Rules of a reading above its target, and of a heater that is off.

use super::blocks::{Block, Blocks, length, mean};
use super::{Found, Kind};

/// After a target was lowered, readings lie above it for a while in any loop, s.
const AFTER_A_CHANGE: f64 = 20.0;
/// A duty below this is none.
pub(super) const OFF: f64 = 0.02;

/// Stretches above their target; the first seconds of a new target do not count.
fn above(blocks: &Blocks, by: f64) -> Vec<&[Block]> {
    let all = blocks.stretches(|own| own.target > 0.0 && own.reading > own.target + by);
    // Where the log begins above its target, who knows since when it is so.
    let is_new = |own: &[Block]| {
        let at = blocks.all.partition_point(|other| other.time < own[0].time);
        let before = at.checked_sub(1).map(|at| blocks.all[at].target.to_bits());
        before != Some(own[0].target.to_bits())
    };
    let late = |own| -> &[Block] {
        let from = if is_new(own) { AFTER_A_CHANGE } else { 0.0 };
        let begin = own.partition_point(|one: &Block| one.time < own[0].time + from);
        &own[begin..]
    };
    all.into_iter().map(late).filter(|own| own.len() >= 2).collect()
}

/// Driven while above the target and rising: hard from 10 K on, at all from 15 K on.
pub(super) fn driven(blocks: &Blocks) -> Option<Found> {
    above(blocks, 0.0).into_iter().find_map(|own| {
        let target = own[0].target;
        let begin = own[0].reading;
        let (mut sum, mut last) = (0.0, own[0].time);
        own.iter().enumerate().find_map(|(at, block)| {
            sum += block.duty * (block.time - last);
            last = block.time;
            let since = block.time - own[0].time;
            let over = block.reading - target.max(begin - 2.0);
            // Over the later half of the time above the target.
            let half = own.partition_point(|other| other.time < own[0].time + since / 2.0);
            let before = &own[half.min(at)];
            let rises = block.reading - before.reading > 1.0_f64.max(4.0 * blocks.noise);
            let duty = sum / since;
            let now = mean(own[..=at].iter().rev().take(5).map(|own| own.duty));
            let driven = |share: f64| duty >= share * blocks.full && now >= share * blocks.full;
            // A bed is slow: what has not been cut in half a minute will not be.
            let hard =
                over >= 10.0 && since >= 3.0 && driven(0.5) || over >= 6.0 && since >= 30.0 && driven(0.9);
            let long = over >= 15.0 && since >= 20.0 && duty >= 0.1 && now >= 0.1;
            (rises && (hard || long)).then(|| highest(Kind::DrivenAboveTarget, own, block.time))
        })
    })
}

/// Far above the target for a minute and driven.
pub(super) fn held(blocks: &Blocks) -> Option<Found> {
    above(blocks, 15.0).into_iter().find_map(|own| {
        let first = own.iter().position(|block| block.time - own[0].time >= 60.0)?;
        let duty = mean(own[..=first].iter().map(|block| block.duty));
        (duty >= 0.2).then(|| highest(Kind::HeldAboveTarget, own, own[first].time))
    })
}

/// Without a duty: rising on above the target as fast as before.
pub(super) fn without_duty(blocks: &Blocks) -> Option<Found> {
    if blocks.has_duty {
        return None;
    }
    above(blocks, 0.0).into_iter().find_map(|own| {
        let target = own[0].target.max(own[0].reading - 2.0);
        own.iter().enumerate().find_map(|(at, block)| {
            let over = block.reading - target;
            let seen = &own[..=at];
            (over >= 15.0 && length(seen) >= 20.0 && goes_on(seen, 0.6) || over >= 40.0)
                .then(|| highest(Kind::RisesAboveTarget, own, block.time))
        })
    })
}

/// Off for half a minute and more, and rising as fast as before: what was stored in heater and part would have been spent.
pub(super) fn heats_while_off(blocks: &Blocks) -> Option<Found> {
    /// A part beside a hot one warms slower than this, K/s.
    const SLOW: f64 = 0.1;
    if !blocks.has_duty {
        return None;
    }
    let is_off = |own: &Block| own.duty <= OFF;
    blocks.stretches(is_off).into_iter().find_map(|own| {
        let (mut from, count) = (0, own.len());
        let mut lowest = f64::INFINITY;
        (0..count).find_map(|at| {
            // From where it last stood at its lowest.
            if own[at].reading <= lowest {
                (lowest, from) = (own[at].reading, at);
            }
            let seen = &own[from..=at];
            let (long, rise) = (length(seen), own[at].reading - lowest);
            // What is stored rises with the smaller lag, and heat that still comes with the larger one: where the lag is below 65 s, the later half
            // of a time brings less than this of the earlier one.
            let share = (-long / (2.0 * 65.0)).exp();
            let fast = long >= 30.0 && rise >= 15.0 && rise / long >= SLOW && goes_on(seen, share.min(0.75));
            // Above its target nothing rises for minutes by itself.
            let above = own[at].target > 0.0 && own[at].reading >= own[at].target + 5.0;
            let slow = above && long >= 120.0 && rise >= 4.0 + 6.0 * blocks.noise && goes_on(seen, share);
            (fast || slow).then(|| highest(Kind::HeatsWhileOff, &own[from..], own[at].time))
        })
    })
}

/// Off for five minutes, hot, and not falling; two minutes are enough for what is far above the room, once its stored heat is spent.
pub(super) fn hot_while_off(blocks: &Blocks, room: f64) -> Option<Found> {
    /// A part with a time constant of 3000 s falls by 3.9 K in two minutes from 100 K above the room, and by 3.8 K in five from 40 K.
    const FAR: f64 = 100.0;
    let hot = stays_hot(blocks, room + FAR, 60.0, 120.0);
    hot.or_else(|| stays_hot(blocks, room + 40.0, 0.0, 300.0))
}

/// Off, hotter than `hot`, and not falling over `lasts` seconds that begin at least `spent` seconds after the heater went off.
fn stays_hot(blocks: &Blocks, hot: f64, spent: f64, lasts: f64) -> Option<Found> {
    const LEAST_FALL: f64 = 2.0;
    if !blocks.has_duty {
        return None;
    }
    let is_off = |own: &Block| own.duty <= OFF && own.reading >= hot;
    blocks.stretches(is_off).into_iter().find_map(|own| {
        let mut to = 0;
        let begin = own.partition_point(|block| block.time < own[0].time + spent);
        (begin..own.len()).find_map(|at| {
            while to < own.len() && own[to].time < own[at].time + lasts {
                to += 1;
            }
            let end = own.get(to)?;
            let fall = own[at].reading - end.reading;
            let least = LEAST_FALL.max(1.5 * blocks.step);
            (fall < least).then(|| {
                if fall < -5.0 {
                    return highest(Kind::HeatsWhileOff, &own[at..], end.time);
                }
                Found {
                    kind: Kind::HotWhileOff,
                    from: own[at].time,
                    to: end.time,
                    seen: end.time,
                    reading: end.reading,
                }
            })
        })
    })
}

/// Whether the later half of a time brought at least a share of the rise of the earlier one.
fn goes_on(seen: &[Block], share: f64) -> bool {
    let (Some(first), Some(last)) = (seen.first(), seen.last()) else {
        return false;
    };
    let middle = f64::midpoint(first.time, last.time);
    let middle = seen[seen.partition_point(|own| own.time < middle).min(seen.len() - 1)];
    let (before, after) = (middle.reading - first.reading, last.reading - middle.reading);
    after > 0.0 && after >= share * before
}

/// From the first block up to the hottest one.
fn highest(kind: Kind, own: &[Block], seen: f64) -> Found {
    let known = own.iter().filter(|own| !own.reading.is_nan());
    let top = known.max_by(|one, other| one.reading.total_cmp(&other.reading));
    let top = top.unwrap_or(&own[0]);
    Found {
        kind,
        from: own[0].time,
        to: top.time,
        seen,
        reading: top.reading,
    }
}

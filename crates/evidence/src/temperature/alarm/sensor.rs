//! Rules of a sensor that is not to be believed.

use super::above::OFF;
use super::blocks::{Block, Blocks, length, mean};
use super::{Found, Kind};
use crate::read::HOTTEST;

/// So far below the room no part of a machine in it is, K.
const BELOW_ROOM: f64 = 15.0;
/// A log that begins below this begins with an open sensor, or in the cold; °C.
const COLDEST: f64 = -10.0;

/// Readings at an end of the scale: an open or a shorted sensor.
pub(super) fn off_scale(blocks: &Blocks, room: f64, scale_is_known: bool) -> Option<Found> {
    let hottest = f64::from(HOTTEST);
    // Hotter in degrees Fahrenheit, too.
    let hottest = if scale_is_known {
        hottest
    } else {
        1.8 * hottest + 32.0
    };
    let is_high = |own: &Block| own.reading > hottest.max(own.target + 40.0);
    let high = lasting(blocks, is_high).next();
    if !scale_is_known {
        return high.map(|own| extreme(Kind::AboveScale, own, 1.0));
    }
    let first: Vec<f64> = blocks
        .all
        .iter()
        .map(|own| own.reading)
        .filter(|own| !own.is_nan())
        .take(10)
        .collect();
    let first = mean(first.into_iter());
    let lowest = room.min(first) - BELOW_ROOM;
    let low = lasting(blocks, move |own| own.reading < lowest).next();
    // From the beginning: where it does not leave that end although it is heated, or to the end of the log.
    let begins = lasting(blocks, |own| own.reading < COLDEST).find(|own| {
        let heated: f64 = own
            .windows(2)
            .map(|two| two[0].duty.max(0.0) * (two[1].time - two[0].time))
            .sum();
        let still = own.iter().map(|one| one.high).fold(f64::MIN, f64::max)
            - own.iter().map(|one| one.low).fold(f64::MAX, f64::min)
            < 2.0;
        still && (heated >= 30.0 || own.len() == blocks.all.len() || own[0].reading < -40.0)
    });
    let found = [
        high.map(|own| extreme(Kind::AboveScale, own, 1.0)),
        low.or(begins).map(|own| extreme(Kind::BelowScale, own, -1.0)),
    ];
    found
        .into_iter()
        .flatten()
        .min_by(|one, other| one.from.total_cmp(&other.from))
}

/// Stretches of at least three samples and two seconds.
fn lasting(blocks: &Blocks, pass: impl Fn(&Block) -> bool) -> impl Iterator<Item = &[Block]> {
    let pieces = blocks.all.chunk_by({
        let pass = &pass;
        |one, other| pass(one) == pass(other)
    });
    let pieces: Vec<&[Block]> = pieces.filter(|own| pass(&own[0])).collect();
    pieces
        .into_iter()
        .filter(|own| own.iter().map(|one| one.count).sum::<u32>() >= 3 && length(own) >= 1.5)
}

fn extreme(kind: Kind, own: &[Block], sign: f64) -> Found {
    let far = own
        .iter()
        .max_by(|one, other| (sign * one.reading).total_cmp(&(sign * other.reading)));
    let far = far.unwrap_or(&own[0]);
    Found {
        kind,
        from: own[0].time,
        to: own.last().unwrap_or(far).time,
        seen: own[0].time + 2.0,
        reading: far.reading,
    }
}

/// No number for ten seconds and ten times the usual pause while the heater is on, or is to be.
pub(super) fn no_reading(blocks: &Blocks) -> Option<Found> {
    let known: Vec<f64> = blocks
        .all
        .iter()
        .filter(|own| own.count > 0)
        .map(|own| own.time)
        .collect();
    let mut pauses: Vec<f64> = known.windows(2).map(|two| two[1] - two[0]).collect();
    pauses.sort_by(f64::total_cmp);
    let usual = pauses.get(pauses.len() / 2).copied().unwrap_or(0.0);
    let missing = blocks
        .all
        .chunk_by(|one, other| (one.count == 0) == (other.count == 0));
    missing.filter(|own| own[0].count == 0).find_map(|own| {
        let on = own.iter().any(|one| one.duty > 0.05)
            || !blocks.has_duty && own.iter().any(|one| one.target > 0.0);
        (length(own) >= 10.0_f64.max(10.0 * usual) && on).then(|| Found {
            kind: Kind::NoReading,
            from: own[0].time,
            to: own[own.len() - 1].time,
            seen: own[0].time + 10.0,
            reading: f64::NAN,
        })
    })
}

/// A reading that falls or rises faster than any part can, and stays there.
pub(super) fn jumps(blocks: &Blocks) -> Option<Found> {
    /// K, and K/s.
    const DROP: (f64, f64) = (10.0, 8.0);
    const RISE: (f64, f64) = (30.0, 25.0);
    let known: Vec<&Block> = blocks.all.iter().filter(|own| own.count > 0).collect();
    let least = 10.0 * blocks.noise;
    (1..known.len().saturating_sub(2)).find_map(|at| {
        let before = known[at - 1];
        // The change may lie within a block.
        [at, at + 1].into_iter().find_map(|to| {
            let after = known[to];
            if known[at..=to].iter().any(|own| own.begins) {
                return None;
            }
            let stays = known.get(to..to + 3)?;
            let (change, time) = (after.reading - before.reading, after.time - before.time);
            let (kind, (size, rate)) = if change < 0.0 {
                (Kind::SuddenDrop, DROP)
            } else {
                (Kind::SuddenRise, RISE)
            };
            let far = change.abs() >= size.max(least) && change.abs() / time >= rate;
            let lasts = stays
                .iter()
                .all(|own| (own.reading - before.reading) / change >= 0.7);
            // What was a spike before is no drop now.
            let level = known[..at]
                .iter()
                .rev()
                .take(4)
                .all(|own| (own.reading - before.reading).abs() < 0.5 * change.abs());
            (far && lasts && level && at >= 3).then(|| Found {
                kind,
                from: before.time,
                to: after.time,
                seen: after.time,
                reading: stays[2].reading,
            })
        })
    })
}

/// The very same reading while the heater does what must move it.
pub(super) fn frozen(blocks: &Blocks, room: f64) -> Option<Found> {
    let same = |one: &Block, other: &Block| {
        !other.begins
            && one.low.to_bits() == other.high.to_bits()
            && one.high.to_bits() == other.low.to_bits()
    };
    let runs: Vec<&[Block]> = blocks.all.chunk_by(same).filter(|own| own[0].count > 0).collect();
    let coarse = 1.0 + blocks.step;
    // The longest run of one reading so far.
    let mut longest = 0;
    runs.iter().enumerate().find_map(|(at, own)| {
        let ordinary = longest;
        longest = longest.max(samples(own));
        let found = Found {
            kind: Kind::Frozen,
            from: own[0].time,
            to: own[own.len() - 1].time,
            seen: own[0].time + 60.0,
            reading: own[0].reading,
        };
        if length(own) < 30.0 {
            return None;
        }
        let driven = |pass: &dyn Fn(&Block) -> bool| -> f64 {
            let twos = own.windows(2).filter(|two| pass(&two[0]) && pass(&two[1]));
            twos.map(|two| two[1].time - two[0].time).sum()
        };
        let full = driven(&|one| one.duty >= 0.95 * blocks.full);
        let off = driven(&|one| one.duty <= OFF && one.reading > room + 30.0);
        let hot = own[0].reading > room + 20.0;
        // A heavy part that is driven by hand may take minutes for a step of its reading.
        let long = if blocks.has_target { 40.0 } else { 400.0 };
        if hot && full >= long * coarse || off >= 60.0 + 200.0 * blocks.step {
            return Some(found);
        }
        // A reading that trembled all the time and no longer does, while the duty goes away from what it was.
        let trembled = at >= 30 && ordinary <= 5 && samples(own) >= 50;
        let stopped = samples(own) >= 100 && length(own) >= 60.0 && trembled_here(&runs[..at], own);
        (hot && (trembled && duty_moves(own) || stopped)).then_some(found)
    })
}

/// Whether readings trembled at the level of a run for the minute before it, none standing for more than five samples: noise does not end by itself.
fn trembled_here(before: &[&[Block]], own: &[Block]) -> bool {
    const NEAR: f64 = 3.0;
    let level = own[0].reading;
    let trembles = |run: &&&[Block]| {
        samples(run) <= 5
            && run
                .iter()
                .all(|one| (one.reading - level).abs() <= NEAR && !one.begins)
    };
    let first = before.iter().rev().take_while(trembles).last();
    let all = before
        .iter()
        .rev()
        .take_while(trembles)
        .map(|run| samples(run))
        .sum::<u32>();
    all >= 50 && first.is_some_and(|run| own[0].time - run[0].time >= 55.0)
}

fn samples(own: &[Block]) -> u32 {
    own.iter().map(|one| one.count).sum()
}

/// Whether the mean duty of the last quarter of a time is another than that of the first.
fn duty_moves(own: &[Block]) -> bool {
    let quarter = (own.len() / 4).max(1);
    let of = |part: &[Block]| mean(part.iter().map(|one| one.duty));
    (of(&own[..quarter]) - of(&own[own.len() - quarter..])).abs() >= 0.1
}

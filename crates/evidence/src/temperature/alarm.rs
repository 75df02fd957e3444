//! What is looked for before any statistics: a heater out of hand, a part that does not heat, a sensor that is not to be believed.
//!
//! Each rule asks for something that no healthy loop does, whatever its process: so none needs a fit. Times and sizes are chosen so that a
//! heat-up of a slow bed (0.04 K/s), an overshoot, a log in whole degrees and a gust of a fan pass; they are common practice, no source,
//! and held against healthy loops of other code than ours (`tests/alarm.rs`).

mod above;
mod below;
mod blocks;
mod sensor;

use quantity::si::{Ratio, ThermodynamicTemperature, Time, celsius, ratio, second};

use self::blocks::Blocks;
use super::Ask;
use crate::quantities::in_celsius;
use crate::read::{Channel, Log};

/// What went wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// The heater is driven while the reading rises above its target.
    DrivenAboveTarget,
    /// The reading stays above its target, and the heater is driven.
    HeldAboveTarget,
    /// The reading rises on though the heater is off.
    HeatsWhileOff,
    /// The reading does not fall though the heater is off.
    HotWhileOff,
    /// The reading rises on above its target; the log tells no duty.
    RisesAboveTarget,
    /// Full duty, and the reading does not rise.
    NoRise,
    /// Full duty, and the reading falls.
    FallsAtFullDuty,
    /// The reading leaves a target that it held, and does not come back.
    LeavesTarget,
    /// The target cannot be reached.
    OutOfReach,
    /// The reading lies below what can be.
    BelowScale,
    /// The reading lies above what can be.
    AboveScale,
    /// There is no reading while the heater is on.
    NoReading,
    /// The reading stands still while the duty changes.
    Frozen,
    /// The reading falls faster than a part can cool.
    SuddenDrop,
    /// The reading rises faster than a part can heat.
    SuddenRise,
}

/// Something that has to be stopped before anything is measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alarm {
    /// What.
    pub kind: Kind,
    /// When it began, from the first sample.
    pub at: Time,
    /// Until when it was seen.
    pub until: Time,
    /// The reading at the end of that time, or the one farthest from right; nothing where there was none.
    pub reading: Option<ThermodynamicTemperature>,
    /// The target then.
    pub target: Option<ThermodynamicTemperature>,
    /// The mean duty in that time.
    pub duty: Option<Ratio>,
}

/// The first alarm of a log; `in_celsius_only`: readings may be held against what degrees Celsius can be.
pub(super) fn first(log: &Log, channel: &Channel, ask: &Ask, scale_is_known: bool) -> Option<Alarm> {
    let blocks = Blocks::of(log, channel);
    let room = in_celsius(ask.ambient);
    let rules = [
        sensor::off_scale(&blocks, room, scale_is_known),
        sensor::no_reading(&blocks),
        sensor::jumps(&blocks),
        above::driven(&blocks),
        above::held(&blocks),
        above::without_duty(&blocks),
        above::heats_while_off(&blocks),
        above::hot_while_off(&blocks, room),
        below::falls(&blocks),
        below::leaves(&blocks),
        below::no_rise(&blocks),
        sensor::frozen(&blocks, room),
    ];
    let found = rules.into_iter().flatten();
    // The one that is certain first is the cause of the others.
    found
        .min_by(|one, other| one.seen.total_cmp(&other.seen))
        .map(|found| found.told(&blocks))
}

/// A rule that was broken, before it is told: seconds and degrees Celsius.
#[derive(Clone, Copy, Debug)]
struct Found {
    kind: Kind,
    from: f64,
    to: f64,
    /// When it was certain.
    seen: f64,
    reading: f64,
}

impl Found {
    fn told(self, blocks: &Blocks) -> Alarm {
        let within = |at: &&blocks::Block| at.time >= self.from && at.time <= self.to;
        let duties = || {
            blocks
                .all
                .iter()
                .filter(within)
                .map(|own| own.duty)
                .filter(|duty| !duty.is_nan())
        };
        let (count, sum) = duties().fold((0.0, 0.0), |(count, sum), duty| (count + 1.0, sum + duty));
        let target = blocks
            .all
            .iter()
            .rev()
            .find(|own| own.time <= self.to)
            .map(|own| own.target);
        Alarm {
            kind: self.kind,
            at: second(self.from),
            until: second(self.to),
            reading: (!self.reading.is_nan()).then(|| celsius(self.reading)),
            target: target.filter(|target| *target > 0.0).map(celsius),
            duty: (count > 0.0).then(|| ratio(sum / count)),
        }
    }
}

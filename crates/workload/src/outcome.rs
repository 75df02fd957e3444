//! What one program, or many, ask of the boards.

use std::sync::Arc;

use quantity::si::{Energy, Frequency, Length, Power, Ratio, Time, Velocity, Volume, VolumeRate};
use quantity::{AnyValue, Kind, Number as _, Quantity, Value};
use serde::{Serialize, Serializer};

use crate::extent::Extents;
use crate::links::LinkUse;
use crate::segment::Purpose;
use crate::track::{Moment, SeenFromAbove};
use crate::trouble::Occurrence;

/// A line of a program.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The name of the program.
    pub file: Arc<str>,
    /// The line, from 1.
    pub line: u64,
}

impl core::fmt::Display for Place {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{}:{}", self.file, self.line)
    }
}

impl Serialize for Place {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// The highest of something, and where it occurred.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(bound = "Q: Quantity")]
pub struct Peak<Q> {
    /// The value.
    #[serde(serialize_with = "told")]
    pub value: Q,
    /// Where; `None` where it never occurred.
    pub place: Option<Place>,
}

impl<Q: quantity::Number> Default for Peak<Q> {
    fn default() -> Self {
        Self {
            value: Q::from_base(0.0),
            place: None,
        }
    }
}

impl<Q: quantity::Number> Peak<Q> {
    pub(crate) fn of(value: f64, line: u64, file: &Arc<str>) -> Self {
        Self {
            value: Q::from_base(value),
            place: (value > 0.0).then(|| Place {
                file: file.clone(),
                line,
            }),
        }
    }

    fn merge(&mut self, other: &Self) {
        if other.value > self.value {
            *self = other.clone();
        }
    }
}

/// Times of a program.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Times {
    /// Moving, by [`Purpose::ALL`].
    #[serde(serialize_with = "told_by_purpose")]
    pub moving: [Time; 3],
    /// Of that, with rising speed.
    #[serde(serialize_with = "told")]
    pub speeding_up: Time,
    /// With even speed.
    #[serde(serialize_with = "told")]
    pub even: Time,
    /// With falling speed.
    #[serde(serialize_with = "told")]
    pub slowing_down: Time,
    /// Homing, each axis over its whole travel at its homing speed.
    #[serde(serialize_with = "told")]
    pub homing: Time,
    /// Waiting as told.
    #[serde(serialize_with = "told")]
    pub dwell: Time,
    /// Waiting for heaters.
    #[serde(serialize_with = "told")]
    pub heating: Time,
}

impl Times {
    /// All motion.
    #[must_use]
    pub fn motion(&self) -> Time {
        self.moving.iter().copied().sum()
    }

    /// Everything that could be worked out.
    #[must_use]
    pub fn whole(&self) -> Time {
        self.motion() + self.homing + self.dwell + self.heating
    }

    fn merge(&mut self, other: &Self) {
        for at in 0..3 {
            self.moving[at] += other.moving[at];
        }
        self.speeding_up += other.speeding_up;
        self.even += other.even;
        self.slowing_down += other.slowing_down;
        self.homing += other.homing;
        self.dwell += other.dwell;
        self.heating += other.heating;
    }
}

/// Time by rate, in bins of one width from zero.
#[derive(Clone, Debug, PartialEq)]
pub struct RateTimes {
    pub(crate) inner: crate::histogram::Histogram,
    /// Steps in one unit of what the bins count.
    pub(crate) scale: f64,
}

impl RateTimes {
    /// The width of a bin.
    #[must_use]
    pub fn width(&self) -> Frequency {
        Frequency::from_base(self.inner.width() * self.scale)
    }

    /// The time in each bin.
    #[must_use]
    pub fn times(&self) -> Vec<Time> {
        self.inner.told()
    }

    /// The rate below which a share of the time is spent.
    #[must_use]
    pub fn below(&self, share: Ratio) -> Frequency {
        let times = self.inner.times();
        let wanted = share.base() * times.iter().sum::<f64>();
        let mut sum = 0.0;
        for (at, time) in times.iter().enumerate() {
            sum += time;
            if sum >= wanted {
                return self.width() * (at as f64 + 1.0);
            }
        }
        self.width() * times.len() as f64
    }
}

impl Serialize for RateTimes {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        #[derive(Serialize)]
        struct Told {
            bin: Value<Frequency>,
            /// In seconds, up to the last that is not zero.
            seconds: Vec<f64>,
        }
        let mut seconds = self.inner.times();
        let used = seconds
            .iter()
            .rposition(|time| *time > 0.0)
            .map_or(0, |at| at + 1);
        seconds.truncate(used);
        Told {
            bin: Value::exact(self.width()),
            seconds,
        }
        .serialize(serializer)
    }
}

/// What a motor does.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MotorUse {
    /// Its highest rate of steps, as the machine is set up.
    pub peak: Peak<Frequency>,
    /// The speed of its belt, nut or filament then.
    #[serde(serialize_with = "told")]
    pub speed: Velocity,
    /// Time by rate of steps, while it moves.
    pub times: RateTimes,
}

/// What is asked of a board.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BoardUse {
    /// The highest rate of steps over all its motors.
    pub peak: Peak<Frequency>,
    /// The same as a share of what it makes.
    #[serde(serialize_with = "told")]
    pub share: Ratio,
    /// Time for which more is asked than may be used.
    #[serde(serialize_with = "told")]
    pub above: Time,
    /// Time by rate of steps over all motors.
    pub times: RateTimes,
    /// Programs that ask for more than may be used.
    pub programs_above: u64,
}

/// Plastic that flows.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct FlowUse {
    /// The most at a moment, while a path is laid down.
    pub peak: Peak<VolumeRate>,
    /// The most over a whole second.
    pub second: Peak<VolumeRate>,
    /// All that is laid down.
    #[serde(serialize_with = "told_volume")]
    pub volume: Volume,
}

/// What a heater does.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HeaterUse {
    /// Energy, at nominal values.
    #[serde(serialize_with = "told_energy")]
    pub energy: Energy,
    /// The most that holding its target and melting takes of its full power; above 1 the temperature falls.
    pub hold: Peak<Ratio>,
}

/// What heaters and fans do together.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HeatUse {
    /// Each heater.
    pub heaters: Vec<HeaterUse>,
    /// Energy of each fan.
    #[serde(serialize_with = "told_energies")]
    pub fans: Vec<Energy>,
    /// The most power of all heaters together, at the worst corner.
    pub peak: Peak<Power>,
    /// Time for which they alone exceed the supply.
    #[serde(serialize_with = "told")]
    pub over: Time,
    /// When first, since the start of the program, and where.
    #[serde(serialize_with = "told_moment")]
    pub first_over: Option<(Time, Place)>,
    /// Targets that were not reached in time.
    pub out_of_reach: u64,
    /// Where first.
    pub first_out_of_reach: Option<Place>,
}

/// What a program asks for, or several together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Work {
    /// The name of the program, or of the place where the first of several lies.
    pub name: Arc<str>,
    /// How many programs.
    pub programs: u64,
    /// Bytes, uncompressed.
    pub bytes: u64,
    /// Lines.
    pub lines: u64,
    /// Lines of which a word was understood.
    pub understood: u64,
    /// Lines that could not be read.
    pub broken: u64,
    /// Lines of motion.
    pub moves: u64,
    /// Pieces that these were planned as; arcs have many.
    pub pieces: u64,
    /// Times.
    pub times: Times,
    /// Lengths of moves, by [`Purpose::ALL`].
    #[serde(serialize_with = "told_by_purpose")]
    pub lengths: [Length; 3],
    /// Stops whose time is not known.
    pub unknown_stops: u64,
    /// Motors, in the order of the setup.
    pub motors: Vec<MotorUse>,
    /// Boards, in the order of the setup.
    pub boards: Vec<BoardUse>,
    /// Links, in the order of the setup.
    pub links: Vec<LinkUse>,
    /// The most moves in one second.
    pub peak_moves: Peak<Frequency>,
    /// The most lines in one second.
    pub peak_lines: Peak<Frequency>,
    /// Plastic.
    pub flow: FlowUse,
    /// Heaters and fans.
    pub heat: HeatUse,
    /// How far it goes, and where.
    pub extents: Extents,
    /// The programs that go farthest: for x, y, z the lowest and the highest.
    pub farthest: [[Arc<str>; 2]; 3],
    /// Words that the controller was not seen to know.
    pub unknown_words: Vec<Occurrence>,
    /// Words whose time is not worked out.
    pub unmodelled_words: Vec<Occurrence>,
    /// What was skipped or ignored.
    pub troubles: Vec<Occurrence>,
    /// Lines that may have lost motion.
    pub lost: u64,
}

/// What a picture is drawn from: one program.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// What happened when.
    pub time_line: Vec<Moment>,
    /// The way from above; `None` where nothing moved.
    pub seen_from_above: Option<SeenFromAbove>,
}

/// More kinds of occurrences than this are not kept of many programs.
const MOST_OCCURRENCES: usize = 400;

impl Work {
    /// Joins another program: sums are added, of peaks the higher one stays.
    pub fn merge(&mut self, other: &Self) {
        self.programs += other.programs;
        self.bytes += other.bytes;
        self.lines += other.lines;
        self.understood += other.understood;
        self.broken += other.broken;
        self.moves += other.moves;
        self.pieces += other.pieces;
        self.times.merge(&other.times);
        for at in 0..3 {
            self.lengths[at] += other.lengths[at];
        }
        self.unknown_stops += other.unknown_stops;
        for (own, other) in self.motors.iter_mut().zip(&other.motors) {
            if other.peak.value > own.peak.value {
                own.speed = other.speed;
            }
            own.peak.merge(&other.peak);
            own.times.inner.merge(&other.times.inner);
        }
        for (own, other) in self.boards.iter_mut().zip(&other.boards) {
            own.peak.merge(&other.peak);
            own.share = own.share.larger(other.share);
            own.above += other.above;
            own.programs_above += other.programs_above;
            own.times.inner.merge(&other.times.inner);
        }
        for (own, other) in self.links.iter_mut().zip(&other.links) {
            own.merge(other);
        }
        self.peak_moves.merge(&other.peak_moves);
        self.peak_lines.merge(&other.peak_lines);
        self.flow.peak.merge(&other.flow.peak);
        self.flow.second.merge(&other.flow.second);
        self.flow.volume += other.flow.volume;
        self.heat.merge(&other.heat);
        self.merge_extents(other);
        join(&mut self.unknown_words, &other.unknown_words);
        join(&mut self.unmodelled_words, &other.unmodelled_words);
        join(&mut self.troubles, &other.troubles);
        self.lost += other.lost;
    }

    fn merge_extents(&mut self, other: &Self) {
        for axis in 0..3 {
            let (own, theirs) = (&mut self.extents.all[axis], &other.extents.all[axis]);
            if theirs.low() < own.low() {
                self.farthest[axis][0] = other.farthest[axis][0].clone();
            }
            if theirs.high() > own.high() {
                self.farthest[axis][1] = other.farthest[axis][1].clone();
            }
            own.merge(theirs);
            self.extents.printed[axis].merge(&other.extents.printed[axis]);
        }
        self.extents.outward.merge(&other.extents.outward);
    }

    /// Whether it is a program at all: something was understood, and not more lines could not be read.
    #[must_use]
    pub fn is_program(&self) -> bool {
        self.understood > 0 && self.understood >= self.broken
    }

    /// The time of a purpose.
    #[must_use]
    pub fn time_of(&self, purpose: Purpose) -> Time {
        self.times.moving[purpose as usize]
    }
}

impl LinkUse {
    fn merge(&mut self, other: &Self) {
        self.dry += other.dry;
        self.dry_time += other.dry_time;
        self.busy += other.busy;
        self.peak_bytes = self.peak_bytes.larger(other.peak_bytes);
        if self.first.is_none() {
            self.first.clone_from(&other.first);
        }
    }
}

impl HeatUse {
    fn merge(&mut self, other: &Self) {
        for (own, other) in self.heaters.iter_mut().zip(&other.heaters) {
            own.energy += other.energy;
            own.hold.merge(&other.hold);
        }
        for (own, other) in self.fans.iter_mut().zip(&other.fans) {
            *own += *other;
        }
        self.peak.merge(&other.peak);
        self.over += other.over;
        if self.first_over.is_none() {
            self.first_over.clone_from(&other.first_over);
        }
        self.out_of_reach += other.out_of_reach;
        if self.first_out_of_reach.is_none() {
            self.first_out_of_reach.clone_from(&other.first_out_of_reach);
        }
    }
}

/// Adds occurrences of the same kind; the first places stay.
fn join(own: &mut Vec<Occurrence>, other: &[Occurrence]) {
    for occurrence in other {
        match own.iter().position(|known| known.what == occurrence.what) {
            Some(at) => own[at].join(occurrence),
            None if own.len() < MOST_OCCURRENCES => own.push(occurrence.clone()),
            None => {}
        }
    }
}

// How quantities are told in JSON: the text for people beside the numbers.

pub(crate) fn told<Q: Quantity, S: Serializer>(quantity: &Q, serializer: S) -> Result<S::Ok, S::Error> {
    Value::exact(*quantity).serialize(serializer)
}

fn told_by_purpose<Q: Quantity, S: Serializer>(of: &[Q; 3], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_map(Purpose::ALL.into_iter().zip(of.map(Value::exact)))
}

fn energy(energy: Energy) -> AnyValue {
    let base = energy.base();
    AnyValue {
        kind: Kind::Energy,
        nominal: base,
        low: base,
        high: base,
    }
}

fn told_energy<S: Serializer>(of: &Energy, serializer: S) -> Result<S::Ok, S::Error> {
    energy(*of).serialize(serializer)
}

fn told_energies<S: Serializer>(of: &[Energy], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(of.iter().map(|of| energy(*of)))
}

fn told_volume<S: Serializer>(of: &Volume, serializer: S) -> Result<S::Ok, S::Error> {
    #[derive(Serialize)]
    struct Told {
        text: String,
        nominal: f64,
        unit: &'static str,
    }
    Told {
        text: crate::words::volume(*of),
        nominal: of.base(),
        unit: "m³",
    }
    .serialize(serializer)
}

fn told_moment<S: Serializer>(of: &Option<(Time, Place)>, serializer: S) -> Result<S::Ok, S::Error> {
    #[derive(Serialize)]
    struct Told<'a> {
        time: Value<Time>,
        place: &'a Place,
    }
    let told = of.as_ref().map(|(time, place)| Told {
        time: Value::exact(*time),
        place,
    });
    told.serialize(serializer)
}

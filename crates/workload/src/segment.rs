//! What travels from the reading of words to the plan of speeds: straight pieces with their limits, and events between them.

use quantity::si::{Length, ThermodynamicTemperature, Time, Velocity};

use crate::given::Zone;

/// The most motors that the kinematics move; extruders come besides.
pub(crate) const MOST_MOTORS: usize = 4;

/// What a move is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Purpose {
    /// Lays down plastic.
    Printing,
    /// Moves without laying down.
    Travelling,
    /// Moves the filament alone.
    Filament,
}

impl Purpose {
    /// All of them.
    pub const ALL: [Purpose; 3] = [Purpose::Printing, Purpose::Travelling, Purpose::Filament];
}

/// A straight piece. Everything is in SI base units; squares of speeds save a root for each limit.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Segment {
    /// Length of the way, of the filament where nothing else moves.
    pub length: f64,
    /// Square of the speed that it may have.
    pub nominal2: f64,
    /// Twice its acceleration.
    pub twice_acceleration: f64,
    /// Square of the speed with which it may begin, by the corner before it.
    pub corner2: f64,
    /// Speed of each motor of the kinematics for one unit of speed.
    pub shares: [f64; MOST_MOTORS],
    /// Speed of the filament for one unit of speed; negative where it is drawn back.
    pub filament: f64,
    /// Where it ends, seen from above.
    pub x: f32,
    pub y: f32,
    /// The line that it stands in.
    pub line: u32,
    /// Bytes of the lines since the one before, and without comments.
    pub bytes: u32,
    pub sent: u32,
    /// Lines since the one before: 0 for a further piece of the same line.
    pub lines: u32,
    pub purpose: Purpose,
    pub tool: u8,
}

/// Something between two pieces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Event {
    /// The line that it stands in.
    pub line: u32,
    /// Bytes and lines since the piece before it.
    pub bytes: u32,
    pub sent: u32,
    pub lines: u32,
    pub what: What,
}

/// What happens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum What {
    /// Stands still.
    Dwell(Time),
    /// Homes: how long at the least, where it is known, and where it stands then.
    Home(Option<Time>),
    /// A target; waits for it or not.
    Target {
        zone: Zone,
        target: Option<ThermodynamicTemperature>,
        wait: Wait,
    },
    /// Waits for every target.
    WaitForHeat,
    /// Share of full speed of a fan.
    Fan { number: usize, share: f64 },
    /// Stands still for a time that nobody knows.
    Pause,
    /// All motion ends.
    Stop,
}

/// For which way of reaching a target a program waits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Wait {
    No,
    /// Only while it heats.
    Heating,
    /// While it cools too.
    Both,
}

/// A batch: pieces, and events each before the piece of that number.
#[derive(Clone, Debug, Default)]
pub struct Batch {
    pub(crate) segments: Vec<Segment>,
    pub(crate) events: Vec<(u32, Event)>,
}

impl Batch {
    /// Empties it for another use; its memory stays.
    pub fn clear(&mut self) {
        self.segments.clear();
        self.events.clear();
    }

    /// Whether nothing is in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.segments.is_empty() && self.events.is_empty()
    }

    /// How many pieces it holds.
    #[must_use]
    pub fn len(&self) -> usize {
        self.segments.len()
    }
}

/// A length and a speed: how firmware draws filament back by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Retraction {
    pub length: Length,
    pub speed: Velocity,
}

//! What the words of a program mean, and which of them a controller was seen to know. The words themselves are given: they live in data.

use std::collections::BTreeSet;

use crate::scan::Code;

/// What a word means, as far as it matters for the work of a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// A straight move at the feed.
    Move,
    /// A straight move as fast as [`crate::Rapid`] says.
    Rapid,
    /// An arc.
    Arc {
        /// Seen from above the plane, from its third axis.
        clockwise: bool,
    },
    /// The plane in which arcs lie, by the axis that stands upon it: 0 for X.
    Plane(usize),
    /// Waits: `P` in milliseconds, `S` in seconds.
    Dwell,
    /// Lengths are in inches.
    Inches,
    /// Lengths are in millimetres.
    Millimetres,
    /// Coordinates are absolute.
    Absolute,
    /// Coordinates are increments.
    Relative,
    /// The filament is counted absolutely.
    FilamentAbsolute,
    /// The filament is counted in increments.
    FilamentRelative,
    /// Names the current point.
    SetPosition,
    /// Forgets what `SetPosition` did.
    ClearOffsets,
    /// Takes the offsets of `SetPosition` out, and remembers them.
    SuspendOffsets,
    /// Puts remembered offsets back.
    RestoreOffsets,
    /// Homes the named axes, or all.
    Home,
    /// Draws the filament back by a set length.
    Retract,
    /// Pushes it forward again.
    Unretract,
    /// How far and how fast filament is drawn back: `S` and `F`.
    SetRetraction,
    /// Target of a hot end.
    HotEnd {
        /// Whether the program waits until it is reached.
        wait: bool,
    },
    /// Target of the bed.
    Bed {
        /// Whether the program waits until it is reached.
        wait: bool,
    },
    /// Target of the chamber.
    Chamber {
        /// Whether the program waits until it is reached.
        wait: bool,
    },
    /// Waits until every heater is at its target.
    WaitForHeat,
    /// Speed of a fan: `S` up to 255, `P` which.
    Fan,
    /// Switches a fan off.
    FanOff,
    /// All speeds in per cent: `S`.
    SpeedFactor,
    /// All filament in per cent: `S`.
    FlowFactor,
    /// Highest speeds of the axes, in lengths per second.
    TopSpeeds,
    /// Highest accelerations of the axes.
    Accelerations,
    /// Acceleration of moves: `P` laying down plastic, `T` travelling, `R` filament alone, `S` the first two.
    MoveAcceleration,
    /// Sudden changes of speed of the axes.
    SuddenChanges,
    /// Diameter of the filament: filament is counted by volume from here on, or no longer with 0.
    FilamentDiameter,
    /// Waits until all motion has ended.
    Synchronise,
    /// Waits until a person goes on.
    WaitForPerson,
    /// Ends the program.
    End,
    /// Takes its time in ways that are not worked out here, such as touching the bed at many places.
    Unmodelled,
    /// Changes nothing that matters here.
    Nothing,
}

/// Meanings by the words with which the tables of dialects say what a word does.
const ACTIONS: &[(&str, Meaning)] = &[
    ("moves", Meaning::Move),
    ("moves along an arc, clockwise", Meaning::Arc { clockwise: true }),
    (
        "moves along an arc, counterclockwise",
        Meaning::Arc { clockwise: false },
    ),
    ("arcs lie in the plane of X and Y from here on", Meaning::Plane(2)),
    ("arcs lie in the plane of Z and X from here on", Meaning::Plane(1)),
    ("arcs lie in the plane of Y and Z from here on", Meaning::Plane(0)),
    ("waits", Meaning::Dwell),
    ("lengths are in inches from here on", Meaning::Inches),
    ("lengths are in millimetres from here on", Meaning::Millimetres),
    ("coordinates are absolute from here on", Meaning::Absolute),
    ("coordinates are relative from here on", Meaning::Relative),
    ("filament is counted absolutely", Meaning::FilamentAbsolute),
    ("filament is counted relatively", Meaning::FilamentRelative),
    ("sets the position", Meaning::SetPosition),
    ("homes", Meaning::Home),
    ("draws the filament back", Meaning::Retract),
    ("pushes the filament forward again", Meaning::Unretract),
    (
        "sets how far and how fast filament is drawn back",
        Meaning::SetRetraction,
    ),
    ("sets the target of the hot end", Meaning::HotEnd { wait: false }),
    (
        "sets the target of the hot end and waits",
        Meaning::HotEnd { wait: true },
    ),
    ("sets the target of the bed", Meaning::Bed { wait: false }),
    (
        "sets the target of the bed and waits",
        Meaning::Bed { wait: true },
    ),
    ("sets the target of the chamber", Meaning::Chamber { wait: false }),
    (
        "sets the target of the chamber and waits",
        Meaning::Chamber { wait: true },
    ),
    ("waits for all heaters", Meaning::WaitForHeat),
    ("switches a fan", Meaning::Fan),
    ("switches a fan off", Meaning::FanOff),
    ("scales all speeds", Meaning::SpeedFactor),
    ("waits for all motion to end", Meaning::Synchronise),
    ("waits for a person", Meaning::WaitForPerson),
    ("ends the program", Meaning::End),
    ("measures the height of the bed", Meaning::Unmodelled),
    ("tunes a temperature control", Meaning::Unmodelled),
];

/// Meanings by the name of the setting that a word tells.
const SETTINGS: &[(&str, Meaning)] = &[
    ("top-speed", Meaning::TopSpeeds),
    ("acceleration", Meaning::Accelerations),
    ("print-acceleration", Meaning::MoveAcceleration),
    ("retract-acceleration", Meaning::MoveAcceleration),
    ("travel-acceleration", Meaning::MoveAcceleration),
    ("corner-speed", Meaning::SuddenChanges),
    ("flow", Meaning::FlowFactor),
    ("filament-diameter", Meaning::FilamentDiameter),
];

impl Meaning {
    /// The meaning of a word by what a table says that it does; [`Meaning::Nothing`] for all that does not matter here.
    #[must_use]
    pub fn of_action(does: &str) -> Self {
        let found = ACTIONS.iter().find(|(own, _)| *own == does);
        found.map_or(Self::Nothing, |(_, meaning)| *meaning)
    }

    /// The meaning of a word by the setting that it tells; [`Meaning::Nothing`] for all that does not matter here.
    #[must_use]
    pub fn of_setting(setting: &str) -> Self {
        let found = SETTINGS.iter().find(|(own, _)| *own == setting);
        found.map_or(Self::Nothing, |(_, meaning)| *meaning)
    }

    /// What a table must say for [`Self::of_action`] to find something; a test holds it against the table.
    pub fn actions() -> impl Iterator<Item = &'static str> {
        ACTIONS.iter().map(|(does, _)| *does)
    }

    /// The settings for which [`Self::of_setting`] finds something.
    pub fn settings() -> impl Iterator<Item = &'static str> {
        SETTINGS.iter().map(|(setting, _)| *setting)
    }
}

/// The words that are understood, and those that a controller was seen to know.
#[derive(Clone, Debug)]
pub struct Vocabulary {
    /// By letter (G, M) and ten times the number: 0 is not understood, else one more than the place in `meanings`.
    places: [Vec<u8>; 2],
    meanings: Vec<Meaning>,
    known: BTreeSet<Code>,
}

/// Larger numbers are not looked up quickly, and so are not understood.
const PLACES: usize = 10_000;

impl Default for Vocabulary {
    fn default() -> Self {
        Self {
            places: [vec![0; PLACES], vec![0; PLACES]],
            meanings: Vec::new(),
            known: BTreeSet::new(),
        }
    }
}

impl Vocabulary {
    /// Takes up a word with what it means, such as `G92.1`; the last meaning counts. Returns whether it is a word: a G or M with a number.
    pub fn insert(&mut self, word: &str, meaning: Meaning) -> bool {
        let Some(code) = Code::parse(word) else {
            return false;
        };
        let place = self.meanings.iter().position(|own| *own == meaning);
        let place = place.unwrap_or_else(|| {
            self.meanings.push(meaning);
            self.meanings.len() - 1
        });
        let slot = usize::from(code.letter == b'M');
        match self.places[slot].get_mut(usize::from(code.tenths)) {
            Some(entry) if matches!(code.letter, b'G' | b'M') => {
                #[expect(
                    clippy::cast_possible_truncation,
                    reason = "there are fewer meanings than that"
                )]
                {
                    *entry = place as u8 + 1;
                }
                true
            }
            _ => false,
        }
    }

    /// Notes that the controller was seen to know a word.
    pub fn know(&mut self, word: &str) {
        self.known.extend(Code::parse(word));
    }

    #[inline(always)]
    pub(crate) fn meaning(&self, code: Code) -> Option<Meaning> {
        let entry = *self.places[usize::from(code.letter == b'M')].get(usize::from(code.tenths))?;
        self.meanings.get(usize::from(entry).wrapping_sub(1)).copied()
    }

    pub(crate) fn knows(&self, code: Code) -> bool {
        self.known.contains(&code)
    }
}

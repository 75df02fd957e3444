//! What the words of a program mean, and which of them a controller was seen to know. The words themselves are given: they live in data.

use std::collections::{BTreeMap, BTreeSet};

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
    /// Sets what its letters say.
    Sets(Letters),
    /// Waits until all motion has ended.
    Synchronise,
    /// Waits until a person goes on.
    WaitForPerson,
    /// Ends the program.
    End,
    /// Takes its time in ways that are not worked out here, such as touching the bed at many places.
    Unmodelled,
    /// Nothing of motion and heat.
    Nothing,
    /// Somebody says that a controller knows it, and not in words that are understood here what it does.
    Unclear,
}

/// The letters of one word of a [`Vocabulary`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Letters(u16);

/// What a letter of a word sets, for all that follows. Axes count from 0 for X to 3 for the filament.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sets {
    /// Maximum speed of an axis.
    Speed(usize),
    /// Maximum acceleration of an axis.
    Acceleration(usize),
    /// Instantaneous speed change of an axis.
    SuddenChange(usize),
    /// Acceleration of moves that lay down plastic.
    Printing,
    /// Acceleration of moves that do not.
    Travelling,
    /// Acceleration of filament alone.
    Retracting,
    /// Share of all filament that really moves.
    Flow,
    /// Diameter of the filament: filament is counted by volume from here on, or no longer with 0.
    Diameter,
}

/// One letter of a word that sets something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Letter {
    /// The letter.
    pub letter: u8,
    /// Another letter and its number, which must stand beside it.
    pub beside: Option<(u8, usize)>,
    /// What it sets.
    pub sets: Sets,
    /// What 1 means, in SI units, where lengths are in millimetres; nothing where that is not known.
    pub one: Option<f64>,
}

/// Meanings by the words with which a table says what a word does. `docs/handbook/workload.md` lists them for whoever writes such a row.
const ACTIONS: &[(&str, Meaning)] = &[
    ("moves", Meaning::Move),
    ("moves along an arc, clockwise", Meaning::Arc { clockwise: true }),
    (
        "moves along an arc, counter-clockwise",
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
    ("takes a time of its own", Meaning::Unmodelled),
    ("holds the motors", Meaning::Nothing),
    ("releases the motors", Meaning::Nothing),
    ("shows a text", Meaning::Nothing),
    ("shows how far the program is", Meaning::Nothing),
    ("sounds a tone", Meaning::Nothing),
    ("sets the line number", Meaning::Nothing),
    ("stops everything at once", Meaning::Nothing),
    ("asks for the temperatures", Meaning::Nothing),
    ("asks for the position", Meaning::Nothing),
    ("asks for the switches", Meaning::Nothing),
    ("asks which controller it is", Meaning::Nothing),
    ("asks for all settings", Meaning::Nothing),
    ("stores the settings", Meaning::Nothing),
    ("takes the stored settings", Meaning::Nothing),
    ("takes the settings of the build", Meaning::Nothing),
    ("moves and heats nothing", Meaning::Nothing),
];

impl Meaning {
    /// The meaning of a word by what a table says that it does; [`Meaning::Unclear`] for what no table of ours says.
    #[must_use]
    pub fn of_action(does: &str) -> Self {
        let found = ACTIONS.iter().find(|(own, _)| *own == does);
        found.map_or(Self::Unclear, |(_, meaning)| *meaning)
    }

    /// What a table must say for [`Self::of_action`] to find something.
    pub fn actions() -> impl Iterator<Item = &'static str> {
        ACTIONS.iter().map(|(does, _)| *does)
    }
}

impl Sets {
    /// What a setting sets, by its name and whose it is; `None` for all that does not matter here.
    #[must_use]
    pub fn named(setting: &str, of: &str) -> Option<Self> {
        let axis = || ["X", "Y", "Z", "E"].iter().position(|own| *own == of);
        match setting {
            "top-speed" => axis().map(Self::Speed),
            "acceleration" => axis().map(Self::Acceleration),
            "corner-speed" => axis().map(Self::SuddenChange),
            "print-acceleration" => Some(Self::Printing),
            "travel-acceleration" => Some(Self::Travelling),
            "retract-acceleration" => Some(Self::Retracting),
            "flow" => Some(Self::Flow),
            "filament-diameter" => Some(Self::Diameter),
            _ => None,
        }
    }
}

/// The words that are understood, and those that a controller was seen to know.
#[derive(Clone, Debug)]
pub struct Vocabulary {
    /// By letter (G, M) and ten times the number: 0 is not understood, else one more than the place in `meanings`.
    places: [Vec<u16>; 2],
    /// Those with larger numbers.
    rare: BTreeMap<Code, Meaning>,
    meanings: Vec<Meaning>,
    letters: Vec<Vec<Letter>>,
    known: BTreeSet<Code>,
}

/// What is looked up at once; larger numbers are rare.
const PLACES: usize = 10_000;

impl Default for Vocabulary {
    fn default() -> Self {
        Self {
            places: [vec![0; PLACES], vec![0; PLACES]],
            rare: BTreeMap::new(),
            meanings: Vec::new(),
            letters: Vec::new(),
            known: BTreeSet::new(),
        }
    }
}

impl Vocabulary {
    /// Takes up a word with what it means, such as `G92.1`; the last meaning counts. Returns whether it is a word: a G or M with a number.
    pub fn insert(&mut self, word: &str, meaning: Meaning) -> bool {
        let Some(code) = Code::parse(word).filter(|code| matches!(code.letter, b'G' | b'M')) else {
            return false;
        };
        match self.places[slot(code)].get_mut(code.tenths as usize) {
            Some(entry) => {
                let place = self.meanings.iter().position(|own| *own == meaning);
                let place = place.unwrap_or_else(|| {
                    self.meanings.push(meaning);
                    self.meanings.len() - 1
                });
                #[expect(
                    clippy::cast_possible_truncation,
                    reason = "there are no more meanings than places"
                )]
                {
                    *entry = place as u16 + 1;
                }
            }
            None => {
                self.rare.insert(code, meaning);
            }
        }
        true
    }

    /// Takes up a letter of a word that sets something, beside the letters that it has; what the word did before is forgotten.
    pub fn insert_letter(&mut self, word: &str, letter: Letter) -> bool {
        let own = Code::parse(word).and_then(|code| self.meaning(code));
        if let Some(Meaning::Sets(Letters(at))) = own {
            let letters = &mut self.letters[usize::from(at)];
            let same = |own: &Letter| (own.letter, own.beside) == (letter.letter, letter.beside);
            letters.retain(|own| !same(own));
            letters.push(letter);
            return true;
        }
        let Ok(at) = u16::try_from(self.letters.len()) else {
            return false;
        };
        self.letters.push(vec![letter]);
        self.insert(word, Meaning::Sets(Letters(at)))
    }

    /// Whether the word has a meaning.
    #[must_use]
    pub fn understands(&self, word: &str) -> bool {
        Code::parse(word).is_some_and(|code| self.meaning(code).is_some())
    }

    /// Notes that the controller was seen to know a word.
    pub fn know(&mut self, word: &str) {
        self.known.extend(Code::parse(word));
    }

    #[inline(always)]
    pub(crate) fn meaning(&self, code: Code) -> Option<Meaning> {
        match self.places[slot(code)].get(code.tenths as usize) {
            Some(entry) => self.meanings.get(usize::from(*entry).wrapping_sub(1)).copied(),
            None => self.rare.get(&code).copied(),
        }
    }

    pub(crate) fn letters(&self, letters: Letters) -> &[Letter] {
        &self.letters[usize::from(letters.0)]
    }

    pub(crate) fn knows(&self, code: Code) -> bool {
        self.known.contains(&code)
    }
}

fn slot(code: Code) -> usize {
    usize::from(code.letter == b'M')
}

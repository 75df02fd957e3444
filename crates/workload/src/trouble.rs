//! What was refused, skipped or not known: counted, with the first places.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::Serialize;

use crate::outcome::Place;
use crate::scan::Fault;

/// How many places are kept of each kind.
const PLACES: usize = 3;

/// How many names of words are kept.
const NAMES: usize = 200;

/// A kind of thing that occurred, how often, and the first lines.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Occurrence {
    /// What it is.
    pub what: String,
    /// How often it occurred.
    pub count: u64,
    /// The first places.
    pub places: Vec<Place>,
}

impl Occurrence {
    /// Adds another one of the same kind, which comes later.
    pub(crate) fn join(&mut self, later: &Self) {
        self.count += later.count;
        let room = PLACES.saturating_sub(self.places.len());
        self.places.extend(later.places.iter().take(room).cloned());
    }
}

/// Why something in a program was skipped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Skipped {
    /// The line cannot be read.
    Line(Fault),
    /// A feed that is not above zero.
    Feed,
    /// A place beyond all machines.
    TooFar,
    /// A radius with which the arc does not reach.
    Radius,
    /// Centre and ends do not fit.
    Centre,
    /// Neither radius nor centre.
    NoCentre,
    /// Ends where it begins, with a radius.
    NoWay,
    /// A setting that is not above zero, or a temperature that no heater has.
    Setting,
    /// A value whose unit nobody knows.
    Unit,
    /// A command of which nobody says what it does.
    Action,
    /// Filament shall be drawn back, and nobody said how far.
    Retraction,
    /// Beyond what the arms reach.
    Reach,
    /// A tool that the machine does not have.
    Tool,
    /// Behind the end of the program.
    BehindEnd,
}

impl Skipped {
    /// What happened.
    pub fn words(self) -> &'static str {
        match self {
            Self::Line(Fault::NotText) => "line skipped: not text",
            Self::Line(Fault::TooLong) => "line skipped: longer than 65 536 bytes",
            Self::Line(Fault::NoNumber) => "line skipped: a letter without a number",
            Self::Line(Fault::Twice) => "line skipped: a letter twice",
            Self::Line(Fault::NoCommand) => "line skipped: no such command number",
            Self::Line(Fault::TooManyCommands) => "line skipped: too many commands",
            Self::Line(Fault::OpenComment) => "line skipped: comment not closed",
            Self::Line(Fault::Checksum) => "line skipped: wrong checksum",
            Self::Line(Fault::Expression) => "line skipped: expression without a value",
            Self::Line(Fault::Stray) => "line skipped: a character that begins no word",
            Self::Feed => "feed ignored: not above zero",
            Self::TooFar => "move skipped: farther than 100 m",
            Self::Radius => "arc skipped: its radius does not reach its end",
            Self::Centre => "arc skipped: its centre is not equally far from both ends",
            Self::NoCentre => "arc skipped: neither centre nor radius",
            Self::NoWay => "arc skipped: ends where it begins, with a radius",
            Self::Setting => "value ignored: out of range",
            Self::Unit => "value not used: its unit is not known",
            Self::Action => {
                "command not judged: its words file does not say what it does in words of the handbook"
            }
            Self::Retraction => "retraction skipped: its length is not set",
            Self::Reach => "move beyond the reach of the arms",
            Self::Tool => "tool ignored: the machine does not have it",
            Self::BehindEnd => "line after the end of the program, not run",
        }
    }

    /// What leaves all motion as it is, or is told by itself.
    pub const NO_MOTION: [Self; 6] = [
        Self::BehindEnd,
        Self::Feed,
        Self::Setting,
        Self::Unit,
        Self::Action,
        Self::Tool,
    ];

    /// Whether what was skipped may have been motion.
    pub fn loses_motion(self) -> bool {
        !Self::NO_MOTION.contains(&self)
    }
}

#[derive(Clone, Debug, Default)]
struct Places {
    count: u64,
    lines: Vec<u64>,
}

impl Places {
    fn add(&mut self, line: u64) {
        self.count += 1;
        if self.lines.len() < PLACES {
            self.lines.push(line);
        }
    }

    fn told(&self, what: String, file: &Arc<str>) -> Occurrence {
        let place = |line: &u64| Place {
            file: file.clone(),
            line: *line,
        };
        Occurrence {
            what,
            count: self.count,
            places: self.lines.iter().map(place).collect(),
        }
    }
}

/// Counts by kind.
#[derive(Clone, Debug, Default)]
pub(crate) struct Troubles(BTreeMap<Skipped, Places>);

impl Troubles {
    pub fn add(&mut self, line: u64, what: Skipped) {
        self.0.entry(what).or_default().add(line);
    }

    /// How many lines lost their motion.
    pub fn lost(&self) -> u64 {
        let lost = self.0.iter().filter(|(kind, _)| kind.loses_motion());
        lost.map(|(_, places)| places.count).sum()
    }

    /// The kinds that occurred.
    pub fn told(&self, file: &Arc<str>) -> Vec<Occurrence> {
        let all = self.0.iter();
        all.map(|(kind, places)| places.told(kind.words().to_owned(), file))
            .collect()
    }
}

/// Words by their name, each with its first places.
#[derive(Clone, Debug, Default)]
pub(crate) struct Names {
    found: BTreeMap<String, Places>,
    /// Words for which there was no more room.
    rest: Places,
}

impl Names {
    pub fn add(&mut self, line: u64, name: &str) {
        if let Some(places) = self.found.get_mut(name) {
            places.add(line);
        } else if self.found.len() < NAMES {
            self.found.entry(name.to_owned()).or_default().add(line);
        } else {
            self.rest.add(line);
        }
    }

    /// The words in the order in which they first occur.
    pub fn told(&self, file: &Arc<str>) -> Vec<Occurrence> {
        let mut found: Vec<(&String, &Places)> = self.found.iter().collect();
        found.sort_by_key(|(_, places)| places.lines.first().copied());
        let mut all: Vec<Occurrence> = found
            .into_iter()
            .map(|(name, places)| places.told(name.clone(), file))
            .collect();
        if self.rest.count > 0 {
            all.push(self.rest.told("other words".to_owned(), file));
        }
        all
    }
}

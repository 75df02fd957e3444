//! What is wrong with a file that was given as an image or a card, and where in it.

use std::fmt;

use serde::{Serialize, Serializer};

/// A place in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// A line of a text, from 1.
    Line(usize),
    /// A byte, from 0.
    Byte(u64),
}

impl Place {
    pub(crate) fn later(self, other: Place) -> Place {
        self.max(other)
    }
    pub(crate) fn earlier(self, other: Place) -> Place {
        self.min(other)
    }
    /// "those of line 7", "those at byte 512".
    pub(crate) fn in_words(self, what: &str) -> String {
        match self {
            Place::Line(_) => format!("{what} of {self}"),
            Place::Byte(_) => format!("{what} at {self}"),
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::Line(line) => write!(formatter, "line {line}"),
            Place::Byte(byte) => write!(formatter, "byte {byte}"),
        }
    }
}

impl Serialize for Place {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// Something wrong at a place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fault {
    /// Where.
    pub place: Place,
    /// What.
    pub what: String,
}

impl Fault {
    pub(crate) fn new(place: Place, what: impl Into<String>) -> Self {
        Self {
            place,
            what: what.into(),
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}: {}", self.place, self.what)
    }
}

/// The faults of a file: the first ones met are kept, all are counted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Faults {
    pub kept: Vec<Fault>,
    pub count: usize,
}

impl Faults {
    pub fn push(&mut self, place: Place, what: impl Into<String>) {
        if self.kept.len() < Refused::MOST {
            self.kept.push(Fault::new(place, what));
        }
        self.count += 1;
    }
    pub fn append(&mut self, other: Faults) {
        self.count += other.count - other.kept.len();
        for fault in other.kept {
            self.push(fault.place, fault.what);
        }
    }
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }
}

/// Why a file cannot be taken for an image or a card.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Refused {
    /// What is wrong with it as a whole.
    pub problem: String,
    /// Every fault, in the order of the file; at most [`Refused::MOST`].
    pub faults: Vec<Fault>,
    /// How many more there are.
    pub more: usize,
    /// What to do about it.
    pub remedy: String,
}

impl Refused {
    /// The most faults that are listed; the others are counted.
    pub const MOST: usize = 20;

    pub(crate) fn new(problem: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            problem: problem.into(),
            faults: Vec::new(),
            more: 0,
            remedy: remedy.into(),
        }
    }
    pub(crate) fn with(mut self, faults: Faults) -> Self {
        let mut kept = faults.kept;
        kept.sort_by_key(|fault| fault.place);
        self.more = faults.count - kept.len();
        self.faults = kept;
        self
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}", self.problem)?;
        for fault in &self.faults {
            write!(formatter, "\n  {fault}")?;
        }
        if self.more > 0 {
            write!(formatter, "\n  and {} more", self.more)?;
        }
        Ok(())
    }
}

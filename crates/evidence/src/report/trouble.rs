//! What could not be read or was left out, and the reason why a file says nothing at all.

use serde::Serialize;

/// Something that could not be read or was left out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Trouble {
    /// The line, from 1; nothing where it is about the whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<u64>,
    /// What it is, what was expected and how to mend it.
    pub what: String,
    /// How many lines share it.
    pub count: u64,
    /// Whether these lines would have said something about the question, had they been read.
    #[serde(skip)]
    pub(crate) is_lost: bool,
}

/// Why a file says nothing about its question: what is wrong with it, and how to mend that.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Refused {
    /// What is wrong, a headline that stands alone, without full stop.
    pub problem: String,
    /// What was expected, or how to mend it.
    pub mend: String,
    /// Single lines that led to it.
    pub troubles: Vec<Trouble>,
}

impl Refused {
    /// A refusal of the whole.
    #[must_use]
    pub fn new(problem: impl Into<String>, mend: impl Into<String>) -> Self {
        Self {
            problem: problem.into(),
            mend: mend.into(),
            troubles: Vec::new(),
        }
    }
    /// The same, where rows were lost that might have said otherwise.
    #[must_use]
    pub fn heeding_lost_rows(mut self) -> Self {
        let lost = lost(&self.troubles);
        if lost > 0 {
            self.mend = format!(
                "first mend the {lost} rows that could not be read; then, {}",
                self.mend
            );
        }
        self
    }
    /// The same with the lines that led to it.
    #[must_use]
    pub fn because_of(mut self, troubles: Vec<Trouble>) -> Self {
        self.troubles = troubles;
        self
    }
}

impl core::fmt::Display for Refused {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(formatter, "{}: {}", self.problem, self.mend)
    }
}

impl core::error::Error for Refused {}

/// How many rows were lost; one with two broken cells counts once for each.
pub(super) fn lost(troubles: &[Trouble]) -> u64 {
    troubles
        .iter()
        .filter(|own| own.is_lost)
        .map(|own| own.count)
        .max()
        .unwrap_or(0)
}

impl Trouble {
    /// Something about one line, from 1.
    #[must_use]
    pub fn at(line: u64, what: impl Into<String>) -> Self {
        Self {
            line: Some(line),
            what: what.into(),
            count: 1,
            is_lost: false,
        }
    }
    /// A row of a table, by its line from 1, that would have said something and could not be read.
    #[must_use]
    pub(crate) fn lost(line: u64, what: impl Into<String>) -> Self {
        Self {
            is_lost: true,
            ..Self::at(line, what)
        }
    }
    /// Something about the whole file.
    #[must_use]
    pub fn of_all(what: impl Into<String>) -> Self {
        Self {
            line: None,
            what: what.into(),
            count: 1,
            is_lost: false,
        }
    }
}

impl core::fmt::Display for Trouble {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match (self.line, self.count) {
            (Some(line), 0 | 1) => write!(formatter, "line {line}: {}", self.what),
            (Some(line), more) => write!(formatter, "line {line} and {} more: {}", more - 1, self.what),
            (None, _) => formatter.write_str(&self.what),
        }
    }
}

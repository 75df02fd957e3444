//! One row, and how it is chained to the one before.

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// What a row tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A person let a live action begin.
    Confirmed,
    /// A reading, or what was seen.
    Reading,
    /// Something was left out, with a reason.
    LeftOut,
    /// A file was attached: its name, and its SHA-256 as the value.
    Attached,
    /// A remark.
    Remark,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Confirmed,
        Self::Reading,
        Self::LeftOut,
        Self::Attached,
        Self::Remark,
    ];

    /// As it stands in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Confirmed => "confirmed",
            Self::Reading => "reading",
            Self::LeftOut => "left-out",
            Self::Attached => "attached",
            Self::Remark => "remark",
        }
    }
}

/// Whether a reading is as expected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Within its limits, or as described.
    Pass,
    /// Not.
    Fail,
}

impl Verdict {
    /// Both of them.
    pub const ALL: [Self; 2] = [Self::Pass, Self::Fail];

    /// As it stands in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Fail => "fail",
        }
    }
}

/// What is to be recorded.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// What it tells.
    pub kind: Kind,
    /// The step, or the part of one, that it belongs to.
    pub step: String,
    /// What was read, as the step names it; empty where that is clear.
    #[serde(default)]
    pub what: String,
    /// The reading as it was typed, with its unit.
    #[serde(default)]
    pub value: String,
    /// How it was judged.
    #[serde(default)]
    pub verdict: Option<Verdict>,
    /// Limits of a reading, reason for leaving out, words of a remark.
    #[serde(default)]
    pub reason: String,
    /// What of the plan the step rested on, as JSON; what changes later shows by it.
    #[serde(default)]
    pub basis: String,
    /// The row that this one corrects.
    #[serde(default)]
    pub corrects: Option<u64>,
}

impl Entry {
    /// An entry for a step, of which all else is empty.
    #[must_use]
    pub fn of(kind: Kind, step: impl Into<String>) -> Self {
        Self {
            kind,
            step: step.into(),
            what: String::new(),
            value: String::new(),
            verdict: None,
            reason: String::new(),
            basis: String::new(),
            corrects: None,
        }
    }
}

/// Against what a row was recorded.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    /// Who read it.
    pub who: String,
    /// The board whose plan was followed.
    pub board: String,
    /// SHA-256 of the files of the swap, as hexadecimal digits.
    pub files: String,
}

/// What was recorded.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Row {
    /// From 1 on, without a gap.
    pub number: u64,
    /// When, in universal time: `2026-01-31T12:00:00.000Z`, by the clock of the machine.
    pub at: String,
    /// Against what.
    #[serde(flatten)]
    pub stamp: Stamp,
    /// What.
    #[serde(flatten)]
    pub entry: Entry,
    /// The [`Row::hash`] of the row before; of the first the hash of nothing.
    pub before: String,
    /// SHA-256 of all the others, as hexadecimal digits.
    pub hash: String,
}

impl Row {
    /// A row behind another one, or the first.
    #[must_use]
    pub fn behind(last: Option<&Self>, at: String, stamp: Stamp, entry: Entry) -> Self {
        let mut row = Self {
            number: last.map_or(1, |last| last.number + 1),
            at,
            stamp,
            entry,
            before: last.map_or_else(|| sha256(b""), |last| last.hash.clone()),
            hash: String::new(),
        };
        row.hash = row.digest();
        row
    }

    /// What its hash should be: over the JSON of a list of all its other columns, in their order.
    fn digest(&self) -> String {
        let (stamp, entry) = (&self.stamp, &self.entry);
        let columns = serde_json::json!([
            self.before,
            self.number,
            self.at,
            stamp.who,
            stamp.board,
            stamp.files,
            entry.kind.word(),
            entry.step,
            entry.what,
            entry.value,
            entry.verdict.map(Verdict::word),
            entry.reason,
            entry.basis,
            entry.corrects,
        ]);
        sha256(columns.to_string().as_bytes())
    }

    /// What tells that the row does not stand behind another one as it was written.
    pub(crate) fn fault(&self, last: Option<&Self>) -> Option<&'static str> {
        let number = last.map_or(1, |last| last.number + 1);
        let before = last.map_or_else(|| sha256(b""), |last| last.hash.clone());
        if self.number != number {
            Some("a row before it is missing, or stands twice")
        } else if self.before != before {
            Some("the row before it is another one")
        } else if self.hash != self.digest() {
            Some("its text does not fit its hash")
        } else {
            None
        }
    }
}

/// SHA-256 as hexadecimal digits (FIPS 180-4).
#[must_use]
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

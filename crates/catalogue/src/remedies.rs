//! What it usually takes to settle a finding that a plan leaves to decide.

use quantity::Value;
use quantity::si::{Time, second};
use serde::Deserialize;

use crate::field;
use crate::table::{Sure, Table, own_statement, row};

/// Parts and time for the first thing that a check asks for.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remedy {
    /// A check, or the beginning of the identifier of its findings: `lead-fuse`, `lead-fuse:thin-leads`.
    pub name: String,
    /// Names of rows in `parts.toml`.
    #[serde(default)]
    pub parts: Vec<String>,
    /// Time beyond that of the parts; none where nothing is said.
    #[serde(default = "no_time", deserialize_with = "field::value")]
    pub effort: Value<Time>,
    /// Whether it costs the parts and no more; otherwise the price depends on what is chosen.
    #[serde(default = "yes")]
    pub priced: bool,
    /// Key of the source.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the row.
    #[serde(default)]
    pub sure: Sure,
}

row!(Remedy, "remedy", name);

fn no_time() -> Value<Time> {
    Value::exact(second(0.0))
}

fn yes() -> bool {
    true
}

impl Table<Remedy> {
    /// The row for a finding by its identifier: the one with the longest name that it begins with, up to `:` or `-`.
    #[must_use]
    pub fn of(&self, id: &str) -> Option<&Remedy> {
        let begins = |row: &&Remedy| {
            id.strip_prefix(&*row.name)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with([':', '-']))
        };
        self.rows().iter().filter(begins).max_by_key(|row| row.name.len())
    }
}

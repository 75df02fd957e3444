//! Kinds of devices, ports and drivers: what a row of a file states by naming one.

use std::sync::OnceLock;

use serde::Deserialize;
use toml::Value;

use crate::table::{Sure, own_statement, row};
use crate::usual::literal;

/// What a row states that says `like = "NAME"`.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Kind {
    /// The name of the kind.
    pub name: String,
    /// The kind of table that may be like it, as messages call it: `device`, `port`, `driver`, `axis`.
    pub of: String,
    /// What it states, under the keys of that table.
    pub states: toml::Table,
    /// Key of the source.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the row.
    #[serde(default)]
    pub sure: Sure,
    #[serde(skip)]
    text: OnceLock<String>,
}

row!(Kind, "kind", name, contradictions);

/// The tables that can be like a kind.
const TABLES: [&str; 4] = ["device", "port", "driver", "axis"];

impl Kind {
    /// What it states as one TOML value.
    #[must_use]
    pub fn text(&self) -> &str {
        self.text
            .get_or_init(|| literal(&Value::Table(self.states.clone())))
    }
    /// How many values it states.
    #[must_use]
    pub fn values(&self) -> usize {
        fn count(value: &Value) -> usize {
            match value {
                Value::Array(items) => items.iter().map(count).sum(),
                Value::Table(table) => table.values().map(count).sum(),
                _ => 1,
            }
        }
        self.states.values().map(count).sum()
    }
}

fn contradictions(row: &Kind) -> Vec<String> {
    if TABLES.contains(&row.of.as_str()) {
        Vec::new()
    } else {
        vec![format!("`of` must be one of {}", TABLES.join(", "))]
    }
}

//! The table `data/bounds.toml`: what each key may hold at both ends.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::Reader;
use crate::diagnostic::{Diagnostic, with_article};
use crate::source::Place;

/// The text of each bound, by the kind of table and the key.
static TABLE: LazyLock<BTreeMap<String, BTreeMap<String, String>>> = LazyLock::new(|| {
    toml::from_str(include_str!("../../../../data/bounds.toml"))
        .expect("the shipped table, which a test reads")
});

/// The key whose value is being read, with the kind of its table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Asked {
    pub table: &'static str,
    pub key: &'static str,
}

impl Asked {
    /// What may stand there: "0.5 mm .. 20 mm".
    pub fn bound(self) -> Option<&'static str> {
        Some(TABLE.get(self.table)?.get(self.key)?.as_str())
    }
}

/// Which end a value lies beyond.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Beyond {
    Low,
    High,
}

/// Whether a value keeps to the bound of the key that is being read: `holds` parses the bound and says which end the value lies beyond.
/// Reports a fault where it does not.
pub(crate) fn keeps(
    reader: &mut Reader<'_>,
    place: Place,
    beyond: impl FnOnce(&'static str) -> Option<Beyond>,
) -> Option<()> {
    let Some(asked) = reader.asked.filter(|_| reader.bounded) else {
        return Some(());
    };
    let Some((bound, end)) = asked.bound().and_then(|bound| Some((bound, beyond(bound)?))) else {
        return Some(());
    };
    let (problem, side, limit) = match (end, bound.split_once(" .. ")) {
        (Beyond::Low, Some((low, _))) => ("the value is too small", "at least", low),
        (Beyond::High, Some((_, high))) => ("the value is too large", "at most", high),
        (_, None) => return Some(()),
    };
    let plain = low_of(bound).parse::<f64>().is_ok();
    reader.faults.push(
        Diagnostic::new(
            "implausible-value",
            place,
            format!(
                "{problem}: `{}` of {} is {side} {limit}",
                asked.key,
                with_article(asked.table)
            ),
            problem,
        )
        .expected(bound.replace(" .. ", " to "))
        .help((!plain).then(|| "check the decimal point, the unit and its prefix".to_owned())),
    );
    None
}

fn low_of(bound: &str) -> &str {
    bound.split(" .. ").next().unwrap_or(bound)
}

/// Which end of "a .. b" a plain number lies beyond.
pub(crate) fn beyond_numbers(bound: &str, number: f64) -> Option<Beyond> {
    let (low, high) = bound.split_once(" .. ")?;
    let [low, high]: [f64; 2] = [low.parse().ok()?, high.parse().ok()?];
    beyond(number, number, low, high)
}

/// Which end of a range a value with its own ends lies beyond; a hair is rounding.
pub(crate) fn beyond(value_low: f64, value_high: f64, low: f64, high: f64) -> Option<Beyond> {
    let hair = |end: f64| 1e-9 * end.abs();
    if value_low < low - hair(low) {
        Some(Beyond::Low)
    } else if value_high > high + hair(high) {
        Some(Beyond::High)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use serde_json::Value as Json;

    use super::*;

    /// The keys of a schema that hold numbers, with or without a unit.
    fn numeric(schema: &Json, out: &mut BTreeSet<String>) {
        let Some(properties) = schema["properties"].as_object() else {
            if schema["items"].is_object() {
                numeric(&schema["items"], out);
            }
            if schema["additionalProperties"].is_object() {
                numeric(&schema["additionalProperties"], out);
            }
            return;
        };
        for (key, property) in properties {
            if is_number(property) || is_number(&property["items"]) {
                out.insert(key.clone());
            }
            numeric(property, out);
        }
    }

    fn is_number(schema: &Json) -> bool {
        let text = schema.to_string();
        schema["type"] == "integer"
            || schema["pattern"] == "[0-9]"
            || schema["type"] != "object"
                && schema["items"]["type"] != "object"
                && ["EUR", "KiB", "AWG", "12 mm"]
                    .iter()
                    .any(|example| text.contains(example))
    }

    /// A key without a row would take any value of its kind; a row without a key bounds nothing.
    #[test]
    fn each_number_of_the_format_has_a_bound_and_each_bound_a_number() {
        let mut keys = BTreeSet::new();
        for name in crate::SCHEMAS {
            numeric(&crate::schema(name).expect("a schema"), &mut keys);
        }
        let rows: BTreeSet<String> = TABLE.values().flat_map(|rows| rows.keys().cloned()).collect();
        let lacking: Vec<_> = keys.difference(&rows).collect();
        let idle: Vec<_> = rows.difference(&keys).collect();
        assert!(
            lacking.is_empty() && idle.is_empty(),
            "no row: {lacking:?}; no key: {idle:?}"
        );
        assert!(keys.len() > 100, "{}", keys.len());
    }

    #[test]
    fn each_row_has_two_ends() {
        for (table, rows) in &*TABLE {
            for (key, bound) in rows {
                assert!(bound.split_once(" .. ").is_some(), "{table}.{key}: {bound}");
            }
        }
    }
}

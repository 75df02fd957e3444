//! What is usual in the trade: what stands for a value that nobody stated.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;
use toml::Value;

use crate::table::Sure;

/// What stands for a key that is not stated, and what else is found there.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Usual {
    /// The kind of table, as messages call it.
    pub of: String,
    /// The key.
    pub key: String,
    /// Words that stand in the table, or around it, where the row holds; everywhere where there is none.
    #[serde(default)]
    pub when: BTreeMap<String, String>,
    /// A word of the name or tag of the table, or of one around it.
    #[serde(default)]
    pub called: Option<String>,
    /// What is taken: an interval, a word, a list of them. `{key}` stands for the word of another key.
    pub value: Value,
    /// Other answers that are found, the two that differ most; of an interval its ends where nothing is said.
    #[serde(default)]
    pub also: Vec<Value>,
    /// Key of the source.
    pub source: String,
    /// How far to trust the row.
    pub sure: Sure,
}

/// How a fact is found out.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// The kind of table, as messages call it.
    pub of: String,
    /// The keys.
    pub keys: Vec<String>,
    /// What to do, in the imperative; no full stop.
    #[serde(rename = "do")]
    pub act: String,
    /// With which tool.
    pub tool: String,
    /// How many minutes it takes.
    pub minutes: u32,
    /// The state of the machine: `unplugged`, or `any` where nobody touches it.
    pub state: String,
    /// What it is needed for: `board` (which one), `wiring`, `protection`, `speeds`, `settings`.
    pub purposes: Vec<String>,
    /// Key of the source.
    pub source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Questions {
    question: Vec<Question>,
}

static QUESTIONS: LazyLock<Vec<Question>> = LazyLock::new(|| {
    let file: Questions = toml::from_str(include_str!("../../../data/usual/questions.toml"))
        .expect("the shipped table, which a test reads");
    file.question
});

/// How a fact is found out; `None` where no row says it.
#[must_use]
pub fn question(of: &str, key: &str) -> Option<&'static Question> {
    QUESTIONS
        .iter()
        .find(|row| row.of == of && row.keys.iter().any(|own| own == key))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    usual: Vec<Usual>,
}

static ROWS: LazyLock<BTreeMap<(String, String), Vec<Usual>>> = LazyLock::new(|| {
    let files = [
        include_str!("../../../data/usual/machine.toml"),
        include_str!("../../../data/usual/board.toml"),
    ];
    let mut rows: BTreeMap<_, Vec<Usual>> = BTreeMap::new();
    for file in files {
        let file: File = toml::from_str(file).expect("the shipped table, which a test reads");
        for row in file.usual {
            rows.entry((row.of.clone(), row.key.clone()))
                .or_default()
                .push(row);
        }
    }
    rows
});

/// What is usual for a key of a kind of table; `word` gives the words that stand in it or around it, those of the inmost table first.
#[must_use]
pub fn usual<'w>(of: &str, key: &str, word: impl Fn(&str) -> Vec<&'w str>) -> Option<&'static Usual> {
    rows_of(of, key).iter().find(|row| {
        let fits = row
            .when
            .iter()
            .all(|(key, wanted)| word(key).first().is_some_and(|found| found == wanted));
        let called = row.called.as_deref().is_none_or(|part| {
            let mut names = word("name").into_iter().chain(word("tag"));
            names.any(|name| is_called(name, part))
        });
        fits && called
    })
}

/// A value as TOML writes it; rows hold texts, numbers, truths, lists and tables of these.
#[must_use]
pub fn literal(value: &Value) -> String {
    match value {
        Value::Array(items) => {
            let items: Vec<String> = items.iter().map(literal).collect();
            format!("[{}]", items.join(", "))
        }
        Value::Table(table) => {
            let pairs = table.iter();
            let pairs: Vec<String> = pairs
                .map(|(key, value)| format!("{} = {}", Value::from(key.as_str()), literal(value)))
                .collect();
            format!("{{ {} }}", pairs.join(", "))
        }
        // Texts with quotes inside are escaped.
        other => other.to_string(),
    }
}

/// All rows for a key of a kind of table.
#[must_use]
pub fn rows_of(of: &str, key: &str) -> &'static [Usual] {
    // The key is built anew: there are a few hundred lookups for what a file leaves out, and none for what it states.
    ROWS.get(&(of.to_owned(), key.to_owned()))
        .map_or(&[], Vec::as_slice)
}

/// Whether a name has a part: a longer word anywhere, a letter as a word of its own, at the end of a tag, or before its number.
fn is_called(name: &str, part: &str) -> bool {
    if part.chars().count() > 1 {
        return name.to_lowercase().contains(&part.to_lowercase());
    }
    let words = name.split(|letter: char| !letter.is_alphanumeric());
    words.into_iter().any(|word| {
        let stem = word.trim_end_matches(|letter: char| letter.is_ascii_digit());
        let tag = stem.len() <= 3 && stem.chars().all(|letter| letter.is_ascii_uppercase());
        stem == part || tag && stem.ends_with(part)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_row_has_a_source_that_is_known() {
        let rows: Vec<&Usual> = ROWS.values().flatten().collect();
        assert!(rows.len() > 80, "{}", rows.len());
        for row in rows {
            let known = crate::built_in().sources().get(&row.source).is_some();
            assert!(known, "{}.{}: {}", row.of, row.key, row.source);
            assert_ne!(row.sure, Sure::AsStated, "{}.{}", row.of, row.key);
        }
    }

    #[test]
    fn each_fact_can_be_asked_for() {
        // Names are what the user likes to call things; screws without a place and bodies are left out, not asked for.
        let unasked = |of: &str, key: &str| {
            ["name", "weight", "material"].contains(&key)
                || of == "bed screw"
                || ["coupling", "second_conductance", "second_capacity"].contains(&key)
        };
        for (of, key) in ROWS.keys().filter(|(of, key)| !unasked(of, key)) {
            assert!(question(of, key).is_some(), "{of}.{key}");
        }
        for row in &*QUESTIONS {
            assert!(["unplugged", "any"].contains(&row.state.as_str()), "{}", row.act);
            assert!(crate::built_in().sources().get(&row.source).is_some());
        }
    }

    #[test]
    fn the_last_row_of_a_key_holds_everywhere_or_nothing_is_taken() {
        // The current of a device stands on its label, but for switches and sensors; a jumper with a purpose chooses no rail.
        for ((of, key), rows) in &*ROWS {
            let last = rows.last().expect("a row");
            let general = last.when.is_empty() && last.called.is_none();
            let known = [("device", "current"), ("jumper", "rails")].contains(&(of.as_str(), key.as_str()));
            assert!(general || known, "{of}.{key}: its last row has a condition");
        }
    }

    #[test]
    fn a_letter_is_found_in_names_and_tags() {
        for (name, part) in [
            ("MX", "X"),
            ("motor X", "X"),
            ("Z2", "Z"),
            ("LZ", "Z"),
            ("Bed heater", "bed"),
        ] {
            assert!(is_called(name, part), "{name} {part}");
        }
        for (name, part) in [("EXTRA", "X"), ("motor of the extruder", "E"), ("X", "Y")] {
            assert!(!is_called(name, part), "{name} {part}");
        }
    }
}

//! Keys and words of a swap's files that had another name before.

use std::sync::OnceLock;

use serde::Deserialize;

/// A key that has another name now.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Key {
    table: String,
    #[serde(rename = "at")]
    _at: String,
    old: String,
    new: String,
    #[serde(default)]
    kinds: Vec<String>,
}

/// A word that has another name now.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Word {
    list: String,
    #[serde(rename = "at")]
    _at: String,
    #[serde(rename = "key")]
    _key: String,
    old: String,
    new: String,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Renamed {
    #[serde(rename = "key")]
    keys: Vec<Key>,
    #[serde(rename = "word")]
    words: Vec<Word>,
}

fn renamed() -> &'static Renamed {
    static ROWS: OnceLock<Renamed> = OnceLock::new();
    ROWS.get_or_init(|| {
        toml::from_str(include_str!("../../../data/renamed.toml")).expect("the table that is built in")
    })
}

/// What the key `old` of a table is called now; `kind` is the measurement's kind, where the table is of one.
/// Nothing where it never was a key there.
#[must_use]
pub fn renamed_key(table: &str, old: &str, kind: Option<&str>) -> Option<&'static str> {
    let kind = kind.map(|kind| renamed_word("kind of evidence", kind).unwrap_or(kind));
    let mut rows = renamed()
        .keys
        .iter()
        .filter(|row| row.table == table && row.old == old);
    let row =
        rows.find(|row| row.kinds.is_empty() || row.kinds.iter().any(|own| Some(own.as_str()) == kind))?;
    Some(&row.new)
}

/// What a word of a list is called now; `list` is what messages call the list.
#[must_use]
pub fn renamed_word(list: &str, old: &str) -> Option<&'static str> {
    let mut rows = renamed().words.iter();
    Some(&rows.find(|row| row.list == list && row.old == old)?.new)
}

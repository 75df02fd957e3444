//! The one shape of a result: verdict, headline with number and limit, what to do, what would settle it.

use std::fmt;

use quantity::Memory;
use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};

/// What a check says; ordered from good to bad.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// It holds.
    Pass,
    /// A fact is missing that decides it.
    Open,
    /// It does not hold.
    Fail,
}

impl Verdict {
    /// The word on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Pass => "pass",
            Verdict::Open => "open",
            Verdict::Fail => "fail",
        }
    }
}

/// A number of a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Amount {
    /// Memory.
    Memory(Memory),
    /// An address.
    Address(u32),
    /// So many of something.
    Count(u64),
}

impl Amount {
    pub(crate) fn bytes(count: u64) -> Self {
        Amount::Memory(Memory::from_bytes(count))
    }
}

impl fmt::Display for Amount {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Amount::Memory(memory) => formatter.write_str(&size(memory.bytes())),
            Amount::Address(address) => formatter.write_str(&hex(*address)),
            Amount::Count(count) => write!(formatter, "{count}"),
        }
    }
}

/// As JSON: the text for people, and the plain number.
impl Serialize for Amount {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut out = serializer.serialize_map(Some(2))?;
        out.serialize_entry("text", &self.to_string())?;
        match self {
            Amount::Memory(memory) => out.serialize_entry("bytes", &memory.bytes())?,
            Amount::Address(address) => out.serialize_entry("address", address)?,
            Amount::Count(count) => out.serialize_entry("count", count)?,
        }
        out.end()
    }
}

/// The result of one check.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Check {
    /// A stable name.
    pub id: &'static str,
    /// What it says.
    pub verdict: Verdict,
    /// Sentences that stand alone, without the remedy.
    pub headline: String,
    /// The number that was judged.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<Amount>,
    /// What it was held against.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<Amount>,
    /// What to do; always there where the verdict is no pass.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remedy: Option<String>,
    /// The fact that would settle an open verdict.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub missing: Option<String>,
    /// Key of the bibliography for the rule.
    pub source: &'static str,
}

impl Check {
    fn new(id: &'static str, verdict: Verdict, headline: impl Into<String>) -> Self {
        Self {
            id,
            verdict,
            headline: headline.into(),
            value: None,
            limit: None,
            remedy: None,
            missing: None,
            source: "common-practice",
        }
    }
    pub(crate) fn pass(id: &'static str, headline: impl Into<String>) -> Self {
        Self::new(id, Verdict::Pass, headline)
    }
    pub(crate) fn fail(id: &'static str, headline: impl Into<String>, remedy: impl Into<String>) -> Self {
        let mut check = Self::new(id, Verdict::Fail, headline);
        check.remedy = Some(remedy.into());
        check
    }
    /// `missing` is the fact, as words that go on "it is not known": "the boot offset of the board".
    pub(crate) fn open(
        id: &'static str,
        headline: impl Into<String>,
        missing: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        let mut check = Self::new(id, Verdict::Open, headline);
        check.missing = Some(missing.into());
        check.remedy = Some(remedy.into());
        check
    }
    pub(crate) fn value(mut self, value: Amount) -> Self {
        self.value = Some(value);
        self
    }
    pub(crate) fn limit(mut self, limit: Amount) -> Self {
        self.limit = Some(limit);
        self
    }
    pub(crate) fn source(mut self, source: &'static str) -> Self {
        self.source = source;
        self
    }
}

/// An address as people write it.
pub(crate) fn hex(address: u32) -> String {
    format!("0x{address:08X}")
}

/// An amount of memory with at most one decimal.
pub(crate) fn size(bytes: u64) -> String {
    const KIB: u64 = 1024;
    let memory = Memory::from_bytes(bytes).to_string();
    if !memory.ends_with(" B") || bytes < 10 * KIB {
        return memory;
    }
    let (unit, name) = if bytes < KIB * KIB {
        (KIB, "KiB")
    } else {
        (KIB * KIB, "MiB")
    };
    // Tenths, rounded to nearest; the product cannot overflow where the amount is that of a file or a card.
    let tenths = bytes.saturating_mul(10).saturating_add(unit / 2) / unit;
    format!("{}.{} {name}", tenths / 10, tenths % 10)
}

/// A text from a file as it can be shown: what steers a terminal becomes `_`.
pub(crate) fn printable(text: &str) -> String {
    text.chars()
        .map(|letter| if letter.is_control() { '_' } else { letter })
        .collect()
}

/// "1 byte", "2 bytes".
pub(crate) fn count(number: u64, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// "a", "a and b", "a, b and c", "a, b, c and 4 more".
pub(crate) fn list(items: &[String], most: usize) -> String {
    let shown = items.len().min(most.max(1));
    let more = items.len() - shown;
    let mut words: Vec<String> = items[..shown].to_vec();
    if more > 0 {
        words.push(format!("{more} more"));
    }
    match words.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_keep_what_is_whole_and_round_the_rest() {
        assert_eq!(size(28), "28 B");
        assert_eq!(size(32 << 10), "32 KiB");
        assert_eq!(size(9999), "9999 B");
        assert_eq!(size(201_000), "196.3 KiB");
        assert_eq!(size(3 << 20), "3 MiB");
        assert_eq!(size(5_000_000), "4.8 MiB");
    }

    #[test]
    fn lists_are_cut_and_say_so() {
        let items: Vec<String> = ["a", "b", "c", "d"].map(String::from).to_vec();
        assert_eq!(list(&items[..1], 3), "a");
        assert_eq!(list(&items[..2], 3), "a and b");
        assert_eq!(list(&items, 2), "a, b and 2 more");
        assert_eq!(list(&[], 2), "");
    }
}

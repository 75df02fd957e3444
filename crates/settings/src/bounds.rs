//! The table `data/reported.toml`: what a reported number may be by its kind, beside the machine's files, and beside its neighbours.

use std::sync::LazyLock;

use model::{Counted, Topic};
use plan::Stake;
use quantity::{AnyValue, Digits, Kind, show};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Table {
    bound: Vec<Bound>,
    beside: Vec<Beside>,
    relation: Vec<Relation>,
}

/// What a number may be on any machine.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Bound {
    settings: Vec<String>,
    #[serde(default)]
    of: Vec<String>,
    #[serde(default)]
    unit: String,
    #[serde(default)]
    low: f64,
    #[serde(default)]
    high: f64,
    /// A second range.
    #[serde(default)]
    also: Option<[f64; 2]>,
    #[serde(default)]
    one_of: Vec<f64>,
    #[serde(default)]
    off: bool,
    stake: String,
    /// Key of the bibliography.
    pub source: String,
}

/// How far a number may lie from what the files state, as factors.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Beside {
    settings: Vec<String>,
    /// From here on it is told.
    pub told: f64,
    /// From here on the number is left out.
    pub left_out: f64,
    /// Key of the bibliography.
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(
    not(test),
    expect(
        dead_code,
        reason = "whoever edits the table reads reason and source, and a test does"
    )
)]
struct Relation {
    key: String,
    value: f64,
    reason: String,
    source: String,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| {
    toml::from_str(include_str!("../../../data/reported.toml"))
        .expect("the shipped table, which a test reads")
});

/// The bound of a setting of a part.
pub(crate) fn bound(topic: Topic, of: &str) -> Option<&'static Bound> {
    TABLE.bound.iter().find(|bound| {
        bound.settings.iter().any(|name| name == topic.id())
            && (bound.of.is_empty() || bound.of.iter().any(|part| part == of))
    })
}

/// How far a setting may lie from what the files state.
pub(crate) fn beside(topic: Topic) -> Option<&'static Beside> {
    let row = |row: &&Beside| row.settings.iter().any(|name| name == topic.id());
    TABLE.beside.iter().find(row)
}

/// A relation by its key.
///
/// # Panics
/// Where the shipped table has no such row, which a test excludes.
pub(crate) fn relation(key: &str) -> f64 {
    let row = TABLE.relation.iter().find(|row| row.key == key);
    row.unwrap_or_else(|| panic!("no relation `{key}`")).value
}

impl Bound {
    /// What a wrong value can harm.
    pub fn stake(&self) -> Stake {
        let named = |stake: &Stake| stake.words() == self.stake;
        [Stake::Function, Stake::Hardware, Stake::Safety]
            .into_iter()
            .find(named)
            .unwrap_or(Stake::Safety)
    }

    fn base(&self, topic: Topic, number: f64) -> f64 {
        match topic.counted() {
            Counted::In(kind) => {
                AnyValue::in_unit(kind, number, &self.unit).map_or(f64::NAN, |value| value.nominal)
            }
            Counted::Number | Counted::Words => number,
        }
    }

    /// Whether a value, in base units, is possible.
    pub fn holds(&self, topic: Topic, value: f64) -> bool {
        let off = self.off && (value - self.base(topic, 0.0)).abs() < 1e-9;
        let inside = |low: f64, high: f64| {
            let (low, high) = (self.base(topic, low), self.base(topic, high));
            (low - 1e-9 * low.abs()..=high + 1e-9 * high.abs()).contains(&value)
        };
        if !value.is_finite() {
            return false;
        }
        let listed = self.one_of.iter().any(|one| (one - value).abs() < 1e-9);
        off || listed
            || self.one_of.is_empty()
                && (inside(self.low, self.high) || self.also.is_some_and(|[low, high]| inside(low, high)))
    }

    /// What is possible, in words: "from 0.5 mm/s to 2000 mm/s".
    pub fn words(&self, topic: Topic) -> String {
        let said = |number: f64| match topic.counted() {
            Counted::In(kind) => shown(kind, self.base(topic, number)),
            Counted::Number | Counted::Words => plain(number),
        };
        if !self.one_of.is_empty() {
            let all: Vec<String> = self.one_of.iter().map(|one| plain(*one)).collect();
            return format!("one of {}", all.join(", "));
        }
        let mut words = format!("from {} to {}", said(self.low), said(self.high));
        if let Some([low, high]) = self.also {
            words = format!("{words} or from {} to {}", said(low), said(high));
        }
        if self.off && self.low > 0.0 {
            words = format!("{words}, or off");
        }
        words
    }
}

fn shown(kind: Kind, base: f64) -> String {
    let exact = AnyValue {
        kind,
        nominal: base,
        low: base,
        high: base,
    };
    show(&exact, Digits::new(4))
}

fn plain(number: f64) -> String {
    let text = format!("{number:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_row_names_settings_units_stakes_and_sources_that_there_are() {
        let sources = catalogue::built_in().sources();
        let known = |names: &[String]| {
            for name in names {
                assert!(Topic::named(name).is_some(), "{name} is no setting");
            }
        };
        for bound in &TABLE.bound {
            known(&bound.settings);
            assert!(sources.get(&bound.source).is_some(), "{}", bound.source);
            assert_eq!(bound.stake().words(), bound.stake);
            assert!(
                !bound.one_of.is_empty() || bound.low < bound.high,
                "{:?}",
                bound.settings
            );
            for name in &bound.settings {
                let topic = Topic::named(name).expect("a setting");
                assert!(
                    bound.base(topic, 1.0).is_finite(),
                    "{name} is not in {}",
                    bound.unit
                );
            }
        }
        for beside in &TABLE.beside {
            known(&beside.settings);
            assert!(sources.get(&beside.source).is_some(), "{}", beside.source);
            assert!(1.0 < beside.told && beside.told < beside.left_out);
        }
        for relation in &TABLE.relation {
            assert!(sources.get(&relation.source).is_some(), "{}", relation.source);
            assert!(!relation.reason.is_empty() && relation.value > 0.0);
        }
    }

    /// Whatever a number can tell has its bound.
    #[test]
    fn each_setting_that_is_a_number_has_a_bound() {
        for topic in Topic::ALL {
            let number = topic.counted() != Counted::Words;
            assert_eq!(bound(*topic, "X").is_some(), number, "{}", topic.id());
        }
    }
}

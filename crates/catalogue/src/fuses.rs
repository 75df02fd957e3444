//! Fuses: ratings, voltage, and how long each kind holds or takes to open.

use quantity::Value;
use quantity::si::{ElectricCurrent, ElectricPotential, Ratio, Time};
use serde::Deserialize;

use crate::field;
use crate::table::{Sure, own_statement, row};

/// A kind of fuse link.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FuseKind {
    /// The name by which files call it, such as `blade fuse`.
    pub name: String,
    /// How to recognise it.
    pub what: String,
    /// The highest voltage it can interrupt.
    #[serde(deserialize_with = "field::value")]
    pub voltage: Value<ElectricPotential>,
    /// The rated currents that are made, smallest first.
    #[serde(deserialize_with = "field::values")]
    pub ratings: Vec<Value<ElectricCurrent>>,
    /// How long it holds at a multiple of its rating, smallest multiple first.
    pub bands: Vec<TimeBand>,
    /// Key of the source.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the row.
    #[serde(default)]
    pub sure: Sure,
    /// What else to know; empty where there is nothing to say.
    #[serde(default)]
    pub note: String,
}

/// The time to open at a multiple of the rated current.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimeBand {
    /// Current as a multiple of the rating.
    #[serde(deserialize_with = "field::value")]
    pub load: Value<Ratio>,
    /// It holds at least so long; `None` where no lower bound is published.
    #[serde(default, deserialize_with = "field::some_value")]
    pub holds: Option<Value<Time>>,
    /// It has opened after so long; `None` where it need not open.
    #[serde(default, deserialize_with = "field::some_value")]
    pub opens: Option<Value<Time>>,
}

row!(FuseKind, "fuse", name, contradictions);

impl FuseKind {
    /// The smallest rating that is made and not below `current`.
    #[must_use]
    pub fn rating_for(&self, current: ElectricCurrent) -> Option<Value<ElectricCurrent>> {
        self.ratings
            .iter()
            .copied()
            .find(|rating| rating.nominal() >= current)
    }

    /// The smallest published multiple of the rating at which it is certain to open, with its time band.
    #[must_use]
    pub fn certain_to_open(&self) -> Option<&TimeBand> {
        self.bands.iter().find(|band| band.opens.is_some())
    }
}

fn contradictions(row: &FuseKind) -> Vec<String> {
    let mut out = Vec::new();
    if !row.ratings.is_sorted_by(|a, b| a.nominal() < b.nominal()) {
        out.push("the ratings are not in order".to_owned());
    }
    if !row.bands.is_sorted_by(|a, b| a.load.nominal() < b.load.nominal()) {
        out.push("the time bands are not in order of the load".to_owned());
    }
    for band in &row.bands {
        match (band.holds, band.opens) {
            (Some(holds), Some(opens)) if holds.nominal() >= opens.nominal() => {
                out.push("a time band ends before it begins".to_owned());
            }
            (None, None) => out.push("a time band says neither `holds` nor `opens`".to_owned()),
            _ => {}
        }
    }
    out
}

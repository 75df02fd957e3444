//! Preferred numbers: the values in which resistors are made.

use quantity::Number;
use quantity::si::{ElectricalResistance, ohm};
use serde::Deserialize;

use crate::table::{Sure, own_statement, row};

/// A series of preferred values over one decade.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Series {
    /// The name of the series, such as `E24`.
    pub name: String,
    /// Its values from 1 to below 10, smallest first.
    pub values: Vec<f64>,
    /// Key of the source.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the row.
    #[serde(default)]
    pub sure: Sure,
}

row!(Series, "series", name, contradictions);

impl Series {
    /// The value of the series that is nearest to a resistance by ratio; `None` unless it is positive.
    #[must_use]
    pub fn nearest(&self, resistance: ElectricalResistance) -> Option<ElectricalResistance> {
        let wanted = resistance.base();
        if !(wanted > 0.0 && wanted.is_finite()) {
            return None;
        }
        let decade = 10_f64.powf(wanted.log10().floor());
        // The first value of the next decade may be nearer than the last of this one.
        let candidates = self.values.iter().copied().chain([10.0]);
        let distance = |value: &f64| (value * decade / wanted).ln().abs();
        candidates
            .min_by(|a, b| distance(a).total_cmp(&distance(b)))
            .map(|value| ohm(value * decade))
    }
}

fn contradictions(row: &Series) -> Vec<String> {
    let inside = |value: &f64| (1.0..10.0).contains(value);
    if row.values.first() == Some(&1.0)
        && row.values.iter().all(inside)
        && row.values.is_sorted_by(|a, b| a < b)
    {
        Vec::new()
    } else {
        vec!["the values must begin with 1.0, rise, and stay below 10".to_owned()]
    }
}

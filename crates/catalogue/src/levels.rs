//! Logic families: what an output promises and an input needs, as voltages or as shares of the supply.

use quantity::si::{ElectricPotential, Ratio, ratio, volt};
use quantity::{Number, Range, TextError, Value, parse_value};
use serde::{Deserialize, Deserializer};

use crate::field;
use crate::table::{Sure, own_statement, row};

/// A family of inputs or outputs that share their levels.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LogicFamily {
    /// The name by which files call it, such as `3.3 V processor pin`.
    pub name: String,
    /// What it is found on.
    pub what: String,
    /// The supply for which the levels hold.
    #[serde(deserialize_with = "field::range")]
    pub supply: Range<ElectricPotential>,
    /// What it promises as an output; `None` for a pure input.
    pub output: Option<Output>,
    /// What it needs as an input; `None` for a pure output.
    pub input: Option<Input>,
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

/// The levels of an output.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Output {
    /// The lowest voltage of a high; `None` for an open collector or drain: the pull-up makes the high.
    #[serde(default, deserialize_with = "some_level")]
    pub high: Option<Level>,
    /// The highest voltage of a low; `None` for an output that only switches to the supply.
    #[serde(default, deserialize_with = "some_level")]
    pub low: Option<Level>,
    /// The highest voltage that can stand on the output while it is high or open.
    #[serde(deserialize_with = "level")]
    pub maximum: Level,
}

/// The levels of an input.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// From this voltage up it is certain to read high.
    #[serde(deserialize_with = "level")]
    pub high: Level,
    /// Down from this voltage it is certain to read low.
    #[serde(deserialize_with = "level")]
    pub low: Level,
    /// More than this destroys it, or drives current into its supply.
    #[serde(deserialize_with = "level")]
    pub maximum: Level,
}

/// A level: a share of the supply plus a fixed voltage. Written `2 V`, `70 %`, `100 % + 0.3 V` or `100 % - 0.4 V`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// The share of the supply voltage.
    pub share: Ratio,
    /// The fixed part.
    pub fixed: ElectricPotential,
}

impl Level {
    /// The level at a supply voltage; its tolerance is that of the supply.
    #[must_use]
    pub fn at(&self, supply: Value<ElectricPotential>) -> Value<ElectricPotential> {
        supply.map(|supply| supply * self.share + self.fixed)
    }

    /// Reads the text of a level.
    ///
    /// # Errors
    /// What the grammar of values says about the part that is wrong.
    pub fn read(text: &str) -> Result<Self, TextError> {
        let (share, fixed, sign) = match (text.split_once(" + "), text.split_once(" - ")) {
            (Some((share, fixed)), _) => (share, Some(fixed), 1.0),
            (None, Some((share, fixed))) => (share, Some(fixed), -1.0),
            (None, None) => (text, None, 1.0),
        };
        let nothing = Self {
            share: ratio(0.0),
            fixed: volt(0.0),
        };
        match fixed {
            None if !share.contains('%') => Ok(Self {
                fixed: parse_value(share)?.nominal(),
                ..nothing
            }),
            None => Ok(Self {
                share: parse_value(share)?.nominal(),
                ..nothing
            }),
            Some(fixed) => Ok(Self {
                share: parse_value(share)?.nominal(),
                fixed: ElectricPotential::from_base(
                    sign * parse_value::<ElectricPotential>(fixed)?.nominal().base(),
                ),
            }),
        }
    }
}

row!(LogicFamily, "family", name, contradictions);

fn contradictions(row: &LogicFamily) -> Vec<String> {
    let mut out = Vec::new();
    let below = |low: Level, high: Level| {
        [row.supply.low(), row.supply.high()]
            .iter()
            .all(|supply| low.at(Value::exact(*supply)).nominal() < high.at(Value::exact(*supply)).nominal())
    };
    if row.output.is_none() && row.input.is_none() {
        out.push("neither `output` nor `input`".to_owned());
    }
    if let Some(input) = &row.input
        && !(below(input.low, input.high) && below(input.high, input.maximum))
    {
        out.push("an input needs low below high below maximum".to_owned());
    }
    if let Some(output) = &row.output {
        match (output.low, output.high) {
            (Some(low), Some(high)) if !below(low, high) => {
                out.push("an output needs low below high".to_owned());
            }
            (None, None) => out.push("an output has a `high`, a `low` or both".to_owned()),
            _ => {}
        }
    }
    out
}

fn level<'de, D: Deserializer<'de>>(from: D) -> Result<Level, D::Error> {
    field::text(from, Level::read)
}

fn some_level<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Level>, D::Error> {
    level(from).map(Some)
}

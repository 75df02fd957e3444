//! Parts that a swap may need, with price and time; the prices are invented and meant to be replaced.

use quantity::si::{ElectricCurrent, ElectricPotential, Length, Ratio, Time};
use quantity::{Price, Value, WireSize};
use serde::Deserialize;

use crate::field;
use crate::table::{Sure, own_statement, row};

/// One kind of part.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// The name by which plans call it, such as `crimp housing with contacts`.
    pub name: String,
    /// What it is for.
    pub what: String,
    /// Price of one; invented in the shipped rows.
    #[serde(deserialize_with = "field::price")]
    pub price: Price,
    /// Time to fit one, by someone who has done it before.
    #[serde(deserialize_with = "field::value")]
    pub effort: Value<Time>,
    /// The largest current that it gives or switches; `None` where it does neither.
    #[serde(default, deserialize_with = "field::some_value")]
    pub current: Option<Value<ElectricCurrent>>,
    /// The supply voltages from which it works, or that it switches; `None` where it does neither.
    #[serde(default, deserialize_with = "field::some_value")]
    pub input: Option<Value<ElectricPotential>>,
    /// What a converter gives, or the range within which it can be set; `None` for other parts.
    #[serde(default, deserialize_with = "field::some_value")]
    pub output: Option<Value<ElectricPotential>>,
    /// How far the output of a converter may lie from what is marked on it, or from what it was set to.
    #[serde(default, deserialize_with = "field::some_value")]
    pub accuracy: Option<Value<Ratio>>,
    /// The size of its wires; `None` for parts without wires of their own.
    #[serde(default, deserialize_with = "field::some_wire_size")]
    pub wire: Option<WireSize>,
    /// The length of its wires, one way.
    #[serde(default, deserialize_with = "field::some_value")]
    pub length: Option<Value<Length>>,
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

row!(Part, "part", name);

//! Parts that a swap may need, with price and time; the prices are invented and meant to be replaced.

use quantity::si::Time;
use quantity::{Price, Value};
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

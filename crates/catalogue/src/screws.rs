//! Screws and the clearance holes that boards have for them.

use quantity::Value;
use quantity::si::{Length, millimetre};
use serde::{Deserialize, Serialize};

use crate::field;
use crate::table::{Sure, own_statement, row};

/// A metric screw with its clearance holes and the room its head needs.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Screw {
    /// The thread, such as `M3`.
    pub name: String,
    /// Nominal diameter of the thread.
    #[serde(deserialize_with = "field::value")]
    pub diameter: Value<Length>,
    /// Clearance hole of the fine series.
    #[serde(deserialize_with = "field::value")]
    pub fine: Value<Length>,
    /// Clearance hole of the medium series.
    #[serde(deserialize_with = "field::value")]
    pub medium: Value<Length>,
    /// Clearance hole of the coarse series.
    #[serde(deserialize_with = "field::value")]
    pub coarse: Value<Length>,
    /// Diameter of the head of a socket head cap screw.
    #[serde(default, deserialize_with = "field::some_value")]
    pub cap_head: Option<Value<Length>>,
    /// Diameter of a button head.
    #[serde(default, deserialize_with = "field::some_value")]
    pub button_head: Option<Value<Length>>,
    /// Outer diameter of a plain washer.
    #[serde(default, deserialize_with = "field::some_value")]
    pub washer: Option<Value<Length>>,
    /// Key of the source of the clearance holes.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the clearance holes.
    #[serde(default)]
    pub sure: Sure,
    /// Key of the source of the heads.
    #[serde(default = "own_statement")]
    pub head_source: String,
    /// Key of the source of the washer.
    #[serde(default = "own_statement")]
    pub washer_source: String,
    /// How far to trust heads and washer.
    #[serde(default)]
    pub head_sure: Sure,
}

/// The series of a clearance hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum FitClass {
    /// Tolerance H12.
    Fine,
    /// Tolerance H13.
    Medium,
    /// Tolerance H14.
    Coarse,
}

row!(Screw, "screw", name [head_source, washer_source], contradictions);

impl Screw {
    /// The clearance hole of a series.
    #[must_use]
    pub fn hole(&self, class: FitClass) -> Value<Length> {
        match class {
            FitClass::Fine => self.fine,
            FitClass::Medium => self.medium,
            FitClass::Coarse => self.coarse,
        }
    }
}

/// The thickest screw that passes a hole with at least the fine clearance; `None` where none does.
#[must_use]
pub(crate) fn for_hole(screws: &[Screw], hole: Length) -> Option<&Screw> {
    // A micrometre forgives the last binary digit of written millimetres.
    let passes = |screw: &&Screw| screw.fine.nominal() <= hole + millimetre(1e-3);
    let thicker = |a: &&Screw, b: &&Screw| {
        a.diameter
            .nominal()
            .partial_cmp(&b.diameter.nominal())
            .unwrap_or(core::cmp::Ordering::Equal)
    };
    screws.iter().filter(passes).max_by(thicker)
}

fn contradictions(row: &Screw) -> Vec<String> {
    let sizes = [row.diameter, row.fine, row.medium, row.coarse].map(|size| size.nominal());
    if sizes.is_sorted_by(|a, b| a < b) {
        Vec::new()
    } else {
        vec!["the hole must grow from thread over fine and medium to coarse".to_owned()]
    }
}

//! The list of all formulas, in reading order. A formula that is not listed is not held against anything.

use crate::{Formula, electrics};

/// Every formula of this crate.
pub static FORMULAS: &[&Formula] = &[
    // electrics
    &electrics::HEATER_POWER,
];

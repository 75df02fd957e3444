//! How each formula is called by name, one file for each module of the crate.

use crate::driver::Spec;

mod electrics;

/// All formulas that rows can name.
pub fn specs() -> Vec<Spec> {
    electrics::specs()
}

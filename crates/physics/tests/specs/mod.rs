//! How each formula is called by name, one file for each module of the crate.

use crate::driver::Spec;

mod control;
mod electrics;
mod heat;
mod mechanics;
mod motion;
mod sensing;

/// All formulas that rows can name.
pub fn specs() -> Vec<Spec> {
    let mut specs = electrics::specs();
    specs.extend(sensing::specs());
    specs.extend(motion::specs());
    specs.extend(mechanics::specs());
    specs.extend(heat::specs());
    specs.extend(control::specs());
    specs
}

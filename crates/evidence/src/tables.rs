//! Tables of small measurements: which columns each kind has, in which units, and what is done with a row that lacks one.
//!
//! A column is found by a word of its head; a file without a head has its columns in the order given here. A head may name
//! the unit (`height (µm)`); otherwise it is the one given here. A row without a needed number is left out and told.

mod axis;
mod calibration;
mod columns;
mod filament;
mod lights;
mod order;
mod plausible;
mod repeated;
mod stalls;
mod temperature;
mod touches;
mod voltages;
mod warmth;

pub use crate::read::TemperatureScale as Scale;
pub use calibration::{corners, prints, pulls, walls};
pub use filament::filament;
pub use lights::lights;
pub use repeated::repeated;
pub use stalls::stalls;
pub use temperature::warmth_columns;
pub use touches::touches;
pub use voltages::voltages;
pub use warmth::warmth;

use crate::{Refused, Trouble};

/// Rows that were understood, and what was left out.
pub type Rows<T> = Result<(Vec<T>, Vec<Trouble>), Refused>;

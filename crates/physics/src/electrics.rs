//! Electric formulas: power and current, copper and leads, logic levels, traces, fuses, light strips.
//!
//! All are for direct current in the steady state unless they say otherwise. What a port, a contact or a wire may carry
//! is no formula: such limits stand in the data and in the user's files.

mod copper;
mod fuse;
mod ladder;
mod lead;
mod light;
mod logic;
mod meter;
mod power;
mod protect;
mod trace;

pub use copper::*;
pub use fuse::*;
pub use ladder::*;
pub use lead::*;
pub use light::*;
pub use logic::*;
pub use meter::*;
pub use power::*;
pub use protect::*;
pub use trace::*;

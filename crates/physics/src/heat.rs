//! Heat: drivers and switches, hot end and bed as lumped bodies.
//!
//! A lumped body has one temperature, one heat capacity and one conductance to the air. That leaves out how heat spreads inside
//! it, radiation (which grows faster than the difference of temperatures), and draughts. It is good to some ten per cent
//! where its two constants were measured on the machine, and to a factor where they were guessed.

mod approach;
mod body;
mod heat_up;
mod junction;
mod loss;
mod protection;
mod steps;
mod two_bodies;

pub use approach::*;
pub use body::*;
pub use heat_up::*;
pub use junction::*;
pub use loss::*;
pub use protection::*;
pub use two_bodies::*;

//! What follows from the files of a swap: each fact in its room, and no fact knows a rule.

pub mod air;
pub mod axes;
pub mod budget;
pub mod changes;
pub mod control;
pub mod drivers;
pub mod harness;
pub mod heat_up;
pub mod heating;
pub mod loads;
pub mod mounting;
pub mod place;
pub mod protection;
pub mod rails;
pub mod ratings;
pub mod setup;
pub mod shopping;
pub(crate) mod signals;
pub mod thermometry;
pub mod torque;
pub mod wires;

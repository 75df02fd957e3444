//! What follows from the files of a swap: each fact in its room, and no fact knows a rule.

pub mod air;
pub mod axes;
pub mod budget;
pub mod changes;
pub mod control;
pub mod drivers;
pub mod driving;
pub mod harness;
pub mod heat_up;
pub mod heating;
pub mod kinematics;
pub mod loads;
pub mod losses;
pub mod mounting;
pub mod needs;
pub mod of_pair;
pub mod of_whole;
pub mod pair;
pub mod place;
pub mod protection;
pub mod rails;
pub mod ratings;
pub mod reach;
pub mod setup;
pub mod shopping;
pub(crate) mod signals;
pub mod site;
pub mod switches;
pub mod thermometry;
pub mod torque;
pub mod wires;

pub use of_pair::PairFacts;
pub use of_whole::WholeFacts;
pub use pair::{Pair, Way, axis_of, driver, name_of, old_port};
pub use setup::{Clash, Setup};
pub use site::Site;

//! Controllers for a heated part: what published rules propose, how each would hold it, and which of them to take.
//!
//! A plan knows a part by its figures and their tolerances, a log by what it did. Both ask here, so that one rule has one name, is run in one
//! way, and one sentence ([`WHICH`]) says which settings to take. What the two know differently stands in [`Trial`].
//!
//! *Knows `physics` and `quantity`: no board, no log.*

mod rule;
mod trial;

pub use rule::{Rule, by_rules};
pub use trial::{Course, DERIVATIVE_FILTER, Outcome, Trial, mark_best};

/// Which settings to take, wherever they are shown.
pub const WHICH: &str =
    "Take the marked settings, and those by a log of the part before those by its figures alone.";

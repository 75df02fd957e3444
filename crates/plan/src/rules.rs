//! What must hold: the checks, which read facts and hand over findings.

pub mod checks;
pub mod judging;
pub(crate) mod workings;

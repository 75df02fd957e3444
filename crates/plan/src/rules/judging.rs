//! What a check hands over, and who takes it.

pub mod finding;
pub mod judge;

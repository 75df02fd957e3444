//! What a check hands over, and who takes it.

pub mod finding;
pub mod judge;
pub mod limit;
pub mod verdict;

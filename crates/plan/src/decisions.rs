//! What is chosen: how devices are connected, why not otherwise, which board, and how sure that is.

pub(crate) mod accepted;
pub mod ask;
pub mod assign;
pub mod cables;
pub mod clash;
pub mod comparison;
pub mod compatible;
pub mod monte_carlo;
pub mod open;
pub mod plan;
pub mod shopping;
pub(crate) mod untaken;
pub mod why;

//! Decisions: compatibility, exact assignment, checks and their findings, leads, comparison of boards.
//!
//! The way of a plan: [`compatible`] lists the ways in which each device could be connected and lets the pair checks judge each;
//! [`assign`] turns them into an integer programme and the solver into an assignment that is proved best; then every check
//! runs once more over the result and keeps its words and workings ([`Plan`]). [`leads`], [`shopping`] and [`compare`] read the plan.
//!
//! One rule is written once: the checks that refuse a way are the checks whose findings are shown.
//!
//! What this crate must not know: files, terminals, pictures, G-code. It is given checked types and gives data.

pub mod air;
pub mod assign;
pub mod axes;
pub mod bearing;
pub mod budget;
pub mod changes;
mod checks;
mod clash;
mod comparison;
pub mod compatible;
mod draws;

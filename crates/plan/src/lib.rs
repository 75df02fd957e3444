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
pub mod control;
mod draws;
pub mod drivers;
pub mod effort;
mod finding;
pub mod harness;
pub mod heat_up;
pub mod heating;
mod judge;
mod leads;
pub mod loads;
pub mod mounting;
mod parts;
pub mod place;
mod plan;
pub mod protection;
mod setup;
mod signals;
mod thermometry;
mod why;
pub mod wires;
mod workings;

pub use checks::{
    Check, Group, PAIR_CHECKS, PairCheck, Stake, WHOLE_CHECKS, WholeCheck, check_named, refuse_below,
    run_pair, run_whole,
};
pub use clash::sentence as clash_sentence;
pub use comparison::{Comparison, Entry, Tight, compare, entry, rank};
pub use draws::{Alone, Draws, Effect, Input, Kept, Tally};
pub use finding::{Finding, Limit, Side, Subject, Verdict};
pub use heating::heater_voltage;
pub use judge::Judge;
pub use leads::{Action, ActionKind, Row, WireRow, leads, permutation};
pub use parts::{Line, Shopping, shopping};
pub use plan::{Alternative, Objective, Optimum, Plan, findings, plan, plan_briefly};
pub use setup::{Pair, Setup, Way, axis_of, name_of, old_port, rail_voltage, supply_voltage};
pub use thermometry::curve;
pub use why::{WayAnswer, WhyNot, why_not, words};

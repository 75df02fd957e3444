//! The exact assignment of items to options under shared resources, with proof.
//!
//! A leaf: it knows no devices, ports or rails, only [items](Item), their [choices](Choice) with a lexicographic
//! [cost](Cost), [resources](Resource) with capacities, pairs of choices that exclude each other, and [modes](Mode) with states. Integers in, data out; no
//! files, clock or threads. The same input gives the same answer on every machine: ties fall by index.
//!
//! Read in this order: [`problem`](Builder), [`solve`], [`next_best`], [`with_forced`] and [`regret`], [`smallest_conflict`];
//! [`verify`] checks an answer and shares nothing with the search.
//!
//! # Decisions and their cost
//! - **A required item that cannot be served is counted, not refused.** [`solve`] then always has an answer and the caller sees
//!   which demand failed. It costs one more tier before the caller's own.
//! - **Tier by tier, not one huge weighted sum.** Weights that keep eight tiers apart would drown the later ones in floating
//!   point. Instead a solved group of tiers becomes a row of the next. It costs a search per group.
//! - **A mode is an item of the programme, not a set of conflicts.** Pairs grow with the square of what shares it. Its state is chosen like an
//!   option, and one row for each state and scarce thing bounds as well. It costs items that no caller knows, behind the others.
//! - **Large programmes begin as an assignment problem.** It bounds all tiers at once in integers, and mostly its optimum keeps the other rows.
//!   Small ones are left to the search, which needs no second way.
//! - **Bounds are proved in integers.** Multipliers are searched for in floating point and rounded; whatever they are, the bound
//!   computed from them in `i128` is true. It costs a second pass over the entries at every node.

mod bound;
mod conflict;
mod cover;
mod domain;
pub mod generate;
mod knapsack;
mod matching;
mod model;
mod node;
mod problem;
mod program;
mod ranking;
mod regret;
mod repair;
mod search;
mod simplex;
mod solution;
mod solve;
mod tiers;
mod verify;

pub use conflict::{Conflict, Demands, Size, smallest_conflict};
pub use problem::{Builder, Choice, Cost, Invalid, Item, LARGEST, Mode, Problem, Resource, TIERS, Total};
pub use ranking::{Ranking, next_best};
pub use regret::{Reason, Regret, regret, with_forced};
pub use solution::{Closed, Limits, Progress, Proof, Solution};
pub use solve::{solve, solve_watched};
pub use verify::{Violation, verify};

//! What a machine's own G-code files ask of a controller board: step rates, lines, flow, heat, words.
//!
//! The way of a program, each step in a module of its own:
//! - [`archive`] takes programs out of plain files, gzip, zip and zstd;
//! - `scan` reads every byte once: lines to words and numbers;
//! - [`Interpreter`] keeps what is modal and makes straight pieces of moves and arcs, each with its limits ([`Batch`]);
//! - [`Model`] plans their speeds with look-ahead and runs the machine: rates, flow, heaters, links ([`Work`]);
//! - [`Workload`] joins many programs; [`findings`] and [`board_sentence`] say what it all means.
//!
//! Decisions and what they cost:
//! - **Two stages with batches between.** Whoever has two threads runs one on each; this crate starts none. A batch is 100 bytes a move.
//! - **Look-ahead without end.** The plan is the fastest that any controller with these limits can make: its step rates are the highest, its
//!   times the shortest. A controller with a short buffer is slower; [`Machine::look_ahead`] asks for that.
//! - **Nothing is kept of a program but sums.** Histograms are exact; the time line and the map have a fixed size and grow coarser.
//! - **What words mean is given** ([`Vocabulary`]): they live in data files. The crate knows meanings only.
//!
//! What this crate must not know: files, boards and plans as files have them, clocks, threads. Limits are given to it.

#![allow(
    clippy::neg_cmp_op_on_partial_ord,
    reason = "`!(x > 0)` refuses what is no number as well, and that is meant"
)]

pub mod archive;
mod corner;
mod extent;
mod given;
mod heat;
mod histogram;
pub mod invent;
mod links;
mod look_ahead;
mod model;
mod number;
mod outcome;
mod program;
mod report;
mod scan;
mod segment;
mod total;
mod track;
mod trouble;
mod vocabulary;
pub mod words;

pub use extent::{Extent, Extents};
pub use given::{
    Axis, Board, Corner, Fan, Filament, Heat, Heater, Link, Machine, Melt, Motor, Rapid, Setup, Zone,
};
pub use links::LinkUse;
pub use model::Model;
pub use outcome::{
    BoardUse, Course, FlowUse, HeatUse, HeaterUse, MotorUse, Peak, Place, RateTimes, Times, Work,
};
pub use program::Interpreter;
pub use report::{Assumed, Finding, Verdict, board_sentence, board_verdict, findings, flow_by_power};
pub use scan::{Count, count};
pub use segment::{Batch, Purpose};
pub use total::{FileShare, Refusal, Workload};
pub use track::{Moment, SeenFromAbove};
pub use trouble::Occurrence;
pub use vocabulary::{Letter, Letters, Meaning, Sets, Vocabulary};

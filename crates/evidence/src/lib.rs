//! What a measurement means: text of a log or a table of numbers in, a verdict with its uncertainty out.
//!
//! Each kind of measurement is a module with three steps: a reader (what could not be read is kept as [`Trouble`], with its line),
//! an analysis that returns its own types, and a [`Report`], the one shape in which command line, dossier and page show any of them.
//!
//! Decisions and what they cost:
//! - **A verdict carries an interval.** Each [`Figure`] has its bounds at a stated confidence; a sentence says "not shown" where the
//!   interval does not decide. People who wanted a yes get a "measure again" now and then.
//! - **Pictures are data.** A [`Picture`] names series, marks and grids; who draws them decides on lines and letters.
//!
//! What this crate must not know: files on disk, clocks, threads, boards and plans. Limits are given to it.

#![allow(
    clippy::neg_cmp_op_on_partial_ord,
    reason = "`!(x > 0)` refuses what is no number as well, and that is meant"
)]

pub mod calibration;
pub mod comparison;
pub mod height_map;
pub mod read;
pub mod repeatability;
pub mod simple;
pub mod stall;
pub mod tables;
pub mod temperature;

mod lengths;
mod quantities;
mod report;

pub use report::{
    Advice, Cell, CellGroup, Cells, Figure, Grid, Mark, Outcome, Picture, Plot, Refused, Report, Row, Series,
    Span, Spans, Table, Trouble, Verdict,
};

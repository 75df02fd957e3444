//! What a measurement means: text of a log or a table of numbers in, a verdict with its uncertainty out.
//!
//! Three steps, each in rooms of its own:
//! - [`read`] turns bytes into numbers; [`tables`] turns the rows of a small measurement into its trials. What could not be read is kept
//!   as [`Trouble`], with its line.
//! - An analysis turns numbers into data: a struct of estimates, verdict and series, in which nothing is worded. Each has a module and a
//!   folder of that name: [`temperature`], [`comparison`], [`height_map`], [`repeatability`], [`stall`], and those of [`calibration`]
//!   and [`simple`].
//! - `words.rs` in the folder of an analysis turns its data into a [`Report`], the one shape in which command line, dossier and page show
//!   any of them: sentence, figures, advice, tables, pictures. It also says why there is no report ([`Refused`]).
//!
//! What analyses share stands in the crate `statistics`, which knows neither unit nor measurement.
//!
//! Decisions and what they cost:
//! - **A verdict carries an interval.** Each [`Figure`] has its bounds at a stated confidence; a verdict is "open" where the
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

mod digits;
mod known;
mod lengths;
mod quantities;
mod report;

pub use report::{
    Advice, Cell, CellGroup, Cells, Figure, Grid, Mark, Outcome, Picture, Plot, Refused, Report, Row, Series,
    Span, Spans, Table, Trouble, Verdict,
};

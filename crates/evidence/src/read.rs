//! Readers: bytes of a file in, numbers out, and what could not be read with its line.
//!
//! [`table()`] takes a whole file of a small measurement; [`log`](mod@log) takes a temperature log in pieces of any size, on as many
//! threads as the caller likes. Both know separated values (RFC 4180, with comma, semicolon, tab or blanks, decimal comma, with or
//! without a head) and JSON lines; the log also knows captured terminal text.
//!
//! Nothing is dropped in silence: a row is used, or it is among the [`Trouble`]s.
//!
//! [`Trouble`]: crate::Trouble

mod cells;
mod coding;
mod columns;
mod gaps;
mod json;
mod labelled;
mod lines;
pub mod log;
pub mod noted;
pub(crate) mod number;
mod scale;
mod stamp;
pub mod table;
mod terminal;
mod troubles;
mod turned;
pub(crate) use columns::{listed, name_and_unit};
pub(crate) use gaps::{GAP, ordinary_step};
pub use log::{Channel, Layout, Log, Part, PartReader, WhatIsKnown};
pub(crate) use scale::HOTTEST;
pub use scale::TemperatureScale;
pub(crate) use stamp::{Stamp, stamp};
pub use table::{Cell, Cells, Column, Record, Table as Records, table};
pub use terminal::Words;
pub use turned::{must_be_turned, turned};

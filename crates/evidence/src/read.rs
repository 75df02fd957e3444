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
mod columns;
mod json;
mod lines;
pub mod log;
mod number;
mod order;
mod stamp;
pub mod table;
mod terminal;
mod troubles;

pub(crate) use columns::listed;
pub use log::{Channel, Layout, Log, Part, PartReader, TemperatureScale, WhatIsKnown};
pub(crate) use order::ordinary_step;
pub(crate) use stamp::{Stamp, stamp};
pub use table::{Cell, Column, Record, Table as Records, table};
pub use terminal::Words;

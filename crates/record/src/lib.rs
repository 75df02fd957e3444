//! What a bring-up recorded: who read what, when, against which plan.
//!
//! `Record` is one file, `record.sqlite` in the folder of a swap. Rows are only ever added; a correction is a row of its own. Each [`Row`]
//! carries the SHA-256 of the one before, so that an edit by hand shows. What `Record::append` has answered for is on the disk: SQLite with a
//! write-ahead log, synced at each row.
//!
//! This crate knows no plan, no step and no terminal: an [`Entry`] is text under names that its caller gave it. Start reading at [`Row`].
//! `Record` is left out without the feature `disk`: so the core knows rows and no file.

mod lines;
mod problem;
mod row;
#[cfg(feature = "disk")]
mod store;

pub use lines::{from_lines, to_lines};
pub use problem::Problem;
pub use row::{Entry, Kind, Row, Stamp, Verdict, sha256};
#[cfg(feature = "disk")]
pub use store::Record;

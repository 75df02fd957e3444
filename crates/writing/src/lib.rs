//! What written text hides: characters that act on the reader or cannot be seen, and letters that only look alike.
//!
//! Names in files are refused by it, and all that is shown passes through [`visible`]. What this crate must not know: files, documents, boards.

mod alike;
mod hidden;

pub use alike::{foreign, look_alike, shape};
pub use hidden::{is_hidden, lines, visible};

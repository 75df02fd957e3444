//! The tables as they are written: one struct for each, read and described by one declaration.
//!
//! Nothing here is checked against anything else; that is the second stage (`check`).

pub(crate) mod board;
pub(crate) mod machine;
pub(crate) mod swap;
pub(crate) mod words;

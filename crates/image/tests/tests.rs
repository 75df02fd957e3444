//! What the crate promises.

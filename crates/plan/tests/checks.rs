//! The checks, each held at its limits; one module a check, named after it.

mod common;
mod port_current;

//! Tests of the plan from outside: one module an area, linked as one binary.

mod checks;
mod comparison;
mod curves;
mod effort;
mod handbook;
mod harness;
mod law;
mod mended;
mod mistakes;
mod monte_carlo;
mod plugs;
mod questions;
#[allow(dead_code, reason = "a vocabulary for all checks; not each word is used yet")]
mod support;

//! Formulas only: electrics, sensing, motion, direction, mechanics, heat and control, each with its range and source.
//!
//! A formula is a plain function over *point* quantities, so that it reads like the equation in its source and can be
//! held against a table without ceremony. Tolerances are carried by one mechanism, [`working`]: it evaluates the function
//! at the corners of its inputs and keeps what a reader needs to follow the number ([`Working`]).
//!
//! What this costs: the interval is exact only where the function is monotone in each input. Each formula says where
//! that holds, and a test draws samples from inside the box of every registered formula. In return no formula is written twice,
//! once for numbers and once for intervals, and an input that stands twice in a law does not widen the result, as it would
//! with interval arithmetic.
//!
//! Every formula is listed in [`FORMULAS`]. A test fails for one that is held against nothing outside the project;
//! the largest deviations stand in `docs/handbook/validation.md`.
//!
//! What this crate must not know: files, boards, machines, limits. It computes; `plan` decides.

pub mod control;
pub mod direction;
pub mod electrics;
pub mod heat;
pub mod mechanics;
pub mod motion;
pub mod sensing;
pub mod working;

mod chance;
mod range;
mod registry;

pub use chance::{Chance, Sampler, Spread, chance};
pub use range::OutOfRange;
pub use registry::FORMULAS;
pub use working::{
    End, Formula, Input, Inputs, Named, NamedInputs, PlainInputs, Worked, Working, interval, named,
    try_interval, try_work, try_work_sampled, work, work_many, work_sampled,
};

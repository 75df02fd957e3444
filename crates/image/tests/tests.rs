//! What the crate promises, held against files that other programs wrote.

mod card;
mod forms;
mod mutation;
mod support;
mod thumb;
mod verdicts;

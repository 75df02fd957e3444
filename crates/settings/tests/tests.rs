//! Tests of the settings: captured texts, the demonstration swap, published numbers, the way there and back.

mod captured;
mod control;
mod dialect;
mod judged;
mod numbers;
mod program;
mod speeds;
mod support;
mod swap;
mod words;

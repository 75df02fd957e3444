//! The tests of the model, one module an area.

mod examples;
mod faults;
mod formats;
mod input;
mod mutation;
mod properties;
mod rows;
mod schemas;
mod support;
mod unknown;
mod words;

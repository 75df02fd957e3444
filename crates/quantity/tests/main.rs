//! The tests of quantities, one module an area.

mod laws;
mod money;
mod rows;
mod show;
mod text;

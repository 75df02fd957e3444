//! All tests of the formulas that look at them from outside, in one binary.

mod boxes;
mod checks;
mod driver;
mod electrics;
mod sensing;
mod sources;
mod specs;
mod tables;

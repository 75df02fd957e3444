//! All tests of the formulas that look at them from outside, in one binary.

mod approach;
mod boxes;
mod chance;
mod checks;
mod control;
mod direction;
mod driver;
mod electrics;
mod heat;
mod mechanics;
mod motion;
mod sensing;
mod sources;
mod specs;
mod tables;

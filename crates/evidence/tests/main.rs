//! The analyses from outside: published data sets, the rate at which intervals hold the truth, hostile files.

mod calibration;
mod coverage;
mod demo;
mod height_map;
mod nonlinear;
mod published;
mod reference;
mod repeatability;
mod simple;
mod stall;
mod table;
mod temperature;

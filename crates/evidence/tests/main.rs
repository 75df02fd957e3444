//! The analyses from outside: published data sets, the rate at which intervals hold the truth, hostile files.

mod alarm;
mod calibration;
#[path = "../../statistics/tests/coverage.rs"]
mod coverage;
#[path = "../../statistics/tests/data.rs"]
mod data;
mod demo;
mod height_map;
mod mean_logs;
mod open_loop;
mod reference;
mod repeatability;
mod rig;
mod simple;
mod stall;
mod strange_logs;
mod strange_tables;
mod temperature;
mod verdicts;
mod world;

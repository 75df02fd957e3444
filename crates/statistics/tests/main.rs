//! The methods from outside: published data sets, and the rate at which intervals hold the truth.

mod allan;
mod coverage;
mod data;
mod linear;
mod means;
mod nonlinear;
mod series;
mod spectrum;
mod variance;

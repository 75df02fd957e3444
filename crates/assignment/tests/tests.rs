//! The solver held against enumeration, against a general solver, and against published optima.

mod enumeration;
mod library;
mod peer;

//! Chores of the project: test, bench, tidy and others.
fn main() {}

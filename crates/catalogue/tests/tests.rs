//! Tests of the catalogue, one module an area; linked as one binary.

mod faults;
mod figures;
mod handbook;
mod lookup;
mod shipped;

/// The rows of a reference table: `#` begins a comment, the first line that is none is the heading.
fn reference_rows(text: &str) -> Vec<Vec<&str>> {
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect())
        .collect()
}

/// A number of a reference table.
fn number(text: &str) -> f64 {
    text.parse().expect("a number in a reference table")
}

#[track_caller]
fn close(actual: f64, expected: f64, relative: f64, what: &str) {
    assert!(
        (actual / expected - 1.0).abs() <= relative,
        "{what}: {actual} is not within {relative} of {expected}"
    );
}

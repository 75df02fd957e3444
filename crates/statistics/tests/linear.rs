//! Linear least squares against NIST's Statistical Reference Datasets (StRD). Certified values stand in the head of each file.

use statistics::linear_regression;

use crate::data::{agrees, certified, numbers, spelled};

fn linear(text: &str, columns: impl Fn(&[f64]) -> Vec<f64>, digits: f64) {
    let (rows, head) = numbers(text);
    let x: Vec<Vec<f64>> = rows.iter().map(|row| columns(&row[1..])).collect();
    let y: Vec<f64> = rows.iter().map(|row| row[0]).collect();
    let found = linear_regression(&x, &y).unwrap();
    for (j, b) in found.coefficients.iter().enumerate() {
        agrees(*b, certified(&head, &format!("B{j}")), digits, &format!("B{j}"));
        let mut unit = vec![0.0; found.coefficients.len()];
        unit[j] = 1.0;
        let label = format!("B{j} {} sd", spelled(&head, &format!("B{j}")));
        agrees(
            found.error_of(&unit),
            certified(&head, &label),
            digits,
            &format!("sd of B{j}"),
        );
    }
    agrees(
        found.deviation,
        certified(&head, "residual sd"),
        digits,
        "residual sd",
    );
}

#[test]
fn norris() {
    linear(
        include_str!("data/nist-strd-norris.csv"),
        |x| vec![1.0, x[0]],
        1e-10,
    );
}

#[test]
fn pontius() {
    linear(
        include_str!("data/nist-strd-pontius.csv"),
        |x| vec![1.0, x[0], x[0] * x[0]],
        1e-9,
    );
}

#[test]
fn longley() {
    let columns = |x: &[f64]| core::iter::once(1.0).chain(x.iter().copied()).collect();
    linear(include_str!("data/nist-strd-longley.csv"), columns, 1e-8);
}

/// Columns that depend on each other but for the last digits of a double (condition number 1.8e15): reflections leave
/// seven digits of the coefficients.
#[test]
fn filip() {
    let (rows, head) = numbers(include_str!("data/nist-strd-filip.csv"));
    let powers = |x: f64| (0..=10).map(|k| x.powi(k)).collect();
    let x: Vec<Vec<f64>> = rows.iter().map(|row| powers(row[1])).collect();
    let y: Vec<f64> = rows.iter().map(|row| row[0]).collect();
    let found = linear_regression(&x, &y).unwrap();
    let (coefficients, _) = head.split_once("# sd").unwrap();
    for (j, b) in found.coefficients.iter().enumerate() {
        let label = format!("B{j}");
        agrees(*b, certified(coefficients, &label), 1e-7, &label);
    }
    agrees(
        found.deviation,
        certified(&head, "residual sd"),
        1e-7,
        "residual sd",
    );
}

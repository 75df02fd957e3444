//! Tables of published values in `data/`: remarks with `#`, a head, rows of numbers and words; the tests of `evidence` read theirs with it, too.

use std::path::Path;

/// The remarks and the rows of a file, the head left out.
pub fn rows(name: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{name}: {error}"));
    let (remarks, rows): (Vec<&str>, Vec<&str>) = text.lines().partition(|line| line.starts_with('#'));
    let rows = rows
        .into_iter()
        .skip(1)
        .filter(|line| !line.is_empty())
        .map(|line| line.split(',').map(str::to_owned).collect());
    (remarks.into_iter().map(str::to_owned).collect(), rows.collect())
}

/// The numbers of a file, one row a line, and the lines of its head.
pub fn numbers(text: &str) -> (Vec<Vec<f64>>, String) {
    let head: Vec<&str> = text.lines().filter(|line| line.starts_with('#')).collect();
    let rows = text
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit() || "-.".contains(c)))
        .map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
        .collect();
    (rows, head.join("\n"))
}

/// The number behind a label of the head, such as `F`.
pub fn certified(head: &str, label: &str) -> f64 {
    let at = head
        .rfind(&format!("{label} "))
        .unwrap_or_else(|| panic!("no {label}"));
    let text = head[at + label.len() + 1..]
        .split([' ', ';', ',', '\n'])
        .next()
        .unwrap();
    text.parse().unwrap_or_else(|_| panic!("{label}: {text}"))
}

/// Fails where a number is farther from the certified one than this share.
pub fn agrees(found: f64, certified: f64, within: f64, what: &str) {
    assert!(
        (found / certified - 1.0).abs() < within,
        "{what}: {found} for {certified}"
    );
}

/// A certified value as it is spelled, for finding what stands behind it.
pub fn spelled<'a>(head: &'a str, label: &str) -> &'a str {
    let at = head.rfind(&format!("{label} ")).unwrap() + label.len() + 1;
    head[at..].split([' ', ';', ',', '\n']).next().unwrap()
}

//! Tables of published values in `data/`: remarks with `#`, a head, rows of numbers and words.

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

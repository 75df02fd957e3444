//! Every key of the bibliography that a formula or a row uses is listed with its citation.

use physics::FORMULAS;

use crate::driver::rows;

#[test]
fn every_key_is_listed() {
    let listed = include_str!("../../../data/sources.toml");
    let rows = rows();
    let used = FORMULAS
        .iter()
        .map(|formula| formula.source)
        .chain(rows.iter().map(|row| row.source.as_str()));
    let mut missing: Vec<_> = used
        .filter(|key| !listed.contains(&format!("key = \"{key}\"")))
        .collect();
    missing.sort_unstable();
    missing.dedup();
    assert!(missing.is_empty(), "not in data/sources.toml: {missing:?}");
}

#[test]
fn sureness_is_one_of_the_letters() {
    for row in rows() {
        let known = row
            .sure
            .split(' ')
            .all(|letter| ["L", "R", "M"].contains(&letter));
        assert!(known, "{}:{}: {}", row.file, row.line, row.sure);
    }
}

//! Each row of the data files held against its formula, and the page that lists the largest deviations.

use std::collections::BTreeMap;
use std::fmt::Write;

use physics::FORMULAS;
use quantity::{AnyValue, Digits, Kind, parse_value, show};

use crate::driver::{Row, Spec, rows};
use crate::specs::specs;

fn spec_of<'a>(specs: &'a [Spec], row: &Row) -> &'a Spec {
    let mut of_formula = specs.iter().filter(|spec| spec.formula.id == row.formula);
    let found = of_formula.find(|spec| (spec.accepts)(&row.expect));
    found.unwrap_or_else(|| panic!("{}:{}: no formula {}", row.file, row.line, row.formula))
}

/// How far a formula is from a row: relative, or in the unit of the result where the row gives its limit so.
struct Deviation {
    size: f64,
    limit: f64,
    /// The kind in which an absolute deviation is written.
    kind: Option<Kind>,
}

fn deviation(spec: &Spec, row: &Row) -> Deviation {
    let got = row.evaluate(spec);
    let expected = (spec.read)(&row.expect);
    let size = (got - expected).abs();
    if let Some(percent) = row.within.strip_suffix('%') {
        let limit: f64 = percent.trim().parse().expect("a number of per cent");
        return Deviation {
            size: size / expected.abs(),
            limit: limit / 100.0,
            kind: None,
        };
    }
    // A limit for a temperature is a difference; for anything else it has the unit of the result.
    let (limit, kind) = match spec.kind {
        Kind::Temperature => {
            let limit = parse_value::<quantity::si::TemperatureInterval>(&row.within).expect("a limit in K");
            (AnyValue::from(limit).nominal, Kind::TemperatureDifference)
        }
        kind => ((spec.read)(&row.within), kind),
    };
    Deviation {
        size,
        limit,
        kind: Some(kind),
    }
}

impl Deviation {
    fn text(&self) -> String {
        match self.kind {
            None if self.size < 1e-9 => "none".to_owned(),
            None => format!("{} %", rounded(self.size * 100.0)),
            Some(_) if self.size < 1e-12 => "none".to_owned(),
            Some(kind) => {
                let size = rounded(self.size).parse().expect("a number");
                show(
                    &AnyValue {
                        kind,
                        nominal: size,
                        low: size,
                        high: size,
                    },
                    Digits::new(2),
                )
            }
        }
    }
}

/// Two significant digits, rounded up, so that the page does not change with the last bit of a platform.
fn rounded(number: f64) -> String {
    let scale = 10_f64.powf(number.log10().floor() - 1.0);
    let steps = (number / scale * (1.0 - 1e-6)).ceil();
    format!("{:.12}", steps * scale)
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

#[test]
fn every_row_agrees_with_its_formula() {
    let specs = specs();
    let mut failures = String::new();
    for row in rows() {
        let deviation = deviation(spec_of(&specs, &row), &row);
        if deviation.size.is_nan() || deviation.size > deviation.limit {
            let Row {
                file,
                line,
                formula,
                given,
                expect,
                within,
                ..
            } = &row;
            let size = deviation.size;
            writeln!(
                failures,
                "{file}:{line}: {formula}: {given}: expected {expect} within {within}, off by {size:.3e}"
            )
            .unwrap();
        }
    }
    assert!(failures.is_empty(), "\n{failures}");
}

#[test]
fn every_formula_has_a_check_and_a_way_to_be_called() {
    let (rows, specs) = (rows(), specs());
    let unchecked: Vec<_> = FORMULAS
        .iter()
        .map(|formula| formula.id)
        .filter(|id| rows.iter().all(|row| row.formula != *id))
        .collect();
    assert!(
        unchecked.is_empty(),
        "held against nothing outside: {unchecked:?}"
    );
    let listed = |spec: &Spec| FORMULAS.iter().any(|formula| formula.id == spec.formula.id);
    let unlisted: Vec<_> = specs
        .iter()
        .filter(|spec| !listed(spec))
        .map(|spec| spec.formula.id)
        .collect();
    assert!(unlisted.is_empty(), "not in FORMULAS: {unlisted:?}");
}

#[test]
fn identifiers_are_unique() {
    let mut ids: Vec<_> = FORMULAS.iter().map(|formula| formula.id).collect();
    ids.sort_unstable();
    let twice: Vec<_> = ids.windows(2).filter(|pair| pair[0] == pair[1]).collect();
    assert!(twice.is_empty(), "{twice:?}");
}

/// The page is made from the rows, so that it cannot claim what no test has measured.
#[test]
fn the_page_of_checks_is_up_to_date() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/handbook/validation.md");
    let page = page();
    if std::env::var_os("UPDATE").is_some() {
        std::fs::create_dir_all(std::path::Path::new(path).parent().unwrap()).unwrap();
        std::fs::write(path, &page).unwrap();
    }
    let written = std::fs::read_to_string(path).unwrap_or_default();
    assert!(
        written == page,
        "docs/handbook/validation.md is stale: run `UPDATE=1 cargo test -p physics`"
    );
}

fn page() -> String {
    let (rows, specs) = (rows(), specs());
    let mut out = String::from(
        "# Formulas and what they are held against\n\n\
         Generated by the tests of `physics` from the rows in `crates/physics/tests/data`; do not edit. Each row there is a published\n\
         value, or one recomputed with an independent method from a published formula. \"Deviation\" is the largest over all rows of\n\
         that formula and source. Sureness: L looked up, R recomputed independently, M from memory of the source. The\n\
         keys are resolved in `data/sources.toml`.\n\n\
         | formula | law | held against | rows | deviation | sure |\n| --- | --- | --- | ---: | ---: | --- |\n",
    );
    for formula in FORMULAS {
        let mut groups: BTreeMap<(&str, &str), Vec<&Row>> = BTreeMap::new();
        for row in rows.iter().filter(|row| row.formula == formula.id) {
            groups.entry((&row.source, &row.sure)).or_default().push(row);
        }
        for ((source, sure), rows) in groups {
            let largest = rows
                .iter()
                .map(|row| deviation(spec_of(&specs, row), row))
                .max_by(|a, b| a.size.total_cmp(&b.size));
            let largest = largest.expect("a group has a row").text();
            let (title, law, count) = (formula.title, formula.law.replace('|', "\\|"), rows.len());
            writeln!(
                out,
                "| {title} | {law} | {source} | {count} | {largest} | {sure} |"
            )
            .unwrap();
        }
    }
    out
}

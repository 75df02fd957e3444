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

/// Standards that define quantities and units: what is worked out from them is held against nothing outside.
const DEFINE_ONLY: [&str; 3] = ["iec-80000-6", "iso-80000-3", "iso-80000-4"];

/// Whether a row has a value from outside: looked up or from memory, and from more than a standard that defines quantities.
fn is_outside(source: &str, sure: &str) -> bool {
    sure.contains(['L', 'M']) && !DEFINE_ONLY.contains(&source)
}

fn page() -> String {
    let (rows, specs) = (rows(), specs());
    let (mut outside, mut redone) = (String::new(), String::new());
    let (mut held, mut unheld) = (0, Vec::new());
    for formula in FORMULAS {
        let mut groups: BTreeMap<(&str, &str), Vec<&Row>> = BTreeMap::new();
        for row in rows.iter().filter(|row| row.formula == formula.id) {
            groups.entry((&row.source, &row.sure)).or_default().push(row);
        }
        if groups.keys().any(|(source, sure)| is_outside(source, sure)) {
            held += 1;
        } else {
            unheld.push(formula.title);
        }
        for ((source, sure), rows) in groups {
            let largest = rows
                .iter()
                .map(|row| deviation(spec_of(&specs, row), row))
                .max_by(|a, b| a.size.total_cmp(&b.size));
            let largest = largest.expect("a group has a row").text();
            let (title, law, count) = (formula.title, formula.law.replace('|', "\\|"), rows.len());
            let (out, source) = if is_outside(source, sure) {
                (&mut outside, source)
            } else if DEFINE_ONLY.contains(&source) {
                (&mut redone, "own derivation")
            } else {
                (&mut redone, source)
            };
            writeln!(
                out,
                "| {title} | {law} | {source} | {count} | {largest} | {sure} |"
            )
            .unwrap();
        }
    }
    format!(
        "# Formulas and what they are held against\n\n\
         Generated by the tests of `physics` from the rows in `crates/physics/tests/data`; do not edit. \"Deviation\" is the largest over\n\
         all rows of that formula and source. Sureness: L looked up, R recomputed independently, M from memory of the source. The keys\n\
         are resolved in `data/sources.toml`. {held} formulas are held against a published value; {} only against arithmetic done again.\n\n\
         ## Held against a published value\n\n\
         | formula | law | held against | rows | deviation | sure |\n| --- | --- | --- | ---: | ---: | --- |\n{outside}\n\
         ## Arithmetic redone\n\n\
         The same law, worked out a second time by an independent method. That finds slips of the program, and none of the law.\n\
         \"Own derivation\": from definitions and laws of nature that need no source.\n\n\
         | formula | law | law from | rows | deviation | sure |\n| --- | --- | --- | ---: | ---: | --- |\n{redone}",
        unheld.len()
    )
}

//! Every shipped row can be read, names a source of the bibliography, and refers to rows that exist.

use std::collections::BTreeSet;
use std::path::Path;

use catalogue::{Row, Sure, Table, TableFile, WorkKind, built_in};

#[test]
fn every_shipped_table_can_be_read_and_has_rows() {
    for file in TableFile::ALL {
        assert!(!built_in().sources_of(file).is_empty(), "{}", file.name());
    }
}

#[test]
fn every_source_of_every_row_is_in_the_bibliography() {
    for file in tables() {
        for (row, key) in built_in().sources_of(file) {
            assert!(
                built_in().sources().get(key).is_some(),
                "{}: `{row}` names `{key}`",
                file.name()
            );
            assert_ne!(key, "own-statement", "{}: `{row}`", file.name());
        }
    }
}

#[test]
fn every_shipped_row_says_how_sure_it_is() {
    fn check<R: Row>(table: &Table<R>) {
        for row in table.rows() {
            assert_ne!(row.sure(), Sure::AsStated, "{}", row.key());
            let practice = row.source() == "common-practice";
            assert_eq!(practice, row.sure() == Sure::CommonPractice, "{}", row.key());
        }
    }
    let all = built_in();
    check(all.wires().stranded());
    check(all.wires().gauges());
    check(all.connectors().families());
    check(all.connectors().fits());
    check(all.connectors().works());
    check(all.thermometers());
    check(all.screws());
    check(all.fuses());
    check(all.colours());
    check(all.families());
    check(all.parts());
    check(all.series());
    for limit in all.limits().all() {
        let practice = limit.source == "common-practice";
        assert_eq!(practice, limit.sure == Sure::CommonPractice, "{}", limit.key);
    }
}

#[test]
fn the_file_of_limits_has_a_row_for_each_field_and_no_other() {
    let keys: BTreeSet<_> = catalogue::Limits::KEYS.iter().collect();
    assert_eq!(keys.len(), catalogue::Limits::KEYS.len(), "a key twice");
    assert_eq!(built_in().limits().all().len(), keys.len());
}

#[test]
fn works_and_fits_refer_to_rows_that_exist() {
    let connectors = built_in().connectors();
    for fit in connectors.fits().rows() {
        assert!(connectors.get(&fit.plug).is_some(), "{}", fit.name);
        assert!(connectors.get(&fit.socket).is_some(), "{}", fit.name);
    }
    for work in connectors.works().rows() {
        for part in &work.parts {
            assert!(built_in().parts().get(part).is_some(), "{}: `{part}`", work.name);
        }
    }
    let kinds = [
        WorkKind::PlugOver,
        WorkKind::PlugLoose,
        WorkKind::Clamp,
        WorkKind::ReCrimp,
        WorkKind::Adaptor,
        WorkKind::Splice,
    ];
    for kind in kinds {
        assert!(connectors.works().get(kind.name()).is_some(), "{}", kind.name());
    }
}

/// User's rule: prices in the shipped rows are invented and say so.
#[test]
fn every_shipped_price_is_marked_invented() {
    for part in built_in().parts().rows() {
        assert!(part.note.contains("invented price"), "{}", part.name);
    }
}

/// Sources that nobody names are dead weight. Those for other crates' use stand in the list.
#[test]
fn every_source_is_named_by_a_row_or_a_formula_or_kept_for_another_crate() {
    let elsewhere = [
        "own-statement",
        "wire-table",
        "iso-4762",
        "nema-ics-16",
        "en-50110-1",
        "wcag-2",
        "iso-4217",
        "or-library",
        "nist-strd",
    ];
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let formulas = texts(&crates.join("physics/src"));
    let held_against = texts(&crates.join("physics/tests"));
    let analyses = texts(&crates.join("evidence/src")) + &texts(&crates.join("image/src"));
    let mut named: BTreeSet<&str> = elsewhere.into();
    for file in tables() {
        named.extend(built_in().sources_of(file).into_iter().map(|(_, key)| key));
    }
    for source in built_in().sources().rows() {
        let of_formula =
            formulas.contains(&format!("\"{}\"", source.key)) || held_against.contains(&source.key);
        // An analysis names its methods in its reports, or in the page of a function.
        let written = [format!("\"{}\"", source.key), format!("[{}]", source.key)];
        let of_analysis = written.iter().any(|key| analyses.contains(key));
        assert!(
            of_formula || of_analysis || named.contains(source.key.as_str()),
            "{}",
            source.key
        );
    }
}

/// All source of a crate.
fn texts(folder: &Path) -> String {
    let mut out = String::new();
    for entry in std::fs::read_dir(folder).expect("a folder of source") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            out += &texts(&path);
        } else {
            out += &std::fs::read_to_string(&path).expect("text");
        }
    }
    out
}

/// All files but the bibliography itself.
fn tables() -> impl Iterator<Item = TableFile> {
    TableFile::ALL
        .into_iter()
        .filter(|file| *file != TableFile::Sources)
}

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

/// A citation stands in sentences of its own.
#[test]
fn no_citation_ends_in_a_stop() {
    for source in built_in().sources().rows() {
        assert!(
            !source.citation.ends_with('.'),
            "{}: {}",
            source.key,
            source.citation
        );
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
    // Tables of general standards that tests of the shipped rows compare with, named in prose.
    let elsewhere = ["wire-table", "iso-4762", "wcag-2", "iso-4217"];
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let code = code_and_check_values(&crates);
    let mut named: BTreeSet<&str> = elsewhere.into();
    for file in tables() {
        named.extend(built_in().sources_of(file).into_iter().map(|(_, key)| key));
    }
    for source in built_in().sources().rows() {
        // A formula names its source in its citation, a method or a test in the page of a function.
        let key = source.key.as_str();
        assert!(named.contains(key) || code.contains(key), "{key}");
    }
}

/// All code and tables of check values of the crates but this file, whose list would name what it asks for.
fn code_and_check_values(folder: &Path) -> String {
    let mut out = String::new();
    for entry in std::fs::read_dir(folder).expect("a folder of source") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            out += &code_and_check_values(&path);
        } else if path.extension().is_some_and(|end| end == "rs" || end == "csv")
            && !path.ends_with("catalogue/tests/shipped.rs")
        {
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

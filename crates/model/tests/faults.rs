//! One case for each kind of fault: `faults/*.txt` holds what it shows, the change of the small swap, and all that is said.
//!
//! A case is prose, then changes, then `====` and the expected text. `@ file` chooses a file; lines with `-` are replaced by
//! the lines with `+` after them; `+` alone adds to the end; `@ file missing` takes a file away, `@ file empty` empties it.
//! `UPDATE=1` writes the expected texts anew: read them.

use std::collections::BTreeSet;
use std::path::Path;

use crate::support::{Folder, entries, faults, minimal, plain, tests, text};

const LINE: &str = "====\n";

#[test]
fn every_case_says_what_it_shall() {
    let mut wrong = Vec::new();
    for path in entries(&tests().join("faults")) {
        let case = text(&path);
        let (input, expected) = case.split_once(LINE).unwrap_or((&case, ""));
        let folder = changed(input, &path);
        if model::load(&folder).is_ok() {
            wrong.push(format!("{}: loads without a fault", path.display()));
            continue;
        }
        let found = plain(&faults(&folder));
        if found == expected {
            continue;
        }
        if std::env::var_os("UPDATE").is_some() {
            std::fs::write(&path, format!("{input}{LINE}{found}")).expect("a writable case");
        }
        wrong.push(format!("{}:\n{found}", path.display()));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Every code that stands in the source has a case that shows it.
#[test]
fn every_kind_of_fault_has_a_case() {
    let cases: String = entries(&tests().join("faults"))
        .iter()
        .map(|path| text(path))
        .collect();
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let codes = codes(&source);
    assert!(codes.len() > 15, "{codes:?}");
    let missing: Vec<_> = codes
        .iter()
        .filter(|code| !cases.contains(&format!(" {code}: ")))
        .collect();
    // Shown by tests of their own, since a case cannot make them.
    let elsewhere = ["not-utf-8", "file-too-large", "file-unreadable"];
    let missing: Vec<_> = missing
        .into_iter()
        .filter(|code| !elsewhere.contains(&code.as_str()))
        .collect();
    assert!(missing.is_empty(), "no case for {missing:?}");
}

/// The small swap loads, so what a case reports comes from its change.
#[test]
fn the_small_swap_has_no_fault() {
    assert!(model::load(&minimal()).is_ok());
}

/// The small swap as a case changes it.
pub fn changed_by_case(name: &str) -> Folder {
    let path = tests().join(format!("faults/{name}.txt"));
    let case = text(&path);
    changed(case.split_once(LINE).expect("a case").0, &path)
}

fn changed(input: &str, path: &Path) -> Folder {
    let mut folder = minimal();
    let mut file = String::new();
    let mut lines = input.lines().peekable();
    while let Some(line) = lines.next() {
        if let Some(name) = line.strip_prefix("@ ") {
            let (name, action) = name.split_once(' ').unwrap_or((name, ""));
            match action {
                "missing" => drop(folder.remove(name)),
                "empty" => drop(folder.insert(name.to_owned(), Vec::new())),
                _ => drop(folder.entry(name.to_owned()).or_default()),
            }
            name.clone_into(&mut file);
            continue;
        }
        let (mut old, mut new) = (String::new(), String::new());
        let mut next = Some(line);
        while let Some(text) = next.and_then(|line| line.strip_prefix('-')) {
            old += &format!("{}\n", text.trim_start());
            next = lines.next_if(|line| line.starts_with(['-', '+']));
        }
        while let Some(text) = next.and_then(|line| line.strip_prefix('+')) {
            new += &format!("{}\n", text.strip_prefix(' ').unwrap_or(text));
            next = lines.next_if(|line| line.starts_with('+'));
        }
        if old.is_empty() && new.is_empty() {
            continue;
        }
        let content = folder
            .get_mut(&file)
            .unwrap_or_else(|| panic!("{}: no file {file}", path.display()));
        let was = String::from_utf8(content.clone()).expect("UTF-8");
        assert!(was.contains(&old), "{}: no lines\n{old}", path.display());
        *content = match old.is_empty() {
            true => format!("{was}{new}"),
            false => was.replacen(&old, &new, 1),
        }
        .into_bytes();
    }
    folder
}

/// The kebab-case words that stand as the code of a diagnostic in the source.
fn codes(at: &Path) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for path in entries(at) {
        if path.is_dir() {
            out.extend(codes(&path));
            continue;
        }
        let source = text(&path);
        let starts = source
            .match_indices("Diagnostic::new(")
            .map(|(at, found)| at + found.len());
        let pairs = source.match_indices("(\"file-").map(|(at, _)| at + 1);
        for start in starts.chain(pairs) {
            let literal = source[start..]
                .trim_start()
                .strip_prefix('"')
                .and_then(|rest| rest.split_once('"'));
            if let Some((code, _)) = literal {
                out.insert(code.to_owned());
            }
        }
    }
    out
}

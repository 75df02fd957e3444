//! What several areas need: swap folders in memory, and faults as plain text.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use model::{Diagnostic, Faults, Place, Sources};

pub use samples::{Folder, examples};

/// Reads every file of a folder of `examples/`.
pub fn example(name: &str) -> Folder {
    folder(&examples().join(name))
}

/// The small swap that faults are made in.
pub fn minimal() -> Folder {
    folder(&tests().join("minimal"))
}

/// This folder.
pub fn tests() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests")
}

/// The paths in a folder, in order of their names.
pub fn entries(at: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(at).unwrap_or_else(|error| panic!("{}: {error}", at.display()));
    let mut paths: Vec<PathBuf> = entries
        .map(|entry| entry.expect("a readable folder").path())
        .collect();
    paths.sort();
    paths
}

/// The text of a file of the project.
pub fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn folder(root: &Path) -> Folder {
    let folder = samples::folder(root);
    assert!(folder.contains_key("swap.toml"), "no swap in {}", root.display());
    folder
}

/// The faults of a folder; fails where it has none, or where one of them breaks a promise.
pub fn faults(folder: &Folder) -> Faults {
    match model::load(folder) {
        Ok(_) => panic!("the folder loads without a fault"),
        Err(faults) => {
            assert_promises(&faults);
            faults
        }
    }
}

/// What holds for every load that fails: faults exist, are in order, stand once, and point into their files.
pub fn assert_promises(faults: &Faults) {
    let Faults { faults, sources } = faults;
    assert!(!faults.is_empty(), "refused without a fault");
    assert!(faults.is_sorted_by_key(|fault| fault.place), "not in order");
    for (at, fault) in faults.iter().enumerate() {
        let mut same_place = faults[..at]
            .iter()
            .rev()
            .take_while(|other| other.place == fault.place);
        assert!(!same_place.any(|other| other == fault), "twice: {fault:?}");
        assert!(
            !fault.headline.is_empty() && !fault.headline.ends_with('.'),
            "{fault:?}"
        );
        assert!(!fault.label.is_empty(), "{fault:?}");
        for place in std::iter::once(fault.place).chain(fault.others.iter().map(|(place, _)| *place)) {
            assert!(
                sources.file(place.file).text.get(place.range()).is_some(),
                "{fault:?}"
            );
            let (line, column) = sources.line_column(place);
            assert!(line >= 1 && column >= 1);
        }
    }
}

/// All faults as plain text: the line, the underlined part, expectation, help, other places.
pub fn plain(faults: &Faults) -> String {
    let texts = faults.faults.iter().map(|fault| one(fault, &faults.sources));
    texts.collect::<Vec<_>>().join("\n")
}

fn one(fault: &Diagnostic, sources: &Sources) -> String {
    let mut out = format!(
        "{} {}: {}\n",
        sources.show(fault.place),
        fault.code,
        fault.headline
    );
    underlined(&mut out, sources, fault.place, &fault.label);
    for (place, label) in &fault.others {
        let _ = writeln!(out, "  see {}", sources.show(*place));
        underlined(&mut out, sources, *place, label);
    }
    for (key, text) in [("expected", &fault.expected), ("help", &fault.help)] {
        if let Some(text) = text {
            let _ = writeln!(out, "  = {key}: {text}");
        }
    }
    out
}

fn underlined(out: &mut String, sources: &Sources, place: Place, label: &str) {
    let (line, column) = sources.line_column(place);
    let text = &sources.file(place.file).text;
    let line = text
        .split('\n')
        .nth(line - 1)
        .unwrap_or("")
        .trim_end_matches('\r');
    let shown: String = line.chars().take(110).collect();
    let under = text[place.range()]
        .split('\n')
        .next()
        .unwrap_or("")
        .trim_end_matches('\r');
    let width = under.chars().count().clamp(1, 110);
    let _ = writeln!(out, "  | {shown}");
    let _ = writeln!(out, "  | {}{} {label}", " ".repeat(column - 1), "^".repeat(width));
}

//! Limits that no code reads: a figure in the data that decides nothing misleads whoever changes it.

use std::fs;
use std::path::Path;

/// Where the limits get their names.
const NAMES: &str = "crates/catalogue/src/limits.rs";

/// Kept although nothing reads it: the half for alternating voltage of a pair whose other half is read.
const KEPT: [&str; 1] = ["supply_extra_low_voltage_ac"];

/// A fault for each limit whose field no source of any crate names.
pub fn faults() -> Result<Vec<String>, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let read = |path: &Path| fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()));
    let names = read(&root.join(NAMES))?;
    let mut texts = Vec::new();
    for crate_folder in folders(&root.join("crates"))? {
        gather(&crate_folder.join("src"), &mut |path| {
            if !path.ends_with(NAMES) {
                texts.push(read(path)?);
            }
            Ok(())
        })?;
    }
    let unread =
        fields(&names).filter(|name| !KEPT.contains(name) && !texts.iter().any(|text| reads(text, name)));
    Ok(unread
        .map(|name| format!("{NAMES}: nothing reads `{name}`"))
        .collect())
}

/// The fields of the table of limits: `name: Kind = "key";`.
fn fields(text: &str) -> impl Iterator<Item = &str> {
    text.lines().filter_map(|line| {
        let (field, key) = line.trim().split_once(" = \"")?;
        let (name, _) = field.split_once(": ")?;
        (key.ends_with("\";") && !name.contains(' ')).then_some(name)
    })
}

/// Whether a text reads a field of that name.
fn reads(text: &str, name: &str) -> bool {
    let after = |at: usize| text[at + name.len()..].chars().next();
    let mut found = text.match_indices(name);
    found.any(|(at, _)| {
        text[..at].ends_with('.') && !after(at).is_some_and(|next| next.is_alphanumeric() || next == '_')
    })
}

fn folders(of: &Path) -> Result<Vec<std::path::PathBuf>, String> {
    let entries = fs::read_dir(of).map_err(|error| format!("{}: {error}", of.display()))?;
    Ok(entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.is_dir())
        .collect())
}

fn gather(folder: &Path, take: &mut dyn FnMut(&Path) -> Result<(), String>) -> Result<(), String> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Ok(());
    };
    for path in entries.flatten().map(|entry| entry.path()) {
        if path.is_dir() {
            gather(&path, take)?;
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            take(&path)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::{fields, reads};

    #[test]
    fn a_field_is_read_where_its_whole_name_follows_a_dot() {
        let table = "    /// What.\n    lead_drop: Ratio = \"lead.drop\";\n    lead_drop_blocker: Ratio = \"lead.drop_blocker\";";
        assert_eq!(
            fields(table).collect::<Vec<_>>(),
            ["lead_drop", "lead_drop_blocker"]
        );
        assert!(reads("limits().lead_drop.value", "lead_drop"));
        assert!(!reads("limits().lead_drop_blocker.value", "lead_drop"));
        assert!(!reads("lead_drop: Ratio", "lead_drop"));
    }
}

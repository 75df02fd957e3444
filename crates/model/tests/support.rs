//! What several areas need: swap folders in memory, and faults as plain text.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use model::{Diagnostic, Faults, Sources};

/// The files of a swap folder by their path inside it.
pub type Folder = BTreeMap<String, Vec<u8>>;

/// The folder `examples/` of the project.
pub fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples")
}

/// Reads every file of a folder of `examples/`.
pub fn example(name: &str) -> Folder {
    let root = examples().join(name);
    let mut folder = Folder::new();
    collect(&root, &root, &mut folder);
    assert!(folder.contains_key("swap.toml"), "no swap in {}", root.display());
    folder
}

fn collect(root: &Path, at: &Path, folder: &mut Folder) {
    let entries = std::fs::read_dir(at).unwrap_or_else(|error| panic!("{}: {error}", at.display()));
    for entry in entries {
        let path = entry.expect("a readable folder").path();
        if path.is_dir() {
            collect(root, &path, folder);
            continue;
        }
        let inside = path.strip_prefix(root).expect("a path below the root");
        let name = inside.to_string_lossy().replace('\\', "/");
        let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        folder.insert(name, bytes);
    }
}

/// All faults as plain text: place, code, what is underlined, headline, label, expectation, help, other places.
pub fn plain(faults: &Faults) -> String {
    let texts = faults.faults.iter().map(|fault| one(fault, &faults.sources));
    texts.collect::<Vec<_>>().join("\n")
}

fn one(fault: &Diagnostic, sources: &Sources) -> String {
    let underlined = |place: model::Place| {
        let text = &sources.file(place.file).text;
        let cut: String = text[place.range()].chars().take(50).collect();
        cut.replace('\n', "⏎").replace('\r', "␍")
    };
    let mut out = format!(
        "{} {}\n  at   |{}| {}\n  says {}\n",
        sources.show(fault.place),
        fault.code,
        underlined(fault.place),
        fault.label,
        fault.headline,
    );
    if let Some(expected) = &fault.expected {
        out += &format!("  want {expected}\n");
    }
    if let Some(help) = &fault.help {
        out += &format!("  help {help}\n");
    }
    for (place, label) in &fault.others {
        out += &format!(
            "  see  {} |{}| {label}\n",
            sources.show(*place),
            underlined(*place)
        );
    }
    out
}

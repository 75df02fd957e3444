//! Folders of the project as swaps in memory, for tests, benches and generators: the one place that lists a folder for them.
//!
//! Panics where a folder cannot be read: nothing that a test could go on with.

pub mod firmware;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The files of a folder by their path inside it, with strokes forward.
pub type Folder = BTreeMap<String, Vec<u8>>;

/// The folder `examples/` of the project.
#[must_use]
pub fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples")
}

/// Every file of a folder of `examples/`.
///
/// # Panics
/// As [`folder`].
#[must_use]
pub fn example(name: &str) -> Folder {
    folder(&examples().join(name))
}

/// Every file in a folder and in those inside it.
///
/// # Panics
/// Where something in it cannot be read.
#[must_use]
pub fn folder(root: &Path) -> Folder {
    let mut files = Folder::new();
    let mut folders = vec![root.to_owned()];
    while let Some(at) = folders.pop() {
        let entries = std::fs::read_dir(&at).unwrap_or_else(|error| panic!("{}: {error}", at.display()));
        for entry in entries {
            let path = entry
                .unwrap_or_else(|error| panic!("{}: {error}", at.display()))
                .path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            let inside = path.strip_prefix(root).unwrap_or(&path);
            files.insert(inside.to_string_lossy().replace('\\', "/"), bytes);
        }
    }
    files
}

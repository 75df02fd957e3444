//! Writes the invented read-back of the demonstration swap; a folder as the first word, else that of the demo.
//!
//! Its truth stands in `truth.rs`; a test holds the analysis against it.

mod truth;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn main() -> std::io::Result<()> {
    let folder = std::env::args()
        .nth(1)
        .map_or_else(|| PathBuf::from("examples/demo"), PathBuf::from);
    let mut files = BTreeMap::new();
    taken(&folder, &folder, &mut files)?;
    let swap = model::load(&files).map_err(|faults| std::io::Error::other(format!("{:?}", faults.faults)))?;
    let board = swap
        .candidates
        .iter()
        .find(|board| board.name.value == truth::BOARD);
    let board = board.ok_or_else(|| std::io::Error::other("the demo has no such board"))?;
    let plan = plan::plan(&swap, board);
    std::fs::write(folder.join("evidence/read-back.txt"), truth::read_back(&plan))
}

/// Everything in a folder, by its path inside it.
fn taken(root: &Path, at: &Path, files: &mut BTreeMap<String, Vec<u8>>) -> std::io::Result<()> {
    for entry in std::fs::read_dir(at)? {
        let path = entry?.path();
        if path.is_dir() {
            taken(root, &path, files)?;
        } else {
            let inside = path.strip_prefix(root).map_err(std::io::Error::other)?;
            files.insert(inside.to_string_lossy().replace('\\', "/"), std::fs::read(&path)?);
        }
    }
    Ok(())
}

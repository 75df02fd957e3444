//! Writes what the invented controllers of the demonstration swap report; a folder as the first word, else that of the demo.
//!
//! The truth stands in `truth.rs`; a test holds the files against it.

mod truth;

use std::path::PathBuf;

fn main() -> std::io::Result<()> {
    let folder = std::env::args()
        .nth(1)
        .map_or_else(|| PathBuf::from("examples/demo"), PathBuf::from);
    for (path, text) in truth::files(samples::folder(&folder)) {
        std::fs::write(folder.join(path), text)?;
    }
    Ok(())
}

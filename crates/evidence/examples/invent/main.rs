//! Writes the invented logs of the demonstration swap: `cargo xtask invent`, or with a folder as the first word.
//!
//! Their truth stands in `truth.rs`, so that anybody can hold the analysis against it.

mod truth;

use std::path::Path;

fn main() -> std::io::Result<()> {
    let folder = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "examples/demo/evidence".to_owned());
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    for (name, text) in truth::files() {
        std::fs::write(folder.join(name), text)?;
    }
    Ok(())
}

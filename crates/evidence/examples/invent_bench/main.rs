//! Writes the invented measurements at the bench for the demonstration swap; a folder as the first word, else that of the demo.
//!
//! Their truth stands in `truth.rs`; a test holds the analyses against it.

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

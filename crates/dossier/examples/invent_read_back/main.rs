//! Writes the invented read-back of the demonstration swap; a folder as the first word, else that of the demo.
//!
//! Its truth stands in `truth.rs`; a test holds the analysis against it.

mod truth;

use std::path::PathBuf;

fn main() -> std::io::Result<()> {
    let folder = std::env::args()
        .nth(1)
        .map_or_else(|| PathBuf::from("examples/demo"), PathBuf::from);
    let swap = model::load(&samples::folder(&folder))
        .map_err(|faults| std::io::Error::other(format!("{:?}", faults.faults)))?;
    let board = swap
        .candidates
        .iter()
        .find(|board| board.name.value == truth::BOARD);
    let board = board.ok_or_else(|| std::io::Error::other("the demo has no such board"))?;
    let plan = plan::plan(&swap, board);
    std::fs::write(folder.join("evidence/read-back.txt"), truth::read_back(&plan))
}

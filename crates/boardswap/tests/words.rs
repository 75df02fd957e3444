//! Places where the words once said something wrong, held on the demonstration.

use std::path::{Path, PathBuf};
use std::process::Command;

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/demo")
}

/// One line of text: the terminal breaks it anywhere.
fn said(arguments: &[&str]) -> String {
    let run = Command::new(env!("CARGO_BIN_EXE_boardswap"))
        .args(arguments)
        .current_dir(demo())
        .output()
        .expect("the program runs");
    assert!(run.stderr.is_empty(), "{}", String::from_utf8_lossy(&run.stderr));
    let text = String::from_utf8(run.stdout).expect("text");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A new housing says what is new about it: the number of its ways.
#[test]
fn a_housing_of_more_ways_says_so() {
    let text = said(&["wiring", "--board", "Birch B6"]);
    assert!(
        text.contains("3-way housing of crimp 2.5 mm (was 2-way crimp 2.5 mm)"),
        "{text}"
    );
}

/// What a tolerance costs is told as "from .. to ..": a share of a margin near nothing means nothing.
#[test]
fn what_a_tolerance_costs_is_told_from_one_margin_to_another() {
    let text = said(&["tolerance", "--board", "Alder A4", "--trials", "500"]);
    assert!(text.contains(": from +") && text.contains(" to "), "{text}");
    assert!(!text.contains("% of −") && !text.contains("% of <"), "{text}");
}

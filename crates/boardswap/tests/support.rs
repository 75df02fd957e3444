//! Runs the program on the examples, as a user does.

#![allow(dead_code, reason = "each test program uses some of it")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The folder of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The demonstration swap.
pub fn demo() -> PathBuf {
    root().join("examples/demo")
}

/// Runs the program in a folder, on a terminal of 100 columns, for a user without a folder of their own.
pub fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_boardswap"))
        .args(arguments)
        .current_dir(folder)
        .env("COLUMNS", "100")
        .env("BOARDSWAP_CONFIG", folder.join("nobody"))
        .output()
        .unwrap()
}

/// What it said.
pub fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// What it complained of.
pub fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

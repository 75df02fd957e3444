//! Runs the program on the examples, as a user does.

#![allow(dead_code, reason = "each test program uses some of it")]

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

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

/// The program in a folder, with lines typed into it.
pub fn typed(folder: &Path, arguments: &[&str], lines: &str) -> Output {
    let mut child = start(folder, arguments);
    // It may end before it has read them all.
    let _ = child.stdin.take().unwrap().write_all(lines.as_bytes());
    child.wait_with_output().unwrap()
}

/// The program in a folder, waiting for what is typed.
pub fn start(folder: &Path, arguments: &[&str]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_boardswap"))
        .args(arguments)
        .current_dir(folder)
        .env("COLUMNS", "100")
        .env("BOARDSWAP_CONFIG", folder.join("nobody"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

/// A copy of the demo in a folder of its own, with some texts replaced.
pub fn copy(edits: &[(&str, &str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy_into(&demo(), folder.path());
    for (file, from, to) in edits {
        let path = folder.path().join(file);
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "`{from}` is not in {file}");
        std::fs::write(&path, text.replacen(from, to, 1)).unwrap();
    }
    folder
}

/// Copies a folder with all that is in it.
pub fn copy_into(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy_into(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// What it said.
pub fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// What it complained of.
pub fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

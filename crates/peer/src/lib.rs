//! The Python beside which benches time their work, one interpreter for all of them, and the figure of our own that stands beside it.
//!
//! `PEER_PYTHON` names it; without that it is the one of the virtual environment `target/peer`, for which the head of each script says
//! what to install. A bench whose peer is missing tells its own times only.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

/// What a script prints.
///
/// - `script`: its whole path, `concat!(env!("CARGO_MANIFEST_DIR"), "/benches/peer.py")`.
///
/// # Errors
/// A line for the reader of the bench: which interpreter was tried, what went wrong, where the mend stands.
pub fn run<S: AsRef<OsStr>>(script: &str, arguments: &[S]) -> Result<String, String> {
    let python = python();
    let missing = |problem: &str| {
        let script = Path::new(script);
        let near = script.strip_prefix(root()).unwrap_or(script).display();
        let python = python.display();
        format!(
            "no peer: {python}: {problem}; the head of {near} says what to install, PEER_PYTHON names another interpreter"
        )
    };
    let output = Command::new(&python)
        .arg(script)
        .args(arguments)
        .output()
        .map_err(|error| missing(&error.to_string()))?;
    if !output.status.success() {
        let words = String::from_utf8_lossy(&output.stderr);
        return Err(missing(
            words.lines().last().unwrap_or("it failed without a word"),
        ));
    }
    String::from_utf8(output.stdout).map_err(|_| missing("it prints no text"))
}

fn python() -> PathBuf {
    std::env::var_os("PEER_PYTHON").map_or_else(|| root().join("target/peer/bin/python"), PathBuf::from)
}

/// The folder of the workspace.
fn root() -> PathBuf {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    own.ancestors().nth(2).unwrap_or(own).to_owned()
}

/// The median of 21 runs, in seconds: the figure that a bench sets beside its peer's.
pub fn median_seconds<T>(mut run: impl FnMut() -> T) -> f64 {
    let mut times: Vec<f64> = (0..21)
        .map(|_| {
            let start = Instant::now();
            std::hint::black_box(run());
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

//! The Python beside which benches time their work, one interpreter for all of them, and the figure of our own that stands beside it.
//!
//! `PEER_PYTHON` names it; without that it is the one of the virtual environment `target/peer`, which `cargo xtask peers` sets up. A bench whose
//! peer is missing tells its own times only.

#![allow(clippy::print_stdout, reason = "a bench prints its figures")]

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
            "no peer for {near}: {python}: {problem}; `cargo xtask peers` sets it up, PEER_PYTHON names another interpreter"
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

/// What the other side of a figure is.
#[derive(Clone, Copy, Debug)]
pub enum Beside<'a> {
    /// A library that does the same work, and how many times as fast ours is to be.
    Peer(&'a str, f64),
    /// What nothing can be quicker or smaller than, and how many times as much ours may be.
    Limit(&'a str, f64),
}

/// Prints a figure for the table of `cargo xtask bench`: ours in a unit (`s` or `MB`), and theirs where it is known.
pub fn figure(what: &str, ours: f64, unit: &str, beside: Beside<'_>, theirs: Option<f64>) {
    let (kind, name, goal) = match beside {
        Beside::Peer(name, goal) => ("peer", name, goal),
        Beside::Limit(name, goal) => ("limit", name, goal),
    };
    let theirs = theirs.map_or_else(String::new, |theirs| format!("{theirs:e}"));
    println!("figure;{what};{ours:e};{unit};{kind};{name};{theirs};{goal}");
}

/// Prints how the time of some work grows, for the table of growth: sizes, each with the seconds that it takes.
pub fn growth(what: &str, of: &str, times: &[(f64, f64)]) {
    let pairs: Vec<String> = times
        .iter()
        .map(|(size, seconds)| format!("{size:e},{seconds:e}"))
        .collect();
    println!("growth;{what};{of};{}", pairs.join(" "));
}

/// Prints our own figures (name, peer, seconds), each beside the seconds that a script prints in the same order, one a line. What the script
/// prints last comes back; nothing where there is no peer, which is said.
pub fn beside<S: AsRef<OsStr>>(
    script: &str,
    arguments: &[S],
    ours: &[(&str, Beside<'_>, f64)],
) -> Option<String> {
    let printed = match run(script, arguments) {
        Ok(printed) => printed,
        Err(missing) => {
            for (name, other, seconds) in ours {
                println!("{name}: {:.2} ms", seconds * 1e3);
                figure(name, *seconds, "s", *other, None);
            }
            println!("{missing}");
            return None;
        }
    };
    for ((name, beside, own), line) in ours.iter().zip(printed.lines()) {
        // A script that prints words where a figure should stand is seen as such.
        let other: f64 = line.trim().parse().unwrap_or(f64::NAN);
        figure(name, *own, "s", *beside, Some(other));
        println!(
            "{name}: {:.2} ms, peer {:.2} ms: {:.1} times as fast",
            own * 1e3,
            other * 1e3,
            other / own
        );
    }
    printed.lines().last().map(str::to_owned)
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

/// The best of some runs, in seconds: for work whose peer is timed by its best, too.
pub fn best_seconds<T>(runs: usize, mut work: impl FnMut() -> T) -> f64 {
    let one = |_| {
        let start = Instant::now();
        std::hint::black_box(work());
        start.elapsed().as_secs_f64()
    };
    (0..runs).map(one).fold(f64::INFINITY, f64::min)
}

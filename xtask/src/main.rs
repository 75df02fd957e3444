//! Chores of the project: `cargo xtask test | bench | peers | tidy | lint | invent | long | reference | rename-keys | mistakes | mutants`.
//!
//! `test` is the one command that installs what tests need and passes them; `bench` prints ratios against peers in one run and
//! writes `docs/performance.md`, `peers` sets these peers up;
//! `tidy` holds the house in order (arrows between crates and between modules, licences, first lines, links); `lint` is format, clippy and docs;
//! `reference` asks independent libraries for the values that formulas are held against;
//! `rename-keys` gives the keys of a swap's files their names of today; `mistakes` tries every row of the table of mistakes and prints the
//! score by group; `mutants` changes drawn places of `plan` one at a time and lists those that no test notices.

#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a chore talks to its terminal"
)]

mod arrows;
mod bench;
mod browser;
mod invent;
mod licences;
mod limits;
mod modules;
mod mutants;
mod pages;
mod peers;
mod reference;
mod rename;
mod shell;
mod tidy;

use std::process::ExitCode;

fn main() -> ExitCode {
    let mut words = std::env::args().skip(1);
    let command = words.next().unwrap_or_default();
    let rest: Vec<String> = words.collect();
    let result = match command.as_str() {
        "test" => test(&rest),
        "bench" => bench::run(&rest),
        "peers" => peers::install(),
        "tidy" => tidy::run(),
        "lint" => lint(),
        "invent" => invent::run(),
        "long" => long(),
        "reference" => reference::run_all(),
        "mistakes" => mistakes(),
        "mutants" => mutants::run(&rest),
        "rename-keys" => rename::run(&rest),
        _ => {
            eprintln!(
                "cargo xtask test | bench [NAME] | peers | tidy | lint | invent | long | reference | rename-keys FOLDER | mistakes | mutants CRATE[,CRATE...] [SEED [COUNT]]"
            );
            return ExitCode::from(2);
        }
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("xtask: {problem}");
            ExitCode::FAILURE
        }
    }
}

/// What takes too long for every day: many seeds, whose table is kept in `docs/handbook/evidence/temperature.md`, each deletion of the law of absence,
/// all laws on new draws, and mutants; of these `docs/handbook/trials.md` keeps what came of them.
fn long() -> Result<(), String> {
    shell::cargo(
        &[
            "run",
            "--release",
            "--locked",
            "-p",
            "evidence",
            "--example",
            "coverage",
        ],
        &[],
    )?;
    let law = [
        "test",
        "-p",
        "plan",
        "--test",
        "main",
        "law::",
        "--",
        "--ignored",
        "--nocapture",
    ];
    let kills = [
        "test",
        "--release",
        "-p",
        "record",
        "--test",
        "tests",
        "five_hundred",
        "--",
        "--ignored",
    ];
    // What one finds does not hide what the next would.
    let absence = shell::cargo(&law, &[]);
    let kills = shell::cargo(&kills, &[]);
    let draws = tests_on_new_draws();
    mutants::run(&["physics,plan".to_owned()])
        .and(absence)
        .and(draws)
        .and(kills)
}

/// What the laws draw from, so that a run can be had again; [`long`] draws from elsewhere, and who looks for more sets another.
const SEED: &str = "PROPTEST_RNG_SEED";

/// Installs what tests need, then runs them all, each time on the same draws.
fn test(rest: &[String]) -> Result<(), String> {
    browser::install()?;
    let seed = std::env::var(SEED).unwrap_or_else(|_| "1".to_owned());
    tests(&seed, rest)
}

/// Runs all tests, their laws drawn from a seed.
fn tests(seed: &str, rest: &[String]) -> Result<(), String> {
    let mut arguments = vec!["test", "--workspace", "--locked"];
    arguments.extend(rest.iter().map(String::as_str));
    shell::cargo_with(&arguments, &[(SEED, seed)])
}

/// Runs all tests on draws that nobody has seen; the seed is told, since only it brings a failure back.
fn tests_on_new_draws() -> Result<(), String> {
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    let seed = now.map_or(0, |since| since.as_secs()).to_string();
    println!("laws on draws from {SEED}={seed}");
    tests(&seed, &["--no-fail-fast".to_owned()])
}

/// The score of the table of mistakes (`crates/plan/tests/mistakes/`), by group.
fn mistakes() -> Result<(), String> {
    let test = "mistakes::each_mistake_is_found";
    let arguments = [
        "test",
        "--quiet",
        "--package",
        "plan",
        "--test",
        "main",
        test,
        "--",
        "--exact",
        "--nocapture",
    ];
    shell::cargo(&arguments, &[])
}

/// The checks of the plan are declared by a macro, through which `cargo fmt` does not look.
fn checks_formatted() -> Result<(), String> {
    let folder = shell::root().join("crates/plan/src/rules/checks");
    let files = std::fs::read_dir(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let mut command = std::process::Command::new("rustfmt");
    command.args(["--check", "--edition", "2024"]);
    let files = files.filter_map(|file| Some(file.ok()?.path()));
    // Of a folder the file beside it declares what is in it, and rustfmt goes there by itself.
    command.args(files.filter(|file| file.extension().is_some_and(|end| end == "rs")));
    shell::run(command)
}

/// Format, clippy and docs, all without a warning.
fn lint() -> Result<(), String> {
    shell::cargo(&["fmt", "--all", "--", "--check"], &[])?;
    checks_formatted()?;
    shell::cargo(
        &[
            "clippy",
            "--workspace",
            "--all-targets",
            "--locked",
            "--",
            "-D",
            "warnings",
        ],
        &[],
    )?;
    shell::cargo_with(
        &["doc", "--workspace", "--no-deps", "--locked"],
        &[("RUSTDOCFLAGS", "-D warnings")],
    )
}

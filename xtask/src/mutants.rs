//! Mutation testing: drawn places of a crate's sources are changed one at a time, and its tests must notice, or those of crates that build upon it.
//!
//! All changes are built into one copy of the project, each behind a switch that the variable `MUTANT` turns on (mutant schemata: Untch, Offutt
//! and Harrold 1993): one build serves all of them. The copy lies in `target/mutants`; the sources of the project stay as they are.
//! Changes that no test can notice stand with their reasons in `xtask/equivalent-mutants.toml`; they are not drawn. Results are kept in
//! `docs/handbook/trials.md`.

mod copy;
mod places;

use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};
use toml_edit::{DocumentMut, Item};

use crate::shell;
use places::Place;

/// Tests that judge in turn, by the crate they belong to: each list of names is one round, and what all of them let pass goes through all that is
/// left. A crate that is not in here has one round, of all its tests.
const ROUNDS: &[(&str, &[&[&str]])] = &[
    (
        "plan",
        &[
            &["checks::", "mended::", "curves::", "harness::"],
            &["mistakes::each_mistake_is_found"],
        ],
    ),
    (
        "evidence",
        &[&[
            "alarm::",
            "calibration::",
            "demo::",
            "known::",
            "read::",
            "reference::",
            "stall::",
            "strange_",
            "verdicts::",
        ]],
    ),
];

/// A changed program that runs so much longer than the unchanged one was noticed.
const PATIENCE: (u32, Duration) = (5, Duration::from_secs(20));

/// A place that is changed, and the number of its switch.
type Mutant = (usize, Place);

/// `cargo xtask mutants CRATE[,CRATE...] [SEED [COUNT]]`: so many places of each crate. What the tests of a crate let pass is shown to those of
/// the crates after it.
pub fn run(rest: &[String]) -> Result<(), String> {
    let usage = "cargo xtask mutants CRATE[,CRATE...] [SEED [COUNT]]";
    let Some(names) = rest.first() else {
        return Err(usage.to_owned());
    };
    let names: Vec<&str> = names.split(',').collect();
    let number = |at: usize, usual: u64| match rest.get(at) {
        None => Ok(usual),
        Some(text) => text
            .parse::<u64>()
            .map_err(|_| format!("`{text}` is no number: {usage}")),
    };
    let (seed, count) = (number(1, 1)?, number(2, 60)?);
    let mut drawn: Vec<Mutant> = Vec::new();
    for name in &names {
        let all = drawable(name)?;
        let own = draw(&all, seed, usize::try_from(count).unwrap_or(usize::MAX));
        println!("{name}: {} of {} places, seed {seed}", own.len(), all.len());
        let before = drawn.len();
        drawn.extend(own.into_iter().map(|(number, place)| (before + number, place)));
    }
    let copy = copy::made()?;
    let programs = copy::built(&copy, &names, &mut drawn)?;
    println!("{} compile", drawn.len());
    let mut all = Vec::new();
    for name in &names {
        let programs = programs.get(*name).map_or(&[][..], Vec::as_slice);
        all.push(rounds(name, programs, &copy.join("crates").join(name))?);
    }
    for (at, name) in names.iter().enumerate() {
        let folder = format!("crates/{name}/");
        let own: Vec<&Mutant> = drawn
            .iter()
            .filter(|(_, place)| place.file.starts_with(&folder))
            .collect();
        let mut survivors = Vec::new();
        for (number, place) in &own {
            let began = Instant::now();
            let mut asked = all[at..].iter().flatten();
            let killer = asked.find_map(|round| round.noticed(*number).transpose());
            let said = match killer.transpose()? {
                Some(test) => format!("noticed by {test}"),
                None => {
                    survivors.push(place);
                    "SURVIVES".to_owned()
                }
            };
            println!("{number:>3} {:>4} s {said}: {place}", began.elapsed().as_secs());
        }
        println!(
            "{name}, seed {seed}: {} of {} noticed",
            own.len() - survivors.len(),
            own.len()
        );
        for place in survivors {
            println!("  {place}");
        }
    }
    Ok(())
}

/// All places of a crate but those that no test can notice.
fn drawable(name: &str) -> Result<Vec<Place>, String> {
    let mut all = places::of_crate(name)?;
    for known in equivalent()? {
        let before = all.len();
        all.retain(|place| !known.is(place));
        if known.file.starts_with(&format!("crates/{name}/")) && all.len() == before {
            return Err(format!(
                "xtask/equivalent-mutants.toml: {} has no `{}` in a line `{}`",
                known.file, known.what, known.line
            ));
        }
    }
    Ok(all)
}

/// A change that no test can notice.
struct Equivalent {
    file: String,
    line: String,
    what: String,
}

impl Equivalent {
    fn is(&self, place: &Place) -> bool {
        self.file == place.file && self.line == place.text && self.what == place.what
    }
}

fn equivalent() -> Result<Vec<Equivalent>, String> {
    let path = shell::root().join("xtask/equivalent-mutants.toml");
    let said = |problem: String| format!("{}: {problem}", path.display());
    let text = std::fs::read_to_string(&path).map_err(|error| said(error.to_string()))?;
    let document: DocumentMut = text
        .parse()
        .map_err(|error: toml_edit::TomlError| said(error.to_string()))?;
    let tables = document.get("equivalent").and_then(Item::as_array_of_tables);
    let one = |table: &toml_edit::Table| {
        let word = |key: &str| {
            let found = table.get(key).and_then(Item::as_str).map(str::to_owned);
            found.ok_or_else(|| said(format!("an entry without `{key}`")))
        };
        word("reason")?;
        Ok(Equivalent {
            file: word("file")?,
            line: word("line")?,
            what: word("what")?,
        })
    };
    tables.into_iter().flatten().map(one).collect()
}

/// So many places, none inside another, each with its number.
fn draw(all: &[Place], seed: u64, count: usize) -> Vec<Mutant> {
    let mut random = Pcg64Mcg::seed_from_u64(seed);
    let mut left: Vec<&Place> = all.iter().collect();
    let mut out: Vec<&Place> = Vec::new();
    while out.len() < count && !left.is_empty() {
        let many = u64::try_from(left.len()).unwrap_or(1);
        let at = usize::try_from(random.next_u64() % many).unwrap_or(0);
        let place = left.swap_remove(at);
        if !out.iter().any(|other| other.meets(place)) {
            out.push(place);
        }
    }
    out.sort_by(|one, other| (&one.file, one.bytes.start).cmp(&(&other.file, other.bytes.start)));
    out.into_iter().cloned().enumerate().collect()
}

/// Test programs with the tests of them that are asked.
struct Round {
    /// Of the crate whose tests they are.
    folder: PathBuf,
    programs: Vec<PathBuf>,
    arguments: Vec<String>,
    /// How long they may run.
    patience: Duration,
}

/// The rounds of a crate, timed and green without a change.
fn rounds(name: &str, programs: &[PathBuf], folder: &Path) -> Result<Vec<Round>, String> {
    let named = ROUNDS.iter().find(|(of, _)| *of == name);
    let named = named.map_or(&[][..], |(_, rounds)| *rounds);
    let mut lists: Vec<Vec<String>> = named
        .iter()
        .map(|tests| tests.iter().map(|test| (*test).to_owned()).collect())
        .collect();
    let before = named.iter().flat_map(|tests| tests.iter());
    lists.push(
        before
            .flat_map(|test| ["--skip".to_owned(), (*test).to_owned()])
            .collect(),
    );
    let mut out = Vec::new();
    for arguments in lists {
        let mut round = Round {
            folder: folder.to_owned(),
            programs: programs.to_vec(),
            arguments,
            patience: Duration::from_secs(3600),
        };
        let began = Instant::now();
        if let Some(test) = round.noticed(usize::MAX)? {
            return Err(format!("{name}: without a change, {test} fails"));
        }
        let took = began.elapsed();
        println!("{name}: tests without a change: {} s", took.as_secs());
        round.patience = took * PATIENCE.0 + PATIENCE.1;
        out.push(round);
    }
    Ok(out)
}

impl Round {
    /// The first test that notices a change; `None` where none does.
    fn noticed(&self, number: usize) -> Result<Option<String>, String> {
        for program in &self.programs {
            let mut command = Command::new(program);
            command
                .args(&self.arguments)
                .current_dir(&self.folder)
                .env("CARGO_MANIFEST_DIR", &self.folder)
                .env("MUTANT", number.to_string())
                .env("INSTA_UPDATE", "no")
                // What one change made fail is not asked of the next, and two runs are alike.
                .env("PROPTEST_DISABLE_FAILURE_PERSISTENCE", "1")
                .env("PROPTEST_RNG_SEED", "1")
                .env_remove("UPDATE")
                .stdout(Stdio::piped())
                .stderr(Stdio::null());
            if let Some(test) = failed(command, self.patience)? {
                return Ok(Some(test));
            }
        }
        Ok(None)
    }
}

/// The first test of a program that fails, or how else it ended; it is not run on then.
fn failed(mut command: Command, patience: Duration) -> Result<Option<String>, String> {
    let shown = format!("{command:?}");
    let mut child = command.spawn().map_err(|error| format!("{shown}: {error}"))?;
    let output = child.stdout.take();
    let child = Arc::new(std::sync::Mutex::new(child));
    let ended = Arc::new(AtomicBool::new(false));
    // Whoever runs on and on is ended from beside, so that reading ends too.
    let watch = {
        let (child, ended) = (Arc::clone(&child), Arc::clone(&ended));
        std::thread::spawn(move || {
            let began = Instant::now();
            while !ended.load(Ordering::Relaxed) {
                if began.elapsed() > patience {
                    let _ = child.lock().map(|mut child| child.kill());
                    return true;
                }
                std::thread::sleep(Duration::from_millis(50));
            }
            false
        })
    };
    let lines = output
        .into_iter()
        .flat_map(|output| BufReader::new(output).lines());
    let mut first = None;
    for line in lines.map_while(Result::ok) {
        let test = line
            .strip_prefix("test ")
            .and_then(|rest| rest.strip_suffix(" ... FAILED"));
        if let Some(test) = test {
            first = Some(test.to_owned());
            break;
        }
    }
    ended.store(true, Ordering::Relaxed);
    let late = watch.join().unwrap_or(false);
    let mut child = child.lock().map_err(|_| "a thread panicked".to_owned())?;
    if first.is_some() {
        let _ = child.kill();
    }
    let status = child.wait().map_err(|error| format!("{shown}: {error}"))?;
    Ok(match first {
        Some(test) => Some(test),
        None if late => Some("the time that is allowed".to_owned()),
        None if !status.success() => Some(format!("{status}")),
        None => None,
    })
}

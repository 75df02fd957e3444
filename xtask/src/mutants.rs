//! Mutation testing of `plan`: drawn places of `facts` and `rules` are changed one at a time, and its tests must notice.
//!
//! All changes are built into one copy of the project, each behind a switch that the variable `MUTANT` turns on (mutant schemata: Untch, Offutt
//! and Harrold 1993): one build serves all of them. The copy lies in `target/mutants`; the sources of the project stay as they are.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};

use crate::shell;

/// A place that can be changed.
#[derive(Clone, Debug)]
struct Place {
    /// From the root of the project.
    file: String,
    /// From 0.
    line: usize,
    /// The line as it would stand with the switch of that number, which takes the place of [`NUMBER`].
    switched: String,
    /// What is changed, such as `.high() for .low()`.
    what: &'static str,
}

/// Stands for the number of a switch.
const NUMBER: &str = "\u{1}";
/// Tests that judge first: they need a moment. What they let pass goes through the table of mistakes.
const FAST: [&str; 4] = ["checks::", "mended::", "curves::", "harness::"];
const SLOW: &str = "mistakes::each_mistake_is_found";
/// A changed program that runs on and on was noticed.
const PATIENCE: Duration = Duration::from_secs(900);

/// Text for text, wherever it stands in code.
const CALLS: [(&str, &str, &str); 12] = [
    (".high()", ".mutant_high(\u{1})", ".low() for .high()"),
    (".low()", ".mutant_low(\u{1})", ".high() for .low()"),
    (".larger(", ".mutant_larger(\u{1}, ", ".smaller for .larger"),
    (".smaller(", ".mutant_smaller(\u{1}, ", ".larger for .smaller"),
    (".any(", ".mutant_any(\u{1}, ", ".all for .any"),
    (".all(", ".mutant_all(\u{1}, ", ".any for .all"),
    (".is_some()", ".mutant_is_some(\u{1})", ".is_none for .is_some"),
    (".is_none()", ".mutant_is_none(\u{1})", ".is_some for .is_none"),
    (".at_most(", ".mutant_at_most(\u{1}, ", "at_least for at_most"),
    (".at_least(", ".mutant_at_least(\u{1}, ", "at_most for at_least"),
    (
        ", Verdict::Caution, ||",
        ", crate::mutants::pick(\u{1}, Verdict::Note, Verdict::Caution), ||",
        "Note for Caution",
    ),
    (
        ", Verdict::Blocker, ||",
        ", crate::mutants::pick(\u{1}, Verdict::Caution, Verdict::Blocker), ||",
        "Caution for Blocker",
    ),
];

/// What the changed crate is given.
const SWITCHES: &str = r#"
use std::sync::OnceLock;
use quantity::{Number, Quantity, Range, Value};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) fn on(number: usize) -> bool {
    static ON: OnceLock<Option<usize>> = OnceLock::new();
    *ON.get_or_init(|| std::env::var("MUTANT").ok()?.parse().ok()) == Some(number)
}
pub(crate) fn pick<T>(number: usize, changed: T, own: T) -> T {
    if on(number) { changed } else { own }
}
pub(crate) trait Ends<Q> {
    fn mutant_high(&self, number: usize) -> Q;
    fn mutant_low(&self, number: usize) -> Q;
}
impl<Q: Number> Ends<Q> for Value<Q> {
    fn mutant_high(&self, number: usize) -> Q { pick(number, self.low(), self.high()) }
    fn mutant_low(&self, number: usize) -> Q { pick(number, self.high(), self.low()) }
}
impl<Q: Number> Ends<Q> for Range<Q> {
    fn mutant_high(&self, number: usize) -> Q { pick(number, self.low(), self.high()) }
    fn mutant_low(&self, number: usize) -> Q { pick(number, self.high(), self.low()) }
}
pub(crate) trait Extremes: Number {
    fn mutant_larger(self, number: usize, other: Self) -> Self {
        if on(number) { self.smaller(other) } else { self.larger(other) }
    }
    fn mutant_smaller(self, number: usize, other: Self) -> Self {
        if on(number) { self.larger(other) } else { self.smaller(other) }
    }
}
impl<N: Number> Extremes for N {}
pub(crate) trait Quantifiers: Iterator {
    fn mutant_any(&mut self, number: usize, holds: impl FnMut(Self::Item) -> bool) -> bool where Self: Sized {
        if on(number) { self.all(holds) } else { self.any(holds) }
    }
    fn mutant_all(&mut self, number: usize, holds: impl FnMut(Self::Item) -> bool) -> bool where Self: Sized {
        if on(number) { self.any(holds) } else { self.all(holds) }
    }
}
impl<I: Iterator> Quantifiers for I {}
pub(crate) trait Presence {
    fn mutant_is_some(&self, number: usize) -> bool;
    fn mutant_is_none(&self, number: usize) -> bool;
}
impl<T> Presence for Option<T> {
    fn mutant_is_some(&self, number: usize) -> bool { on(number) != self.is_some() }
    fn mutant_is_none(&self, number: usize) -> bool { on(number) != self.is_none() }
}
impl Judge {
    pub(crate) fn mutant_at_most<Q: Quantity>(&mut self, number: usize, value: Value<Q>, bound: Value<Q>, broken: Verdict, finding: impl FnOnce() -> Finding) {
        if on(number) { self.at_least(value, bound, broken, finding) } else { self.at_most(value, bound, broken, finding) }
    }
    pub(crate) fn mutant_at_least<Q: Quantity>(&mut self, number: usize, value: Value<Q>, bound: Value<Q>, broken: Verdict, finding: impl FnOnce() -> Finding) {
        if on(number) { self.at_most(value, bound, broken, finding) } else { self.at_least(value, bound, broken, finding) }
    }
}
"#;

/// `cargo xtask mutants [SEED [COUNT]]`.
pub fn run(rest: &[String]) -> Result<(), String> {
    let number = |at: usize, usual: u64| match rest.get(at) {
        None => Ok(usual),
        Some(text) => text.parse::<u64>().map_err(|_| format!("`{text}` is no number")),
    };
    let (seed, count) = (number(0, 1)?, number(1, 60)?);
    let all = places()?;
    let count = usize::try_from(count).map_err(|_| "so many are not there".to_owned())?;
    let mut drawn = draw(&all, seed, count);
    println!("{} of {} places, seed {seed}", drawn.len(), all.len());
    let copy = copied()?;
    let tests = built(&copy, &mut drawn)?;
    println!("{} compile", drawn.len());
    let mut survivors = Vec::new();
    for (number, place) in &drawn {
        let killer = killed_by(&tests, *number)?;
        println!(
            "{number:>3} {:<10} {}:{} {}",
            killer.unwrap_or("SURVIVES"),
            place.file,
            place.line + 1,
            place.what
        );
        if killer.is_none() {
            survivors.push(place);
        }
    }
    println!(
        "{} of {} noticed; not noticed:",
        drawn.len() - survivors.len(),
        drawn.len()
    );
    for place in survivors {
        println!("  {}:{} {}", place.file, place.line + 1, place.what);
    }
    Ok(())
}

/// Whether a place of a line is inside a text in quotes, by the quotes before it.
fn quoted(line: &str, at: usize) -> bool {
    line[..at].matches('"').count() % 2 == 1
}

/// All places, in the order of files and lines.
fn places() -> Result<Vec<Place>, String> {
    let root = shell::root();
    let mut out = Vec::new();
    for folder in ["crates/plan/src/facts", "crates/plan/src/rules"] {
        for path in sources(&root.join(folder))? {
            let text =
                std::fs::read_to_string(&path).map_err(|error| format!("{}: {error}", path.display()))?;
            let file = path.strip_prefix(&root).unwrap_or(&path).display().to_string();
            for (line, words) in text.lines().enumerate() {
                if words.trim_start().starts_with("#[cfg(test)]") {
                    break;
                }
                out.extend(of_line(words).into_iter().map(|(switched, what)| Place {
                    file: file.clone(),
                    line,
                    switched,
                    what,
                }));
            }
        }
    }
    Ok(out)
}

fn sources(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let entries = std::fs::read_dir(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let mut paths: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    paths.sort();
    let mut out = Vec::new();
    for path in paths {
        if path.is_dir() {
            out.extend(sources(&path)?);
        } else if path.extension().is_some_and(|kind| kind == "rs") {
            out.push(path);
        }
    }
    Ok(out)
}

/// The changes that a line offers.
fn of_line(line: &str) -> Vec<(String, &'static str)> {
    let code = line.trim_start();
    let skipped = [
        "//",
        "#[",
        "use ",
        "const ",
        "static ",
        "pub static ",
        "pub const ",
        "fn ",
        "pub fn ",
    ];
    if skipped.iter().any(|start| code.starts_with(start)) {
        return Vec::new();
    }
    let mut out = Vec::new();
    for (from, to, what) in CALLS {
        for (at, _) in line.match_indices(from) {
            if !quoted(line, at) {
                out.push((format!("{}{to}{}", &line[..at], &line[at + from.len()..]), what));
            }
        }
    }
    let indent = &line[..line.len() - code.len()];
    let negated = format!("crate::mutants::on({NUMBER}) != ");
    let condition = code.strip_prefix("if ").and_then(|rest| rest.strip_suffix(" {"));
    if let Some(condition) = condition.filter(|condition| !condition.contains("let ")) {
        out.push((
            format!("{indent}if {negated}({condition}) {{"),
            "the other way round",
        ));
    }
    let further = code
        .strip_prefix("&& ")
        .filter(|rest| !rest.contains("let ") && !rest.contains("//"));
    if let Some(rest) = further {
        let (condition, end) = rest
            .strip_suffix(" {")
            .map_or((rest, ""), |condition| (condition, " {"));
        if condition.matches('(').count() == condition.matches(')').count() && !condition.contains("&&") {
            out.push((
                format!("{indent}&& ({negated}({condition})){end}"),
                "the other way round",
            ));
        }
    }
    for (operator, other, what) in [
        (" + ", " - ", "- for +"),
        (" - ", " + ", "+ for -"),
        (" * ", " / ", "/ for *"),
        (" / ", " * ", "* for /"),
    ] {
        let Some((before, rest)) = code.split_once(" = ") else {
            continue;
        };
        let Some(sum) = rest.strip_suffix(';') else {
            continue;
        };
        let operators = [" + ", " - ", " * ", " / "]
            .iter()
            .map(|each| sum.matches(each).count())
            .sum::<usize>();
        if before.starts_with("let ")
            && operators == 1
            && sum.contains(operator)
            && !sum.contains(['"', '|', '{'])
        {
            let changed = sum.replacen(operator, other, 1);
            out.push((
                format!(
                    "{indent}{before} = if crate::mutants::on({NUMBER}) {{ {changed} }} else {{ {sum} }};"
                ),
                what,
            ));
        }
    }
    out
}

/// So many places, one of a line, each with its number.
fn draw(all: &[Place], seed: u64, count: usize) -> Vec<(usize, Place)> {
    let mut random = Pcg64Mcg::seed_from_u64(seed);
    let mut left: Vec<&Place> = all.iter().collect();
    let mut out: Vec<&Place> = Vec::new();
    while out.len() < count && !left.is_empty() {
        let many = u64::try_from(left.len()).unwrap_or(1);
        let at = usize::try_from(random.next_u64() % many).unwrap_or(0);
        let place = left.swap_remove(at);
        if !out
            .iter()
            .any(|other| other.file == place.file && other.line == place.line)
        {
            out.push(place);
        }
    }
    out.sort_by(|one, other| (&one.file, one.line).cmp(&(&other.file, other.line)));
    out.into_iter().cloned().enumerate().collect()
}

/// The files of the project in `target/mutants`.
fn copied() -> Result<PathBuf, String> {
    let (root, copy) = (shell::root(), shell::root().join("target/mutants"));
    let mut command = Command::new("git");
    command.args(["ls-files", "-z"]);
    let listed = shell::output(command)?;
    for file in listed.split('\0').filter(|file| !file.is_empty()) {
        let (from, to) = (root.join(file), copy.join(file));
        let bytes = std::fs::read(&from).map_err(|error| format!("{file}: {error}"))?;
        written(&to, &bytes)?;
    }
    Ok(copy)
}

/// Writes a file where it is not so already: what did not change is not built again.
fn written(path: &Path, bytes: &[u8]) -> Result<(), String> {
    if std::fs::read(path).is_ok_and(|old| old == bytes) {
        return Ok(());
    }
    let said = |error: std::io::Error| format!("{}: {error}", path.display());
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).map_err(said)?;
    }
    std::fs::write(path, bytes).map_err(said)
}

/// Builds the copy with all switches; those that do not compile are dropped. The test programs.
fn built(copy: &Path, drawn: &mut Vec<(usize, Place)>) -> Result<Vec<PathBuf>, String> {
    for _ in 0..12 {
        switched(copy, drawn)?;
        let mut command = Command::new(shell::cargo_name());
        command
            .args([
                "test",
                "-p",
                "plan",
                "--tests",
                "--no-run",
                "--message-format=json",
            ])
            .env("CARGO_TARGET_DIR", shell::root().join("target"))
            .env("RUSTFLAGS", "--cap-lints=warn")
            .current_dir(copy)
            .stderr(Stdio::null());
        let output = command.output().map_err(|error| format!("cargo: {error}"))?;
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        let messages: Vec<serde_json::Value> = text
            .lines()
            .filter_map(|line| serde_json::from_str(line).ok())
            .collect();
        if output.status.success() {
            let programs = messages
                .iter()
                .filter_map(|message| message["executable"].as_str());
            return Ok(programs.map(PathBuf::from).collect());
        }
        let mut bad: BTreeSet<(String, usize)> = BTreeSet::new();
        for message in messages
            .iter()
            .filter(|message| message["message"]["level"] == "error")
        {
            for span in message["message"]["spans"].as_array().into_iter().flatten() {
                let file = span["file_name"].as_str().unwrap_or_default().to_owned();
                let (first, last) = (span["line_start"].as_u64(), span["line_end"].as_u64());
                for line in first.unwrap_or(0)..=last.unwrap_or(0) {
                    bad.insert((file.clone(), usize::try_from(line).unwrap_or(0)));
                }
            }
        }
        let before = drawn.len();
        // Lines keep their numbers but for the one that brings the switches into scope.
        drawn.retain(|(_, place)| !bad.contains(&(place.file.clone(), place.line + 1)));
        if drawn.len() == before {
            return Err(format!(
                "the changed project does not compile: {}",
                first_error(&messages)
            ));
        }
    }
    Err("too many changes do not compile".to_owned())
}

fn first_error(messages: &[serde_json::Value]) -> String {
    let mut errors = messages
        .iter()
        .filter(|message| message["message"]["level"] == "error");
    errors
        .next()
        .and_then(|message| message["message"]["rendered"].as_str())
        .unwrap_or("no message")
        .to_owned()
}

/// Writes the sources of `plan` with the switches in them.
fn switched(copy: &Path, drawn: &[(usize, Place)]) -> Result<(), String> {
    let root = shell::root();
    for path in sources(&root.join("crates/plan/src"))? {
        let file = path.strip_prefix(&root).unwrap_or(&path).display().to_string();
        let text = std::fs::read_to_string(&path).map_err(|error| format!("{file}: {error}"))?;
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let own = drawn.iter().filter(|(_, place)| place.file == file);
        let mut any = false;
        for (number, place) in own {
            lines[place.line] = place.switched.replace(NUMBER, &number.to_string());
            any = true;
        }
        let scope = "#[allow(unused_imports)] use crate::mutants::{Ends as _, Extremes as _, Presence as _, Quantifiers as _}; ";
        if let Some(first) = lines
            .iter()
            .position(|line| line.starts_with("use "))
            .filter(|_| any)
        {
            lines[first].insert_str(0, scope);
        }
        if file.ends_with("plan/src/lib.rs") {
            let first = lines
                .iter()
                .position(|line| line.starts_with("mod "))
                .unwrap_or(0);
            lines[first].insert_str(0, "mod mutants; ");
        }
        let mut text = lines.join("\n");
        text.push('\n');
        written(&copy.join(&file), text.as_bytes())?;
    }
    let mut switches = String::from("//! Switches of changed places.\n#![allow(warnings, clippy::all)]\n");
    let _ = writeln!(switches, "{SWITCHES}");
    written(&copy.join("crates/plan/src/mutants.rs"), switches.as_bytes())
}

/// The first of the tests that notices a change; `None` where none does.
fn killed_by(programs: &[PathBuf], number: usize) -> Result<Option<&'static str>, String> {
    for (said, filters) in [("fast", &FAST[..]), ("mistakes", &[SLOW][..])] {
        for program in programs {
            let own = program
                .file_stem()
                .is_some_and(|name| name.to_string_lossy().starts_with("plan-"));
            if own && said == "mistakes" {
                continue;
            }
            let mut command = Command::new(program);
            command
                .current_dir(shell::root().join("target/mutants/crates/plan"))
                .env("MUTANT", number.to_string())
                .env("PROPTEST_CASES", "20")
                .stdout(Stdio::null())
                .stderr(Stdio::null());
            if !own {
                command.args(filters);
            }
            let mut child = command
                .spawn()
                .map_err(|error| format!("{}: {error}", program.display()))?;
            let began = Instant::now();
            let status = loop {
                if let Some(status) = child.try_wait().map_err(|error| error.to_string())? {
                    break Some(status);
                }
                if began.elapsed() > PATIENCE {
                    let _ = child.kill();
                    let _ = child.wait();
                    break None;
                }
                std::thread::sleep(Duration::from_millis(20));
            };
            if !status.is_some_and(|status| status.success()) {
                return Ok(Some(said));
            }
        }
    }
    Ok(None)
}

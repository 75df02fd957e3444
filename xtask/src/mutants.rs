//! One operator of a crate at a time is changed in a copy of the project, and the tests of that crate are run: those that notice have killed it.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::shell::{cargo_name, output, root};

/// What stands for what. Blanks keep generics, references and signs of numbers out.
const CHANGES: [(&str, &str); 14] = [
    (" + ", " - "),
    (" - ", " + "),
    (" * ", " / "),
    (" / ", " * "),
    (" < ", " >= "),
    (" > ", " <= "),
    (" <= ", " > "),
    (" >= ", " < "),
    (" == ", " != "),
    (" != ", " == "),
    (" && ", " || "),
    (" || ", " && "),
    (".min(", ".max("),
    (".max(", ".min("),
];

/// Rooms that hold words, pictures or inventions: what they say is held by snapshots.
const LEFT_OUT: [&str; 5] = ["words", "invent", "picture", "report", "tests"];

/// Tests that run for longer go in circles.
const LONGEST: Duration = Duration::from_secs(900);

/// A place at which an operator can be changed.
struct Place {
    file: PathBuf,
    line: usize,
    column: usize,
    change: (&'static str, &'static str),
}

/// `PACKAGE COUNT [SEED]`: prints who survived, and the score.
pub fn run(words: &[String]) -> Result<(), String> {
    let (Some(package), Some(count)) = (
        words.first(),
        words.get(1).and_then(|word| word.parse::<usize>().ok()),
    ) else {
        return Err("write `cargo xtask mutants PACKAGE COUNT [SEED]`".to_owned());
    };
    let seed = words.get(2).and_then(|word| word.parse().ok()).unwrap_or(1);
    let tree = copied()?;
    let mut places = places(&tree, package)?;
    println!("{} places in {package}", places.len());
    let (mut killed, mut survived, mut broken) = (0, 0, 0);
    let mut state: u64 = seed;
    while killed + survived < count && !places.is_empty() {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let place = places.swap_remove((state >> 33) as usize % places.len());
        match tried(&tree, package, &place)? {
            Ending::Killed => killed += 1,
            Ending::NotBuilt => broken += 1,
            Ending::Survived => {
                survived += 1;
                let file = place.file.strip_prefix(&tree).unwrap_or(&place.file);
                println!(
                    "survived: {}:{}:{} `{}` for `{}`",
                    file.display(),
                    place.line + 1,
                    place.column + 1,
                    place.change.1.trim(),
                    place.change.0.trim()
                );
            }
        }
        println!("{killed} killed, {survived} survived, {broken} did not build");
    }
    Ok(())
}

enum Ending {
    Killed,
    Survived,
    NotBuilt,
}

/// The files that git knows, as they are now, in `target/mutants`.
fn copied() -> Result<PathBuf, String> {
    let tree = root().join("target").join("mutants");
    let mut files = Command::new("git");
    files.args(["ls-files", "--cached", "--others", "--exclude-standard"]);
    for name in output(files)?.lines() {
        let (from, to) = (root().join(name), tree.join(name));
        if !from.is_file() {
            continue;
        }
        let told = |error: std::io::Error| format!("{}: {error}", to.display());
        std::fs::create_dir_all(to.parent().unwrap_or(&tree)).map_err(told)?;
        let new = std::fs::read(&from).map_err(told)?;
        // What is the same keeps its time, so that nothing is built anew for it.
        if std::fs::read(&to).is_ok_and(|old| old == new) {
            continue;
        }
        std::fs::write(&to, new).map_err(told)?;
    }
    Ok(tree)
}

fn places(tree: &Path, package: &str) -> Result<Vec<Place>, String> {
    let mut folders = vec![tree.join("crates").join(package).join("src")];
    let mut out = Vec::new();
    while let Some(folder) = folders.pop() {
        let entries = std::fs::read_dir(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
        let mut entries: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
        entries.sort();
        for path in entries {
            let stem = path
                .file_stem()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned();
            if LEFT_OUT.contains(&&*stem) {
                continue;
            }
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|end| end == "rs") {
                let text =
                    std::fs::read_to_string(&path).map_err(|error| format!("{}: {error}", path.display()))?;
                in_file(&path, &text, &mut out);
            }
        }
    }
    Ok(out)
}

fn in_file(path: &Path, text: &str, out: &mut Vec<Place>) {
    for (number, line) in text.lines().enumerate() {
        if line.trim_start().starts_with("#[cfg(test)]") {
            return;
        }
        let code = line.split("//").next().unwrap_or_default();
        let start = code.trim_start();
        if start.starts_with("use ") || start.starts_with('#') || start.starts_with("impl") {
            continue;
        }
        for change in CHANGES {
            for (column, _) in code.match_indices(change.0) {
                // Inside a text nothing is computed, and `T: A + B` is a bound.
                let before = &code[..column];
                let is_text = before.matches('"').count() % 2 == 1;
                let is_bound = change.0 == " + "
                    && (code.contains("dyn ") || code.contains("impl ") || code.contains("where "));
                if !is_text && !is_bound {
                    out.push(Place {
                        file: path.to_owned(),
                        line: number,
                        column,
                        change,
                    });
                }
            }
        }
    }
}

fn tried(tree: &Path, package: &str, place: &Place) -> Result<Ending, String> {
    let told = |error: std::io::Error| format!("{}: {error}", place.file.display());
    let before = std::fs::read_to_string(&place.file).map_err(told)?;
    let mut lines: Vec<String> = before.lines().map(str::to_owned).collect();
    let end = place.column + place.change.0.len();
    lines[place.line].replace_range(place.column..end, place.change.1);
    std::fs::write(&place.file, lines.join("\n") + "\n").map_err(told)?;
    let ending = tested(tree, package);
    std::fs::write(&place.file, before).map_err(told)?;
    ending
}

fn tested(tree: &Path, package: &str) -> Result<Ending, String> {
    let cargo = |more: &[&str]| {
        let mut command = Command::new(cargo_name());
        command
            .args(["test", "--quiet", "--locked", "-p", package])
            .args(more)
            .current_dir(tree)
            .env("CARGO_TARGET_DIR", root().join("target"))
            .env("INSTA_UPDATE", "no")
            .env_remove("UPDATE")
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command
    };
    let built = cargo(&["--no-run"]).status().map_err(|error| error.to_string())?;
    if !built.success() {
        return Ok(Ending::NotBuilt);
    }
    let mut tests = cargo(&["--lib", "--tests"])
        .spawn()
        .map_err(|error| error.to_string())?;
    let start = Instant::now();
    loop {
        if let Some(status) = tests.try_wait().map_err(|error| error.to_string())? {
            return Ok(if status.success() {
                Ending::Survived
            } else {
                Ending::Killed
            });
        }
        if start.elapsed() > LONGEST {
            let _ = tests.kill();
            let _ = tests.wait();
            return Ok(Ending::Killed);
        }
        std::thread::sleep(Duration::from_millis(200));
    }
}

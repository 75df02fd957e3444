//! The copy of the project with all switches in it.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use super::Mutant;
use super::places::{self, NUMBER};
use crate::shell;

/// What the changed crate is given.
const SWITCHES: &str = "//! Switches of changed places.
#![allow(warnings, clippy::all)]
use std::sync::OnceLock;
#[inline]
pub(crate) fn on(number: usize) -> bool {
    static ON: OnceLock<usize> = OnceLock::new();
    *ON.get_or_init(|| std::env::var(\"MUTANT\").ok().and_then(|text| text.parse().ok()).unwrap_or(usize::MAX)) == number
}
";

/// The files of the project in `target/mutants`, those too that are not committed yet.
pub fn made() -> Result<PathBuf, String> {
    let (root, copy) = (shell::root(), shell::root().join("target/mutants"));
    let mut command = Command::new("git");
    command.args(["ls-files", "-z", "--cached", "--others", "--exclude-standard"]);
    let listed = shell::output(command)?;
    let files: HashSet<&str> = listed
        .split('\0')
        .filter(|file| root.join(file).is_file())
        .collect();
    for path in places::files(&copy).unwrap_or_default() {
        let file = path.strip_prefix(&copy).unwrap_or(&path);
        if !files.contains(file.to_string_lossy().as_ref()) {
            std::fs::remove_file(&path).map_err(|error| format!("{}: {error}", path.display()))?;
        }
    }
    for file in files {
        let mut bytes = std::fs::read(root.join(file)).map_err(|error| format!("{file}: {error}"))?;
        if file == "Cargo.toml" {
            bytes = of_another_version(&bytes);
        }
        written(&copy.join(file), &bytes)?;
    }
    Ok(copy)
}

/// Packages of one name and version have one name in the folder of builds: copy and project would build over each other.
fn of_another_version(manifest: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(manifest);
    let (before, after) = text.split_once("[workspace.package]").unwrap_or((&text, ""));
    let after = after.replacen("version = \"", "version = \"0.0.0-mutants.", 1);
    format!("{before}[workspace.package]{after}").into_bytes()
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

/// Builds the tests of crates with all switches; changes that do not compile are dropped. The test programs of each crate.
pub fn built(
    copy: &Path,
    names: &[&str],
    drawn: &mut Vec<Mutant>,
) -> Result<HashMap<String, Vec<PathBuf>>, String> {
    loop {
        let mut lines = Vec::new();
        for name in names {
            lines.extend(switched(copy, name, drawn)?);
        }
        let mut command = Command::new(shell::cargo_name());
        command
            .args(["test", "--tests", "--no-run", "--message-format=json"])
            .args(names.iter().flat_map(|name| ["-p", name]))
            .env("CARGO_TARGET_DIR", shell::root().join("target"))
            .current_dir(copy)
            .stderr(Stdio::null());
        let output = command.output().map_err(|error| format!("cargo: {error}"))?;
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        let messages: Vec<serde_json::Value> = text
            .lines()
            .filter_map(|line| serde_json::from_str(line).ok())
            .collect();
        if output.status.success() {
            let mut programs: HashMap<String, Vec<PathBuf>> = HashMap::new();
            for message in messages
                .iter()
                .filter(|message| message["profile"]["test"] == true)
            {
                let manifest = Path::new(message["manifest_path"].as_str().unwrap_or_default());
                let folder = manifest.parent().and_then(Path::file_name);
                let name = folder.unwrap_or_default().to_string_lossy().into_owned();
                let program = message["executable"].as_str().map(PathBuf::from);
                programs.entry(name).or_default().extend(program);
            }
            return Ok(programs);
        }
        let errors = messages
            .iter()
            .filter(|message| message["message"]["level"] == "error");
        let mut bad: BTreeSet<usize> = BTreeSet::new();
        for message in errors.clone() {
            for span in message["message"]["spans"].as_array().into_iter().flatten() {
                let file = span["file_name"].as_str().unwrap_or_default();
                let line = |key: &str| span[key].as_u64().and_then(|line| usize::try_from(line).ok());
                let (Some(first), Some(last)) = (line("line_start"), line("line_end")) else {
                    continue;
                };
                let hit = lines
                    .iter()
                    .filter(|lines| lines.file == file && lines.first <= last && first <= lines.last);
                bad.extend(hit.map(|lines| lines.number));
            }
        }
        if bad.is_empty() {
            let mut rendered = errors.filter_map(|message| message["message"]["rendered"].as_str());
            let first = rendered.next().unwrap_or("cargo said nothing");
            return Err(format!("the changed project does not compile: {first}"));
        }
        drawn.retain(|(number, _)| !bad.contains(number));
    }
}

/// Where a change stands in the copy.
struct Lines {
    number: usize,
    file: String,
    first: usize,
    last: usize,
}

/// Writes the sources of a crate with the switches in them.
fn switched(copy: &Path, name: &str, drawn: &[Mutant]) -> Result<Vec<Lines>, String> {
    let root = shell::root();
    let folder = root.join("crates").join(name).join("src");
    let mut lines = Vec::new();
    for path in places::sources(&folder)? {
        let file = path.strip_prefix(&root).unwrap_or(&path).display().to_string();
        let own = std::fs::read_to_string(&path).map_err(|error| format!("{file}: {error}"))?;
        let (mut text, mut done) = (String::new(), 0);
        for (number, place) in drawn.iter().filter(|(_, place)| place.file == file) {
            text.push_str(&own[done..place.bytes.start]);
            let first = text.matches('\n').count() + 1;
            text.push_str(&place.switched.replace(NUMBER, &number.to_string()));
            let last = text.matches('\n').count() + 1;
            lines.push(Lines {
                number: *number,
                file: file.clone(),
                first,
                last,
            });
            done = place.bytes.end;
        }
        text.push_str(&own[done..]);
        if path == folder.join("lib.rs") {
            text.push_str("\nmod mutants;\n");
        }
        written(&copy.join(&file), text.as_bytes())?;
    }
    let switches = copy.join("crates").join(name).join("src/mutants.rs");
    written(&switches, SWITCHES.as_bytes())?;
    Ok(lines)
}

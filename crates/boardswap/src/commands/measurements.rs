//! `measurements`: what measurements mean, of a swap or of a file by itself.

use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use ::evidence::read::log::HEAD;
use ::evidence::read::{Layout, Log, Part, must_be_turned};
use ::evidence::{Refused, Report, Verdict};
use document::{Block, Text};
use dossier::evidence::{Context, Job, Measured, log_layout, measured, measured_log, picture_names};
use dossier::screens;
use model::board::Board;
use model::{Diagnostic, Evidence, EvidenceFile, EvidenceKind, Faults, MeasuredOn};
use plan::Plan;
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::busy::Patient;
use crate::disk::{is_pipe, patient, write_all};
use crate::faults::Trouble;
use crate::out::Out;

/// The largest file that is taken whole into memory.
const LARGEST: u64 = 256 << 20;

/// A log larger than this is read on two threads.
const TWO_HALVES: u64 = 4 << 20;

/// A file that belongs to no swap.
#[derive(Clone, Copy, Debug)]
pub struct Alone<'a> {
    pub kind: &'a str,
    pub file: &'a Path,
    /// Further logs of the same part.
    pub more: &'a [PathBuf],
    pub keys: &'a [String],
    /// A second file of the same kind, from another board.
    pub against: Option<&'a Path>,
}

/// How much of the measurements is shown.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'a> {
    /// The folder for the pictures.
    pub pictures: Option<&'a Path>,
    /// Whether every figure, table and method is.
    pub all: bool,
    /// The file of the swap that alone is shown, with all that stands behind it.
    pub only: Option<&'a str>,
}

/// Looks at the measurements and prints what they say.
pub fn run(
    args: &Args,
    board: &BoardArg,
    alone: Option<Alone<'_>>,
    shown: Shown<'_>,
    out: &mut Out,
) -> Result<ExitCode, Trouble> {
    let swap = alone.is_none().then(|| super::load(args)).transpose()?;
    let mut all = match (alone, &swap) {
        (Some(alone), _) => both(alone)?,
        (None, Some(swap)) => {
            // What logs prove does not wait for a board that is free of blockers.
            let (plan, blocked) = super::plan_to_explain(swap, board, None)?;
            if blocked && !args.json {
                out.line(format!(
                    "No board is free of blockers. What no `board` is stated for is judged with {}.",
                    plan.board.name
                ));
            }
            all(&args.folder, &plan)?
        }
        (None, None) => Vec::new(),
    };
    if all.is_empty() && !args.json {
        out.blocks(&[
            Block::say("The swap names no measurement yet: nothing is judged."),
            Block::say(
                Text::default()
                    .strong("Do: ")
                    .and("Add an ")
                    .code("[[evidence]]")
                    .and(" table to swap.toml, or name a kind and a file."),
            ),
        ]);
        return Ok(ExitCode::SUCCESS);
    }
    if let Some(only) = shown.only {
        let wanted = only.trim_start_matches("./");
        let named = |file: &str| file == wanted || file.rsplit('/').next() == Some(wanted);
        let files: Vec<String> = all.iter().map(|measured| measured.file.clone()).collect();
        all.retain(|measured| named(&measured.file));
        if all.is_empty() {
            let help = format!("swap.toml names {}", files.join(", "));
            return Err(Trouble::user(
                format!("no measurement has the file `{only}`"),
                help,
            ));
        }
    }
    let catalogue = swap
        .as_ref()
        .map_or(catalogue::built_in(), |swap| &swap.catalogue);
    if let Some(folder) = shown.pictures {
        let files: Vec<(String, Vec<u8>)> = dossier::evidence::pictures(&all)
            .into_iter()
            .map(|file| (file.name, file.text.into_bytes()))
            .collect();
        write_all(folder, &files)?;
    }
    if args.json {
        let told: Vec<Told<'_>> = all.iter().map(Told::of).collect();
        out.json_list("measurements", &told)?;
    } else if alone.is_none() && !shown.all && shown.only.is_none() {
        out.document(&screens::measured(&all));
    } else {
        let names = picture_names(&all);
        let path = |folder: &Path, at: usize| {
            let name = names.get(at).map_or("", String::as_str);
            folder.join(name).display().to_string()
        };
        let name = shown.pictures.map(|folder| move |at| path(folder, at));
        let name = name.as_ref().map(|name| name as &dyn Fn(usize) -> String);
        out.document(&screens::measurements(catalogue, &all, name));
        let asks =
            |measured: &Measured| matches!(&measured.outcome, Err(refused) if refused.mend.contains('`'));
        if alone.is_some() && all.iter().any(asks) {
            out.blocks(&[Block::remark(
                Text::of("A key is given as ").code("--set KEY=VALUE"),
            )]);
        }
    }
    Ok(code(&all))
}

/// 2 where a file was refused, 1 where a measurement fails.
fn code(all: &[Measured]) -> ExitCode {
    if all.iter().any(|measured| measured.outcome.is_err()) {
        return ExitCode::from(2);
    }
    let mut reports = all.iter().flat_map(Measured::reports);
    ExitCode::from(u8::from(reports.any(|report| report.verdict == Verdict::Fail)))
}

/// Everything that the swap names.
pub fn all(folder: &Path, plan: &Plan<'_>) -> Result<Vec<Measured>, Trouble> {
    let swap = plan.swap;
    let mut faults = Vec::new();
    let mut all = Vec::new();
    // What was measured on another candidate is judged by the plan of that one.
    let others: Vec<Plan<'_>> = others(plan).map(|board| plan::plan(swap, board)).collect();
    for entry in &swap.evidence {
        let path = folder.join(&entry.keys.file.value);
        let own = entry
            .board
            .map(|board| swap.measured_on(board).name.value.as_str());
        let plans = || std::iter::once(plan).chain(&others);
        let plan = plans()
            .find(|plan| Some(plan.board.name.value.as_str()) == own)
            .unwrap_or(plan);
        let job = Job {
            keys: &entry.keys,
            context: Some(Context { swap, plan, entry }),
        };
        let seen = if crate::disk::leads_out(folder, &entry.keys.file.value) {
            Err(Unreadable::Refused(crate::disk::LEADS_OUT.to_owned()))
        } else {
            look(&job, &path)
        };
        match seen {
            Ok(measured) => all.push(measured),
            Err(problem) => faults.push(not_there(entry, problem)),
        }
    }
    if faults.is_empty() {
        dossier::evidence::join(&mut all);
        dossier::evidence::compare(&mut all, swap.catalogue.limits());
        return Ok(all);
    }
    Err(Trouble::Files(Box::new(Faults {
        faults,
        sources: swap.sources.clone(),
    })))
}

/// The candidates on which something was measured, but for the one of the plan.
fn others<'a>(plan: &Plan<'a>) -> impl Iterator<Item = &'a Board> + use<'a> {
    let (swap, shown) = (plan.swap, plan.board.name.value.as_str());
    let measured = swap
        .evidence
        .iter()
        .filter_map(|entry| entry.board)
        .collect::<Vec<_>>();
    let candidates = swap.candidates.iter().enumerate();
    candidates
        .filter(move |(at, board)| {
            board.name.value != shown && measured.contains(&MeasuredOn::Candidate(*at))
        })
        .map(|(_, board)| board)
}

fn not_there(entry: &Evidence, problem: Unreadable) -> Diagnostic {
    let path = &entry.keys.file.value;
    let (code, headline) = match problem {
        Unreadable::Missing => ("file-missing", format!("the file `{path}` is not there")),
        Unreadable::TooLarge => ("file-too-large", too_large(path)),
        Unreadable::Idle => ("file-unreadable", idle(path)),
        Unreadable::Refused(why) => (
            "file-unreadable",
            format!("the file `{path}` cannot be read: {why}"),
        ),
    };
    Diagnostic {
        code,
        headline,
        place: entry.keys.file.place,
        label: "this file".to_owned(),
        expected: Some("a file inside the swap folder".to_owned()),
        help: None,
        others: Vec::new(),
    }
}

/// A file by itself, and the one that it is to be compared with.
fn both(alone: Alone<'_>) -> Result<Vec<Measured>, Trouble> {
    let mut all = vec![one(alone)?];
    for file in alone.more {
        all.push(one(Alone { file, ..alone })?);
    }
    if !alone.more.is_empty() {
        if all[0].analyses.is_empty() && all[0].outcome.is_ok() {
            let help = "give one file, or several temperature logs of one part".to_owned();
            return Err(Trouble::user(
                format!("a {} is read by itself", all[0].kind),
                help,
            ));
        }
        dossier::evidence::compare_runs(&mut all);
    }
    if let Some(other) = alone.against {
        let mut second = one(Alone { file: other, ..alone })?;
        if all[0].analyses.is_empty() && all[0].outcome.is_ok() {
            let help = "logs of temperature can be compared".to_owned();
            return Err(Trouble::user(
                format!("a {} cannot be compared with another", second.kind),
                help,
            ));
        }
        // Nobody said which boards they are from: the files stand for them.
        all[0].board = Some(all[0].file.clone());
        second.board = Some(second.file.clone());
        all.push(second);
        dossier::evidence::compare(&mut all, catalogue::built_in().limits());
    }
    Ok(all)
}

/// One file by itself.
fn one(alone: Alone<'_>) -> Result<Measured, Trouble> {
    let keys = keys(alone)?;
    let path = alone.file.display();
    let job = Job {
        keys: &keys,
        context: None,
    };
    look(&job, alone.file).map_err(|problem| match problem {
        Unreadable::Missing => Trouble::user(format!("there is no file `{path}`"), None),
        Unreadable::TooLarge => Trouble::user(too_large(&path.to_string()), None),
        Unreadable::Idle => {
            let help = "start the program that writes into it first".to_owned();
            Trouble::user(idle(&path.to_string()), help)
        }
        Unreadable::Refused(why) => Trouble::machine(format!("`{path}`: {why}")),
    })
}

/// Reads a file as its kind wants it, and looks at it.
fn look(job: &Job<'_>, path: &Path) -> Result<Measured, Unreadable> {
    // A pipe can be read once only.
    if is_standard_input(path) || is_pipe(path) {
        return bytes(path).map(|bytes| measured(job, &bytes));
    }
    let mut head = Vec::new();
    let file = open(path)?;
    (&file)
        .take(HEAD as u64)
        .read_to_end(&mut head)
        .map_err(refused)?;
    if must_be_turned(&head) {
        return bytes(path).map(|bytes| measured(job, &bytes));
    }
    match log_layout(job, &head) {
        None => bytes(path).map(|bytes| measured(job, &bytes)),
        Some(Err(why)) => Ok(measured_log(job, Err(why))),
        Some(Ok(layout)) => Ok(measured_log(job, log(&layout, file, path)?)),
    }
}

/// Reads a log on two threads, each a half; halves end where lines end.
fn log(layout: &Layout, mut file: File, path: &Path) -> Result<Result<Log, Refused>, Unreadable> {
    let size = file.metadata().map_err(refused)?.len();
    let middle = if size > TWO_HALVES {
        line_end(&mut file, size / 2)?
    } else {
        size
    };
    let other = open(path)?;
    let halves = std::thread::scope(|scope| {
        let later = (middle < size).then(|| scope.spawn(move || part(layout, other, middle..size)));
        // A file that grows: the first part goes on to its end.
        let end = if middle < size { middle } else { u64::MAX };
        let first = part(layout, file, 0..end);
        // A panic there is a mistake of ours: let it go on as it came.
        let later = later.map(|thread| {
            thread
                .join()
                .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        });
        (first, later)
    });
    let mut parts = vec![halves.0?];
    if let Some(later) = halves.1 {
        parts.push(later?);
    }
    Ok(layout.join(parts))
}

/// The byte behind the first line end after a place.
fn line_end(file: &mut File, from: u64) -> Result<u64, Unreadable> {
    file.seek(SeekFrom::Start(from)).map_err(refused)?;
    let mut buffer = vec![0; 1 << 16];
    let mut at = from;
    loop {
        let count = file.read(&mut buffer).map_err(refused)?;
        if let Some(found) = buffer[..count].iter().position(|byte| *byte == b'\n') {
            return Ok(at + found as u64 + 1);
        }
        at += count as u64;
        if count == 0 {
            return Ok(at);
        }
    }
}

fn part(layout: &Layout, mut file: File, range: std::ops::Range<u64>) -> Result<Part, Unreadable> {
    if file.seek(SeekFrom::Start(range.start)).is_err() && range.start > 0 {
        return Err(Unreadable::Refused("it cannot be read in parts".to_owned()));
    }
    let mut reader = layout.part(range.start == 0);
    let mut left = file.take(range.end - range.start);
    let mut buffer = vec![0; 1 << 20];
    loop {
        let count = left.read(&mut buffer).map_err(refused)?;
        if count == 0 {
            return Ok(reader.finish());
        }
        reader.push(&buffer[..count]);
    }
}

/// What the words of the command line say, read as the table of a swap would be.
fn keys(alone: Alone<'_>) -> Result<EvidenceFile, Trouble> {
    let kind = alone.kind.replace('-', " ");
    let kind = catalogue::renamed_word("kind of evidence", &kind).map_or(kind, |new| new.replace('-', " "));
    let words = || EvidenceKind::ALL.iter().map(|kind| kind.word());
    // The word itself may hold a hyphen.
    let kind = words()
        .find(|word| word.replace('-', " ").eq_ignore_ascii_case(&kind))
        .ok_or_else(|| {
            let near = model::nearest(alone.kind, words())
                .map(|near| format!("did you mean `{}`? ", hyphened(near)));
            let all: Vec<String> = words().map(hyphened).collect();
            Trouble::user(
                format!("there is no kind of evidence `{}`", alone.kind),
                format!("{}the kinds are {}", near.unwrap_or_default(), all.join(", ")),
            )
        })?;
    let file = alone.file.file_name().map_or_else(
        || alone.file.display().to_string(),
        |name| name.to_string_lossy().into_owned(),
    );
    let mut text = format!("kind = {}\nfile = {}\n", quoted(kind), quoted(&file));
    for pair in alone.keys {
        let Some((key, value)) = pair.split_once('=') else {
            let help = "write it as `KEY=VALUE`, such as `channel=B`".to_owned();
            return Err(Trouble::user(format!("`{pair}` is no key with a value"), help));
        };
        let (key, value) = (key.trim(), value.trim());
        // What begins as a list, a number or a quote is taken as TOML, so that lists and whole numbers can be given.
        let as_it_stands = value.starts_with(['[', '"', '\''])
            || value.parse::<i64>().is_ok()
            || ["true", "false"].contains(&value);
        let value = if as_it_stands {
            value.to_owned()
        } else {
            quoted(value)
        };
        text.push_str(&format!("{key} = {value}\n"));
    }
    model::load_evidence("--set", &text).map_err(|faults| Trouble::Files(Box::new(faults)))
}

fn hyphened(word: &str) -> String {
    word.replace(' ', "-")
}

fn quoted(text: &str) -> String {
    // A JSON string is a basic string of TOML.
    serde_json::Value::from(text).to_string()
}

enum Unreadable {
    Missing,
    TooLarge,
    /// A pipe into which nobody writes.
    Idle,
    Refused(String),
}

fn too_large(path: &str) -> String {
    format!(
        "the file `{path}` has more than the {} MiB that are read",
        LARGEST >> 20
    )
}

fn idle(path: &str) -> String {
    format!("nobody writes into the pipe `{path}`")
}

#[expect(clippy::needless_pass_by_value, reason = "`map_err` hands it over")]
fn refused(error: std::io::Error) -> Unreadable {
    match error.kind() {
        std::io::ErrorKind::NotFound => Unreadable::Missing,
        std::io::ErrorKind::TimedOut => Unreadable::Idle,
        _ => Unreadable::Refused(error.to_string()),
    }
}

fn open(path: &Path) -> Result<File, Unreadable> {
    let file = crate::disk::open(path).map_err(refused)?;
    if file.metadata().map_err(refused)?.is_dir() {
        return Err(Unreadable::Refused("it is a folder".to_owned()));
    }
    Ok(file)
}

/// Whether a path stands for standard input: `-`, as everywhere.
fn is_standard_input(path: &Path) -> bool {
    path.as_os_str() == "-"
}

fn bytes(path: &Path) -> Result<Vec<u8>, Unreadable> {
    let mut bytes = Vec::new();
    let read = if is_standard_input(path) {
        let input = Patient::new(std::io::stdin().lock(), "standard input".to_owned());
        input.take(LARGEST + 1).read_to_end(&mut bytes)
    } else {
        let file = patient(open(path)?, path);
        file.take(LARGEST + 1).read_to_end(&mut bytes)
    };
    read.map_err(refused)?;
    if bytes.len() as u64 > LARGEST {
        return Err(Unreadable::TooLarge);
    }
    Ok(bytes)
}

/// A measurement as JSON.
#[derive(Serialize)]
struct Told<'a> {
    file: &'a str,
    kind: EvidenceKind,
    #[serde(skip_serializing_if = "Option::is_none")]
    board: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    reports: Option<&'a [Report]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    refused: Option<&'a ::evidence::Refused>,
}

impl<'a> Told<'a> {
    fn of(measured: &'a Measured) -> Self {
        Self {
            file: &measured.file,
            kind: measured.kind,
            board: measured.board.as_deref(),
            reports: measured.outcome.as_deref().ok(),
            refused: measured.outcome.as_ref().err(),
        }
    }
}

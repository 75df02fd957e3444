//! No command at all: where the swap stands, and what comes next.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::ExitCode;
use std::time::SystemTime;

use ::evidence::Verdict as Shown;
use ::record::Record;
use ::settings::{Fate, Settings};
use bringup::{State, Step};
use document::{Block, Document, Section, Text};
use dossier::evidence::Measured;
use model::{Faults, Swap};
use plan::{Disposition, Plan, Verdict};
use serde::Serialize;

use super::record::FILE;
use crate::args::{Args, BoardArg};
use crate::disk::Folder;
use crate::faults::Trouble;
use crate::out::Out;

/// Measurement files are read here only up to this size together: the first screen comes at once.
const QUICK: u64 = 4 << 20;
/// So many files of a folder are looked at for their age.
const MOST_FILES: usize = 2_000;

#[derive(Serialize)]
struct Status<'a> {
    swap: &'a str,
    machine: &'a str,
    old_board: &'a str,
    invented: bool,
    /// The board that is chosen, else the recommended one; none where each candidate has blockers.
    board: Option<&'a str>,
    /// Whether somebody chose it.
    chosen: bool,
    /// For each candidate with blockers, their identifiers.
    blocked: BTreeMap<&'a str, &'a [String]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    plan: Option<Planned>,
    /// How much of what serves a purpose is stated, in per cent; nothing where all of it is.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    known: Vec<Known>,
    measurements: Measurements,
    /// The day of a page that was made for one print, while questions of the survey are open.
    #[serde(skip_serializing_if = "Option::is_none")]
    for_one_print: Option<String>,
    report: Report,
    /// What comes next, the first thing first.
    next: Vec<Next>,
}

/// How much of what serves a purpose is stated.
#[derive(Serialize)]
struct Known {
    purpose: &'static str,
    percent: usize,
    /// The facts that are not.
    missing: Vec<String>,
}

/// The purposes of facts, and how they are called.
const PURPOSES: [(&str, &str); 5] = [
    ("board", "which board"),
    ("wiring", "wiring"),
    ("protection", "protection"),
    ("speeds", "speeds"),
    ("settings", "settings"),
];

/// By purpose, of the facts that can be asked for; nothing where all is stated.
fn known(swap: &Swap) -> Vec<Known> {
    if swap.assumed.is_empty() {
        return Vec::new();
    }
    let mut stated: BTreeMap<&str, usize> = BTreeMap::new();
    for file in swap
        .sources
        .files()
        .iter()
        .filter(|file| file.path.ends_with(".toml"))
    {
        if let Ok(table) = file.text.parse::<toml::Table>() {
            count("machine", &table, 1, &mut stated);
        }
    }
    let of = |purpose: &str| {
        let serves = |fact: &&model::Assumed| {
            let question = catalogue::question(fact.of, fact.key);
            question.is_some_and(|row| row.purposes.iter().any(|own| own == purpose))
        };
        swap.assumed
            .iter()
            .filter(serves)
            .map(model::Assumed::id)
            .collect::<Vec<String>>()
    };
    let known = PURPOSES.into_iter().map(|(purpose, name)| {
        let missing = of(purpose);
        let stated = stated.get(purpose).copied().unwrap_or(0);
        Known {
            purpose: name,
            percent: 100 * stated / (stated + missing.len()).max(1),
            missing,
        }
    });
    known.collect()
}

/// Counts the stated facts of a table and of those inside, by purpose.
fn count(of: &str, table: &toml::Table, rows: usize, stated: &mut BTreeMap<&str, usize>) {
    let names = ["names", "tags"]
        .iter()
        .filter_map(|key| table.get(*key)?.as_array());
    let rows = rows * names.map(Vec::len).max().unwrap_or(1).max(1);
    for (key, value) in table {
        let inner = match key.as_str() {
            "keep_out" => "keep-out",
            "rails" => "rail",
            key => key,
        };
        match value {
            toml::Value::Table(own) if key == "rails" => {
                own.values()
                    .filter_map(toml::Value::as_table)
                    .for_each(|rail| count(inner, rail, rows, stated));
            }
            toml::Value::Table(own) => count(inner, own, rows, stated),
            toml::Value::Array(list) if list.iter().any(toml::Value::is_table) => {
                let tables = list.iter().filter_map(toml::Value::as_table);
                tables.for_each(|own| count(inner, own, rows, stated));
            }
            toml::Value::String(text) if text.trim() == "?" => {}
            _ => {
                if let Some(question) = catalogue::question(of, key) {
                    for (purpose, _) in PURPOSES {
                        if question.purposes.iter().any(|own| own == purpose) {
                            *stated.entry(purpose).or_default() += rows;
                        }
                    }
                }
            }
        }
    }
}

/// How far the plan of the board is.
#[derive(Serialize)]
struct Planned {
    blockers: usize,
    to_decide: usize,
    people_and_fire: usize,
    handled: usize,
    accepted: usize,
    cables: usize,
    minutes: i64,
    settings_changed: usize,
    settings_carried: usize,
    steps: usize,
    /// How far the bring-up is; nothing before it is begun.
    #[serde(skip_serializing_if = "Option::is_none")]
    bring_up: Option<BringUp>,
}

/// How far the bring-up is.
#[derive(Serialize)]
struct BringUp {
    done: usize,
    left_out: usize,
    failed: usize,
    /// What was done and is to be done again, since what it rests on changed.
    again: usize,
    of: usize,
    /// What comes next.
    next: Option<String>,
    /// Why it cannot be told.
    refused: Option<String>,
}

impl BringUp {
    /// As the record in a folder tells; nothing where there is none.
    fn of(folder: &Path, plan: &Plan<'_>, settings: &Settings, steps: &[Step]) -> Option<Self> {
        let (recorded, refused) = match Record::read(&folder.join(FILE)) {
            Ok(recorded) if recorded.is_empty() => return None,
            Ok(recorded) => (recorded, None),
            Err(problem) => (Vec::new(), Some(problem.to_string())),
        };
        let progress = bringup::progress(bringup::duties(steps, plan, settings), &recorded);
        Some(Self {
            done: progress.count(|state| *state == State::Done),
            left_out: progress.count(|state| matches!(state, State::LeftOut(_))),
            failed: progress.count(|state| matches!(state, State::Failed(_))),
            again: progress.count(|state| matches!(state, State::Stale(_))),
            of: progress.duties.len(),
            next: progress
                .next()
                .map(|next| next.duty.title())
                .filter(|_| refused.is_none()),
            refused,
        })
    }

    /// In one line.
    fn words(&self) -> String {
        if let Some(refused) = &self.refused {
            return refused.clone();
        }
        let counts = [
            (self.failed, "FAILED"),
            (self.again, "to be done again"),
            (self.left_out, "left out"),
        ];
        let counts = counts.iter().filter(|(count, _)| *count > 0);
        let counts: String = counts.map(|(count, word)| format!(", {count} {word}")).collect();
        format!("{} of {} done{counts}", self.done, self.of)
    }
}

#[derive(Default, Serialize)]
struct Measurements {
    files: usize,
    /// Whether the files were judged: what is not there or large is left to `measurements`.
    judged: bool,
    refused: usize,
    fail: usize,
    open: usize,
    pass: usize,
}

/// Whether there is a report, and whether a file of the swap is newer.
#[derive(Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
enum Report {
    Missing,
    Outdated,
    Current,
}

#[derive(Serialize)]
struct Next {
    command: String,
    what: String,
}

/// Prints where the swap stands.
pub fn run(args: &Args, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = match Folder::open(&args.folder)?.load() {
        Err(Trouble::Files(faults)) if !args.json => return Ok(faulty(&faults, out)),
        other => other?,
    };
    let any = BoardArg { board: None };
    let mut plans = super::plans(&swap);
    let comparison = super::comparison(&plans);
    let wanted = match super::wanted_of(&swap, &comparison, &any) {
        Ok(at) => Some(at),
        Err(Trouble::Blocked(_)) => None,
        Err(other) => return Err(other),
    };
    if let Some(at) = wanted {
        super::judge_shown(&mut plans, at);
    }
    let plan = wanted.map(|at| &plans[at]);
    let status = Status {
        swap: &swap.name.value,
        machine: &swap.machine.name.value,
        old_board: &swap.old.name.value,
        invented: swap.invented,
        board: plan.map(|plan| plan.board.name.value.as_str()),
        chosen: swap.chosen_board.is_some(),
        blocked: comparison
            .entries
            .iter()
            .filter(|entry| !entry.is_free())
            .map(|entry| (entry.board.as_str(), entry.blocked_by.as_slice()))
            .collect(),
        plan: plan.map(|plan| planned(&args.folder, plan)),
        known: known(&swap),
        measurements: measurements(&args.folder, &swap, plan),
        for_one_print: super::survey::for_one_print(&args.folder),
        report: report(&args.folder),
        next: Vec::new(),
    };
    let status = Status {
        next: next(&status),
        ..status
    };
    if args.json {
        out.json(&status)?;
    } else {
        out.document(&document(&status, swap.candidates.len()));
    }
    Ok(ExitCode::SUCCESS)
}

fn planned(folder: &Path, plan: &Plan<'_>) -> Planned {
    let settings = ::settings::settings(&plan.setup());
    let rows = plan::cables(plan);
    let steps = bringup::steps(plan, &settings);
    let open = plan.to_decide();
    let blockers = plan.count(Verdict::Blocker);
    Planned {
        blockers,
        to_decide: open.len().saturating_sub(blockers),
        people_and_fire: open
            .iter()
            .filter(|found| found.stake == plan::Stake::Safety)
            .count(),
        handled: plan.disposed(Disposition::Handled).len(),
        accepted: plan.disposed(Disposition::Accepted).len(),
        cables: rows.iter().filter(|row| row.new_port.is_some()).count(),
        minutes: rows.iter().map(|row| row.minutes).sum(),
        settings_changed: settings.that_change(),
        settings_carried: settings.count(Fate::Carried),
        bring_up: BringUp::of(folder, plan, &settings, &steps),
        steps: steps.len(),
    }
}

/// The verdicts of all measurements, where they are there and small.
fn measurements(folder: &Path, swap: &Swap, plan: Option<&Plan<'_>>) -> Measurements {
    let files = swap.evidence.len();
    let size = |path: &str| std::fs::metadata(folder.join(path)).map_or(u64::MAX, |data| data.len());
    let sizes = swap.evidence.iter().map(|entry| size(&entry.keys.file.value));
    let small = sizes.fold(0_u64, u64::saturating_add) <= QUICK;
    let all = plan
        .filter(|_| small)
        .and_then(|plan| super::measurements::all(folder, plan).ok());
    let Some(all) = all else {
        return Measurements {
            files,
            judged: files == 0,
            ..Measurements::default()
        };
    };
    let count = |verdict: Shown| {
        let reports = all.iter().flat_map(Measured::reports);
        reports.filter(|report| report.verdict == verdict).count()
    };
    Measurements {
        files,
        judged: true,
        refused: all.iter().filter(|measured| measured.outcome.is_err()).count(),
        fail: count(Shown::Fail),
        open: count(Shown::Open),
        pass: count(Shown::Pass) + count(Shown::Result),
    }
}

/// Whether the folder of results is older than a file of the swap.
fn report(folder: &Path) -> Report {
    let results = folder.join("out");
    let mut left = MOST_FILES;
    let Some(written) = newest(&results, None, &mut left) else {
        return Report::Missing;
    };
    let mut left = MOST_FILES;
    match newest(folder, Some(&results), &mut left) {
        Some(changed) if changed > written => Report::Outdated,
        _ => Report::Current,
    }
}

/// When the youngest file below a folder was written; links are not followed.
fn newest(folder: &Path, without: Option<&Path>, left: &mut usize) -> Option<SystemTime> {
    let mut found = None;
    for entry in std::fs::read_dir(folder).ok()?.flatten() {
        let path = entry.path();
        let Ok(data) = entry.metadata() else { continue };
        if *left == 0
            || Some(path.as_path()) == without
            || entry.file_name().as_encoded_bytes().starts_with(b".")
        {
            continue;
        }
        *left -= 1;
        let time = if data.is_dir() {
            newest(&path, without, left)
        } else if data.is_file() {
            data.modified().ok()
        } else {
            None
        };
        found = found.max(time);
    }
    found
}

fn next(status: &Status<'_>) -> Vec<Next> {
    let mut out = Vec::new();
    let mut say = |command: &str, what: String| {
        out.push(Next {
            command: command.to_owned(),
            what,
        });
    };
    if let Some(day) = &status.for_one_print {
        say(
            "boardswap survey",
            format!("answer the rest: the page of {day} was for one print"),
        );
    }
    if !status.known.is_empty() {
        say("boardswap ask", "see which fact to find out next".to_owned());
    }
    let Some(plan) = &status.plan else {
        say("boardswap compare", "see what forbids each candidate".to_owned());
        return out;
    };
    let board = status.board.unwrap_or_default();
    if !status.chosen {
        say(
            "boardswap compare",
            format!("compare, then write `chosen_board = \"{board}\"` into swap.toml"),
        );
    }
    if plan.blockers > 0 {
        say(
            "boardswap check",
            "settle the blockers or choose another board".to_owned(),
        );
    } else if plan.to_decide > 0 {
        say("boardswap check", format!("decide {} findings", plan.to_decide));
    }
    let measured = &status.measurements;
    if !measured.judged || measured.refused + measured.fail > 0 {
        say(
            "boardswap measurements",
            "see what fails and what to do".to_owned(),
        );
    }
    if status.report != Report::Current {
        say("boardswap report", "write the sheets for the bench".to_owned());
    }
    if plan.blockers == 0 && !status.chosen && status.report == Report::Current {
        say(
            "boardswap steps",
            "print out/bench-sheet.html and out/checklist.html, begin with step 1".to_owned(),
        );
    }
    if status.chosen && plan.blockers == 0 {
        let what = match plan.bring_up.as_ref().map(|own| &own.next) {
            None => "bring the machine up, one step a screen".to_owned(),
            Some(Some(next)) => format!("go on: {next}"),
            Some(None) => "see where the bring-up stands".to_owned(),
        };
        say("boardswap bring-up", what);
    }
    out
}

fn document(status: &Status<'_>, candidates: usize) -> Document {
    let example = if status.invented { " (example data)" } else { "" };
    let mut rows = vec![(
        "Machine",
        format!(
            "{}, {} out, {candidates} candidates",
            status.machine, status.old_board
        ),
    )];
    rows.push((
        "Board",
        match (status.board, status.chosen) {
            (Some(board), true) => format!("{board}, chosen"),
            (Some(board), false) => format!("{board}, recommended; nobody has chosen"),
            (None, _) => "none: each candidate has blockers".to_owned(),
        },
    ));
    if !status.blocked.is_empty() {
        const NAMED: usize = 3;
        let boards = status.blocked.iter().take(NAMED);
        let words = boards.map(|(board, ids)| format!("{board} ({})", shortened(ids)));
        rows.push(("Not usable", words.collect::<Vec<_>>().join(", ")));
    }
    if let Some(plan) = &status.plan {
        let hurts = match plan.people_and_fire {
            0 => String::new(),
            count => format!(", {count} for people and fire"),
        };
        let accepted = match plan.accepted {
            0 => String::new(),
            count => format!(", {count} accepted"),
        };
        rows.push((
            "Findings",
            format!(
                "{} to decide{hurts}; {} handled by the plan{accepted}",
                plan.to_decide, plan.handled
            ),
        ));
        rows.push((
            "Wiring",
            format!("{} cables, about {} min", plan.cables, plan.minutes),
        ));
        rows.push((
            "Settings",
            format!(
                "{} change, {} carried over",
                plan.settings_changed, plan.settings_carried
            ),
        ));
        let far = plan.bring_up.as_ref().map(BringUp::words);
        rows.push(("Bring-up", far.unwrap_or_else(|| format!("{} steps", plan.steps))));
    }
    if !status.known.is_empty() {
        let words = status
            .known
            .iter()
            .map(|own| format!("{} {} %", own.purpose, own.percent));
        rows.push(("Stated", words.collect::<Vec<_>>().join(", ")));
    }
    rows.push(("Measured", measured(&status.measurements)));
    rows.push((
        "Report",
        match status.report {
            Report::Missing => "not written yet",
            Report::Outdated => "older than the files of the swap",
            Report::Current => "written",
        }
        .to_owned(),
    ));
    let figures = Block::figures(
        rows.into_iter()
            .map(|(name, value)| (Text::of(name), Text::of(value))),
    );
    let steps = status.next.iter().map(|next| {
        Text::default()
            .strong(&next.command)
            .and(": ")
            .and_marked(&next.what)
    });
    let next = Section::new("Next", vec![Block::ordered(steps.collect::<Vec<_>>())]);
    Document {
        title: Text::of(format!("{}{example}", status.swap)),
        front: vec![
            figures,
            next.into(),
            Block::remark("All commands: boardswap --help"),
        ],
        ..Document::default()
    }
}

fn measured(found: &Measurements) -> String {
    match (found.files, found.judged) {
        (0, _) => "nothing yet".to_owned(),
        (files, false) => format!("{files} files, not judged here"),
        (files, true) => {
            let counts = [
                (found.refused, "refused"),
                (found.fail, "fail"),
                (found.open, "open"),
                (found.pass, "pass or result"),
            ];
            let words = counts
                .iter()
                .filter(|(count, _)| *count > 0)
                .map(|(count, word)| format!("{count} {word}"));
            format!("{files} files: {}", words.collect::<Vec<_>>().join(", "))
        }
    }
}

/// The first identifiers, and how many there are besides.
fn shortened(ids: &[String]) -> String {
    const NAMED: usize = 2;
    let first = ids.iter().take(NAMED).cloned().collect::<Vec<_>>().join(", ");
    match ids.len().saturating_sub(NAMED) {
        0 => first,
        more => format!("{first}, {more} more"),
    }
}

/// Files with faults: how many in each, and the first of them.
fn faulty(faults: &Faults, out: &mut Out) -> ExitCode {
    const NAMED: usize = 8;
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for fault in &faults.faults {
        *counts
            .entry(&faults.sources.file(fault.place.file).path)
            .or_default() += 1;
    }
    let files = counts.len();
    let rows = counts.into_iter().take(NAMED).map(|(path, count)| {
        let s = if count == 1 { "" } else { "s" };
        (Text::of(path), Text::of(format!("{count} error{s}")))
    });
    let mut front = vec![Block::figures(rows)];
    if files > NAMED {
        front.push(Block::remark(format!("and {} more files", files - NAMED)));
    }
    if let Some(first) = faults.faults.first() {
        let place = faults.sources.show(first.place);
        front.push(Block::say(
            Text::of("First: ")
                .code(place)
                .and(" ")
                .and_marked(&first.headline),
        ));
    }
    let check = Text::default()
        .strong("boardswap check")
        .and(": see each error in its line");
    front.push(Section::new("Next", vec![Block::ordered([check])]).into());
    out.document(&Document {
        title: Text::of("The swap cannot be read yet"),
        front,
        ..Document::default()
    });
    ExitCode::from(2)
}

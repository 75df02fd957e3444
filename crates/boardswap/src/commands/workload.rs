//! `workload`: what the owner's own G-code asks of each board.

mod given;
mod pictures;
mod read;
mod show;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use ::settings::Dialect;
use ::settings::captured::{Report, read_file};
use ::workload::{Finding, Setup, Verdict, Workload, board_sentence, board_verdict, findings};
use model::{EvidenceKind, LARGEST_FILE, MeasuredOn, Swap};
use plan::Plan;
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::disk::write_all;
use crate::faults::Trouble;
use crate::out::Out;

/// How it is asked.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// Files and folders; those of the swap where none is named.
    pub files: &'a [PathBuf],
    /// Whether what passes is shown too.
    pub all: bool,
    /// A folder for the pictures.
    pub pictures: Option<&'a Path>,
}

/// One board and what is asked of it.
#[derive(Clone, Debug, Serialize)]
pub struct BoardShown {
    /// Its name.
    pub board: String,
    /// The verdict.
    pub verdict: Verdict,
    /// What a comparison of boards says.
    pub sentence: String,
}

/// All that is told.
#[derive(Debug, Serialize)]
struct Shown<'a> {
    boards: &'a [BoardShown],
    findings: &'a [Finding],
    #[serde(flatten)]
    workload: &'a Workload,
}

/// Reads the programs and prints what they ask for.
pub fn run(args: &Args, board: &BoardArg, asked: Asked<'_>, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plans = super::planned(&swap, plan::plan_briefly);
    let shown = &plans[super::wanted_of(&swap, &super::comparison(&plans), board)?];
    let reports: Vec<Report> = swap
        .captured
        .iter()
        .map(|captured| read_file(&captured.path, &captured.text, Dialect::common()))
        .collect();
    let setup = given::setup(&swap, &plans, shown, &reports)?;
    let words = given::vocabulary(&read_back(args, &swap, shown));
    let (sources, others) = read::sources(&named(args, &swap, asked.files)?)?;
    if sources.is_empty() {
        let help = "name G-code files, archives of them, or a folder that holds some".to_owned();
        return Err(Trouble::user("no G-code was found", help));
    }
    let mut workload = read::read(&sources, &setup, &words);
    workload.others += others;
    let findings = workload.total.as_ref().map_or_else(Vec::new, |work| {
        findings(&setup, work, &given::assumed(swap.catalogue.limits()))
    });
    let boards = boards(&setup, &workload);
    let mut written = Vec::new();
    if let Some(folder) = asked.pictures {
        let pictures = pictures::pictures(&setup, &workload);
        written = pictures.iter().map(|(name, _)| name.clone()).collect();
        write_all(folder, &pictures)?;
    }
    if args.json {
        out.json(&Shown {
            boards: &boards,
            findings: &findings,
            workload: &workload,
        })?;
    } else {
        show::print(&setup, &workload, &boards, &findings, asked.all, out);
        if let Some(folder) = asked.pictures {
            show::pictures(folder, &written, out);
        }
    }
    Ok(code(&workload, &boards, &findings))
}

/// What each board is asked for, in the order of the swap.
fn boards(setup: &Setup, workload: &Workload) -> Vec<BoardShown> {
    let Some(work) = &workload.total else {
        return Vec::new();
    };
    let one = |(board, asked): (&::workload::Board, &::workload::BoardUse)| BoardShown {
        board: board.name.clone(),
        verdict: board_verdict(work, board, asked),
        sentence: board_sentence(work, board, asked),
    };
    setup.boards.iter().zip(&work.boards).map(one).collect()
}

/// 2 where a file was refused or cut off, 1 where a limit does not hold.
fn code(workload: &Workload, boards: &[BoardShown], findings: &[Finding]) -> ExitCode {
    if !workload.refused.is_empty() || !workload.cut.is_empty() {
        return ExitCode::from(2);
    }
    let verdicts = boards.iter().map(|board| board.verdict);
    let worst = verdicts
        .chain(findings.iter().map(|finding| finding.verdict))
        .max();
    ExitCode::from(u8::from(worst == Some(Verdict::Fail)))
}

/// The files that are meant, each with the name that it is called by.
fn named(args: &Args, swap: &Swap, files: &[PathBuf]) -> Result<Vec<(PathBuf, String)>, Trouble> {
    if !files.is_empty() {
        let called = |path: &PathBuf| (path.clone(), path.display().to_string());
        return Ok(files.iter().map(called).collect());
    }
    if swap.workload.is_empty() {
        let help =
            "name files or a folder, or add `[[workload]]` with `file = \"prints\"` to swap.toml".to_owned();
        return Err(Trouble::user("no G-code is named", help));
    }
    let entry = |entry: &model::WorkloadFile| {
        let name = &entry.file.value;
        (args.folder.join(name), name.clone())
    };
    Ok(swap.workload.iter().map(entry).collect())
}

/// What the new controller reported, as far as the swap has it.
fn read_back(args: &Args, swap: &Swap, shown: &Plan<'_>) -> Vec<Report> {
    let meant = |entry: &&model::Evidence| {
        let on = match entry.board {
            Some(MeasuredOn::Candidate(at)) => swap.candidates.get(at),
            _ => None,
        };
        entry.keys.kind.value == EvidenceKind::SettingsReadBack
            && on.is_some_and(|board| board.name == shown.board.name)
    };
    let read = |entry: &model::Evidence| {
        let name = &entry.keys.file.value;
        let path = args.folder.join(name);
        // What cannot be read is the business of `evidence`; here it only knows no words.
        let size = std::fs::metadata(&path).ok()?.len();
        let bytes = (size <= LARGEST_FILE).then(|| std::fs::read(&path).ok())??;
        Some(read_file(
            name,
            &String::from_utf8_lossy(&bytes),
            Dialect::common(),
        ))
    };
    swap.evidence.iter().filter(meant).filter_map(read).collect()
}

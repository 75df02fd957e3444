//! `workload`: what the owner's own G-code asks of each board.

mod given;
mod pictures;
mod read;
pub mod show;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use ::workload::words::count;
use ::workload::{Finding, Setup, Verdict, Workload, board_sentence, board_verdict, findings};
use model::Swap;
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

/// What a comparison of boards takes up.
#[derive(Clone, Debug, Serialize)]
#[serde(untagged)]
pub enum Compared {
    /// Each board, in the order of the swap.
    Boards(Vec<BoardShown>),
    /// Why nothing was read.
    Unread(String),
}

/// All that is told.
#[derive(Debug, Serialize)]
struct Shown<'a> {
    boards: &'a [BoardShown],
    findings: &'a [Finding],
    #[serde(flatten)]
    workload: &'a Workload,
}

/// What programs ask for, and what that means.
struct Judged {
    setup: Setup,
    workload: Workload,
    findings: Vec<Finding>,
    boards: Vec<BoardShown>,
}

/// Reads the programs and prints what they ask for.
pub fn run(args: &Args, board: &BoardArg, asked: Asked<'_>, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plans = super::planned(&swap, plan::plan_briefly);
    let shown = &plans[super::wanted_of(&swap, &super::comparison(&plans), board)?];
    let judged = judge(&swap, &plans, shown, &named(args, &swap, asked.files)?)?;
    let Judged {
        setup,
        workload,
        findings,
        boards,
    } = &judged;
    let mut written = Vec::new();
    if let Some(folder) = asked.pictures {
        let pictures = pictures::pictures(setup, workload);
        // Each has a narrow sister for a phone.
        let wide = pictures.iter().filter(|(name, _)| !name.ends_with("-narrow.svg"));
        written = wide
            .map(|(name, _)| folder.join(name).display().to_string())
            .collect();
        write_all(folder, &pictures)?;
    }
    if args.json {
        out.json(&Shown {
            boards,
            findings,
            workload,
        })?;
    } else {
        let screen = show::Screen {
            setup,
            workload,
            boards,
            findings,
            words_of: &shown.board.name.value,
            all: asked.all,
            pictures: written,
        };
        out.document(&screen.document());
    }
    Ok(code(workload, worst(workload, boards, findings)))
}

/// What the programs that the swap names ask of each board, in the order of `plans`; nothing where it names none.
pub fn compared(args: &Args, swap: &Swap, plans: &[Plan<'_>], shown: usize) -> Option<Compared> {
    let shown = plans.get(shown).filter(|_| !swap.workload.is_empty())?;
    let judged = named(args, swap, &[]).and_then(|named| judge(swap, plans, shown, &named));
    Some(match judged {
        Ok(judged) => Compared::Boards(judged.boards),
        Err(trouble) => Compared::Unread(trouble.problem()),
    })
}

/// Reads programs as the controller of `shown` understands them.
fn judge(
    swap: &Swap,
    plans: &[Plan<'_>],
    shown: &Plan<'_>,
    named: &[(PathBuf, String)],
) -> Result<Judged, Trouble> {
    let settings = ::settings::settings(&shown.setup());
    let setup = given::setup(swap, plans, shown, &settings)?;
    let words = given::vocabulary(&settings, swap.controller(shown.board));
    let (sources, others) = read::sources(named)?;
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
    Ok(Judged {
        setup,
        workload,
        findings,
        boards,
    })
}

/// What each board is asked for, in the order of the swap. Files that were not read whole leave it open.
fn boards(setup: &Setup, workload: &Workload) -> Vec<BoardShown> {
    let unread = (workload.refused.len() + workload.cut.len()) as u64;
    let one = |(at, board): (usize, &::workload::Board)| {
        let work = workload.total.as_ref();
        let (mut verdict, mut sentence) = (Verdict::Open, "no file was read".to_owned());
        if let Some((work, asked)) = work.and_then(|work| Some((work, work.boards.get(at)?))) {
            verdict = board_verdict(work, board, asked);
            sentence = board_sentence(work, board, asked);
        }
        if unread > 0 {
            verdict = verdict.max(Verdict::Open);
            let files = count(unread, "file was", "files were");
            sentence = format!("{sentence}; {files} not read whole");
        }
        BoardShown {
            board: board.name.clone(),
            verdict,
            sentence,
        }
    };
    setup.boards.iter().enumerate().map(one).collect()
}

/// The worst verdict; what was not read leaves it open at the least.
fn worst(workload: &Workload, boards: &[BoardShown], findings: &[Finding]) -> Verdict {
    let verdicts = boards.iter().map(|board| board.verdict);
    let all = verdicts.chain(findings.iter().map(|finding| finding.verdict));
    let whole = workload.refused.is_empty() && workload.cut.is_empty();
    let unread = (!whole).then_some(Verdict::Open);
    all.chain(unread).max().unwrap_or(Verdict::Open)
}

/// 2 where a file was refused or cut off, 1 where a limit does not hold.
fn code(workload: &Workload, worst: Verdict) -> ExitCode {
    if !workload.refused.is_empty() || !workload.cut.is_empty() {
        return ExitCode::from(2);
    }
    ExitCode::from(u8::from(worst == Verdict::Fail))
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
        if crate::disk::leads_out(&args.folder, name) {
            return Err(Trouble::user(
                format!("`{name}`: {}", crate::disk::LEADS_OUT),
                None,
            ));
        }
        Ok((args.folder.join(name), name.clone()))
    };
    swap.workload.iter().map(entry).collect()
}

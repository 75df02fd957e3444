//! `dossier`: everything about one board as files to open, print, publish.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use dossier::evidence::Measured;
use dossier::{Document, Material};
use model::Swap;
use physics::Spread;
use plan::{Comparison, Draws, Plan, Verdict};
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::disk::write_all;
use crate::faults::Trouble;
use crate::out::{FAINT, HEADING, Out, styled, verdict_style};
use crate::table::{terminal_width, wrapped};

/// How many machines are drawn for a dossier: a chance to a few per cent, which is what the spread of an unknown part is worth.
const DRAWS: u64 = 2_000;

#[derive(Serialize)]
struct Report<'a> {
    board: &'a str,
    folder: String,
    files: Vec<File<'a>>,
}

#[derive(Serialize)]
struct File<'a> {
    name: &'a str,
    bytes: usize,
}

/// Writes the dossier and says where it lies.
pub fn run(args: &Args, board: &BoardArg, folder: Option<&Path>, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plans = super::plans(&swap);
    let comparison = super::comparison(&plans);
    let shown = super::wanted_of(&swap, &comparison, board)?;
    let folder = folder.map_or_else(|| args.folder.join("out"), PathBuf::from);
    let evidence = super::evidence::all(&args.folder, &plans[shown])?;
    let documents = write(&swap, &plans, &comparison, shown, &evidence, &folder)?;
    if args.json {
        out.json(&Report {
            board: &plans[shown].board.name.value,
            folder: folder.display().to_string(),
            files: documents
                .iter()
                .map(|document| File {
                    name: &document.name,
                    bytes: document.text.len(),
                })
                .collect(),
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    out.line(styled(
        format!("Dossier of {} on {}", swap.machine.name, plans[shown].board.name),
        HEADING,
    ));
    for document in &documents {
        let kilobytes = document.text.len().div_ceil(1000);
        out.line(format!(
            "  {kilobytes:>5} kB  {}",
            folder.join(&document.name).display()
        ));
    }
    out.line("");
    next(&plans[shown], &folder, out);
    Ok(ExitCode::SUCCESS)
}

/// Builds the documents and writes them, all or none.
pub fn write(
    swap: &Swap,
    plans: &[Plan<'_>],
    comparison: &Comparison,
    shown: usize,
    evidence: &[Measured],
    folder: &Path,
) -> Result<Vec<Document>, Trouble> {
    let settings = ::settings::settings(&plans[shown].setup());
    let draws = Draws::of(&plans[shown]).only(&plans[shown].uncertain());
    let tally = super::chance::tally(&draws, Spread::Uniform, 1, DRAWS, true);
    let documents = dossier::documents(&Material {
        swap,
        plans,
        comparison,
        shown,
        settings: &settings,
        draws: &draws,
        tally: &tally,
        steps: &bringup::steps(&plans[shown], &settings),
        evidence,
    });
    let files: Vec<(String, Vec<u8>)> = documents
        .iter()
        .map(|document| (document.name.clone(), document.text.clone().into_bytes()))
        .collect();
    write_all(folder, &files)?;
    Ok(documents)
}

/// What to do now.
pub fn next(plan: &Plan<'_>, folder: &Path, out: &mut Out) {
    let page = folder.join("dossier.html");
    let blockers = plan.count(Verdict::Blocker);
    let words = if blockers > 0 {
        let s = if blockers == 1 { "" } else { "s" };
        styled(
            format!(
                "{} cannot be built like this: settle the {blockers} blocker{s} first, or take another board",
                plan.board.name
            ),
            verdict_style(Verdict::Blocker),
        )
    } else {
        format!(
            "next: open {} in a browser, settle what stands first, then print it for the bench",
            page.display()
        )
    };
    for line in wrapped(&words, terminal_width()) {
        out.line(line);
    }
    out.line(styled(
        "Mains and supply wiring belong to a qualified person and local codes.",
        FAINT,
    ));
}

//! `report`: everything about one board as files to open, print, publish.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use ::record::{Record, Row};
use dossier::evidence::Measured;
use dossier::{File, Material, screens};
use model::Swap;
use physics::Spread;
use plan::{Comparison, Draws, Plan};
use serde::Serialize;

use super::record::{FILE, trouble};
use crate::args::{Args, BoardArg};
use crate::disk;
use crate::exchange;
use crate::faults::Trouble;
use crate::out::Out;

/// How many machines are drawn for a dossier: a chance to a few per cent, which is what the spread of an unknown part is worth.
const DRAWS: u64 = 2_000;

#[derive(Serialize)]
struct Report<'a> {
    board: &'a str,
    folder: String,
    files: Vec<Written<'a>>,
}

#[derive(Serialize)]
struct Written<'a> {
    name: &'a str,
    bytes: usize,
}

/// Writes the dossier and says where it lies.
pub fn run(args: &Args, board: &BoardArg, folder: Option<&Path>, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let mut plans = super::plans(&swap);
    let comparison = super::comparison(&plans);
    let shown = super::wanted_of(&swap, &comparison, board)?;
    super::judge_shown(&mut plans, shown);
    if folder.is_none() && disk::leads_out(&args.folder, "out") {
        return Err(Trouble::user(
            "`out` is a link that leads out of the swap folder".to_owned(),
            "remove the link, or name the folder to write to with --out".to_owned(),
        ));
    }
    let folder = folder.map_or_else(|| args.folder.join("out"), PathBuf::from);
    let evidence = super::measurements::all(&args.folder, &plans[shown])?;
    let record = Record::read(&args.folder.join(FILE)).map_err(|problem| trouble(&problem))?;
    let files = files(&swap, &plans, &comparison, shown, (&evidence, &record));
    put(&folder, &files)?;
    if args.json {
        out.json(&Report {
            board: &plans[shown].board.name.value,
            folder: folder.display().to_string(),
            files: files
                .iter()
                .map(|file| Written {
                    name: &file.name,
                    bytes: file.text.len(),
                })
                .collect(),
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    let path = |name: &str| folder.join(name).display().to_string();
    out.document(&screens::written(&plans[shown], &files, &path));
    out.blocks(&screens::next(&plans[shown], &path("report.html")));
    Ok(ExitCode::SUCCESS)
}

/// Builds the files.
pub fn files(
    swap: &Swap,
    plans: &[Plan<'_>],
    comparison: &Comparison,
    shown: usize,
    (evidence, record): (&[Measured], &[Row]),
) -> Vec<File> {
    let settings = ::settings::settings(&plans[shown].setup());
    let draws = Draws::of(&plans[shown]).only(&plans[shown].uncertain());
    let tally = super::tolerance::tally(&draws, Spread::Uniform, 1, DRAWS, true);
    dossier::files(&Material {
        swap,
        plans,
        comparison,
        shown,
        settings: &settings,
        draws: &draws,
        tally: &tally,
        steps: &bringup::steps(&plans[shown], &settings),
        evidence,
        record,
    })
}

/// Writes files, all or none, in place of those of an earlier run.
pub fn put(folder: &Path, files: &[File]) -> Result<(), Trouble> {
    let bytes: Vec<(String, Vec<u8>)> = files
        .iter()
        .map(|file| (file.name.clone(), file.text.clone().into_bytes()))
        .collect();
    exchange::write(folder, &bytes)
}

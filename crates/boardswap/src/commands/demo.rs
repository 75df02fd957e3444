//! `demo`: the invented demonstration swap with its dossier.

use std::path::Path;
use std::process::ExitCode;

use document::Block;
use dossier::screens;
use include_dir::{Dir, include_dir};

use crate::args::BoardArg;
use crate::disk::{Folder, write_all};
use crate::faults::Trouble;
use crate::out::Out;

static DEMO: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../examples/demo");

/// Writes the files that are not there yet, then compares.
pub fn run(folder: &Path, json: bool, out: &mut Out) -> Result<ExitCode, Trouble> {
    let mut files = Vec::new();
    collect(&DEMO, &mut files);
    files.extend(super::new::schemas()?);
    // Files that the user has changed since are kept: the demo is there to be played with.
    files.retain(|(path, _)| !folder.join(path).exists());
    write_all(folder, &files)?;
    let swap = Folder::open(folder)?.load()?;
    let plans = super::plans(&swap);
    let comparison = super::comparison(&plans);
    let shown = super::wanted_of(&swap, &comparison, &BoardArg { board: None })?;
    let results = folder.join("out");
    let evidence = super::measurements::all(folder, &plans[shown])?;
    super::report::write(&swap, &plans, &comparison, shown, &evidence, &results)?;
    if json {
        out.json(&comparison)?;
        return Ok(ExitCode::SUCCESS);
    }
    let plan = &plans[shown];
    out.document(&screens::comparison(
        format!("{} (invented)", swap.name),
        &comparison,
    ));
    let choice = screens::choice(plan, &comparison, shown);
    out.blocks(&choice.into_iter().map(Block::Section).collect::<Vec<_>>());
    out.blocks(&screens::next(
        plan,
        &results.join("report.html").display().to_string(),
    ));
    Ok(ExitCode::SUCCESS)
}

fn collect(folder: &Dir<'_>, files: &mut Vec<(String, Vec<u8>)>) {
    for file in folder.files() {
        let path = file.path().to_string_lossy().into_owned();
        // In the repository the schemas lie two folders above the example, in a swap of its own beside `swap.toml`.
        let bytes = match file.contents_utf8() {
            Some(text) => text.replacen("#:schema ../../", "#:schema ", 1).into_bytes(),
            None => file.contents().to_vec(),
        };
        files.push((path, bytes));
    }
    for folder in folder.dirs() {
        collect(folder, files);
    }
}

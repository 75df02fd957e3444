//! `demo`: the invented demonstration swap with its dossier.

use std::path::Path;
use std::process::ExitCode;

use document::Block;
use dossier::screens;
use include_dir::{Dir, include_dir};

use crate::args::BoardArg;
use crate::disk::{Folder, write_new};
use crate::faults::Trouble;
use crate::out::Out;

static DEMO: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../examples/demo");

/// Writes the files that are not there yet, then compares.
pub fn run(folder: &Path, json: bool, out: &mut Out) -> Result<ExitCode, Trouble> {
    let mut files = Vec::new();
    collect(&DEMO, &mut files);
    files.extend(super::new::schemas()?);
    if !is_demo(folder, &files) {
        // Somebody else's files: none of the demonstration among them.
        refuse_others(folder)?;
    }
    // Files that the user has changed since are kept: the demo is there to be played with.
    files.retain(|(path, _)| folder.join(path).symlink_metadata().is_err());
    write_new(folder, &files)?;
    let swap = Folder::open(folder)?.load()?;
    let mut plans = super::plans(&swap);
    let comparison = super::comparison(&plans);
    let shown = super::wanted_of(&swap, &comparison, &BoardArg { board: None })?;
    super::judge_shown(&mut plans, shown);
    let results = folder.join("out");
    let evidence = super::measurements::all(folder, &plans[shown])?;
    let written = super::report::files(&swap, &plans, &comparison, shown, (&evidence, &[]));
    super::report::put(&results, &written)?;
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

/// Whether the folder holds the demonstration already: its swap begins as that does.
fn is_demo(folder: &Path, files: &[(String, Vec<u8>)]) -> bool {
    let own = files.iter().find(|(path, _)| path == "swap.toml");
    let own = own.map(|(_, bytes)| String::from_utf8_lossy(bytes).into_owned());
    let there = std::fs::read_to_string(folder.join("swap.toml")).ok();
    let begin = |text: &String| text.lines().take(2).map(str::to_owned).collect::<Vec<_>>();
    own.zip(there)
        .is_some_and(|(own, there)| begin(&own) == begin(&there))
}

/// Refuses a folder that holds anything.
fn refuse_others(folder: &Path) -> Result<(), Trouble> {
    const SHOWN: usize = 8;
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Ok(());
    };
    let mut names: Vec<String> = entries
        .flatten()
        .map(|entry| format!("`{}`", entry.file_name().to_string_lossy()))
        .collect();
    if names.is_empty() {
        return Ok(());
    }
    names.sort_unstable();
    let more = names.len().saturating_sub(SHOWN);
    names.truncate(SHOWN);
    let more = if more > 0 {
        format!(" and {more} more")
    } else {
        String::new()
    };
    Err(Trouble::user(
        format!(
            "`{}` is not empty: it holds {}{more}; nothing was written",
            folder.display(),
            names.join(", ")
        ),
        "name a folder that is empty or not there yet: `boardswap demo FOLDER`".to_owned(),
    ))
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

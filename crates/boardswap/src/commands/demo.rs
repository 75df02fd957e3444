//! `demo`: the invented demonstration swap with its dossier.

use std::path::Path;
use std::process::ExitCode;

use include_dir::{Dir, include_dir};

use plan::{Comparison, Plan};

use crate::args::BoardArg;
use crate::disk::{Folder, write_all};
use crate::faults::Trouble;
use crate::out::{FAINT, HEADING, Out, styled, verdict_style};
use crate::table::{hanging, terminal_width};

static DEMO: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../examples/demo");

/// Writes the files that are not there yet, then compares.
pub fn run(folder: &Path, json: bool, out: &mut Out) -> Result<ExitCode, Trouble> {
    let mut files = Vec::new();
    collect(&DEMO, &mut files);
    files.extend(super::start::schemas()?);
    // Files that the user has changed since are kept: the demo is there to be played with.
    files.retain(|(path, _)| !folder.join(path).exists());
    write_all(folder, &files)?;
    let swap = Folder::open(folder)?.load()?;
    let plans = super::plans(&swap);
    let comparison = super::comparison(&plans);
    let shown = super::wanted_of(&swap, &comparison, &BoardArg { board: None })?;
    let results = folder.join("out");
    let evidence = super::evidence::all(folder, &plans[shown])?;
    super::dossier::write(&swap, &plans, &comparison, shown, &evidence, &results)?;
    if json {
        out.json(&comparison)?;
        return Ok(ExitCode::SUCCESS);
    }
    out.line(styled(format!("{} (invented)", swap.name), HEADING));
    super::compare::print(&comparison, out);
    out.line("");
    choice(&plans[shown], &comparison, shown, out);
    out.line("");
    super::dossier::next(&plans[shown], &results, out);
    Ok(ExitCode::SUCCESS)
}

/// How many cautions are told; the rest is in the dossier.
const CAUTIONS: usize = 3;

/// Which board, what it costs, what it leaves unserved, what to look at first.
fn choice(plan: &Plan<'_>, comparison: &Comparison, shown: usize, out: &mut Out) {
    let Some(entry) = comparison.entries.iter().find(|entry| entry.candidate == shown) else {
        return;
    };
    let price = entry.price.map_or_else(
        || "at a price that nobody stated".to_owned(),
        |price| format!("for {price} with all parts"),
    );
    out.line(styled(format!("Take {} {price}", entry.board), HEADING));
    let lost = if entry.wishes_lost.is_empty() {
        "serves every wish".to_owned()
    } else {
        format!("leaves unserved: {}", entry.wishes_lost.join(", "))
    };
    out.line(format!("  {lost}"));
    out.line(format!(
        "  about {} min of work on leads, {}",
        entry.minutes, plan.optimum.proof
    ));
    let points = plan.open_points();
    for finding in points.iter().take(CAUTIONS) {
        let text = format!("{}: {}", finding.verdict.word(), finding.headline);
        for line in hanging("  ", &text, 4, terminal_width()) {
            out.line(styled(line, verdict_style(finding.verdict)));
        }
    }
    if points.len() > CAUTIONS {
        out.line(styled(
            format!("  and {} more to look at", points.len() - CAUTIONS),
            FAINT,
        ));
    }
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

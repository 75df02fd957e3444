//! `compare`: the candidate boards side by side, best first.

use std::process::ExitCode;

use dossier::screens;
use plan::Comparison;
use serde::Serialize;

use super::workload::{self, Compared, show};

use crate::args::Args;
use crate::faults::Trouble;
use crate::out::Out;

#[derive(Serialize)]
struct Shown<'a> {
    #[serde(flatten)]
    comparison: &'a Comparison,
    /// What the owner's G-code asks of each board, in the order of the swap.
    #[serde(skip_serializing_if = "Option::is_none")]
    workload: Option<&'a Compared>,
}

/// Prints the comparison, with what the owner's own G-code asks of each board where the swap names some; exit code 1 where no board is free
/// of blockers.
pub fn run(args: &Args, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let (comparison, plans) = super::compared(&swap, !swap.workload.is_empty());
    // The files are read once, in the words of the board that stands first.
    let first = comparison.entries.first().map_or(0, |entry| entry.candidate);
    let shown = swap.chosen_board.unwrap_or(first);
    let workload = workload::compared(args, &swap, &plans, shown);
    if args.json {
        out.json(&Shown {
            comparison: &comparison,
            workload: workload.as_ref(),
        })?;
    } else {
        let title = format!("Boards for {}, best first", swap.machine.name);
        out.document(&screens::comparison(title, &comparison));
        if let Some(workload) = &workload {
            out.blocks(&[show::compared(workload, &comparison)]);
        }
    }
    // Blockers of boards that are not taken are no trouble; that none can be taken is.
    let free = comparison.best().is_some();
    Ok(if free {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(1)
    })
}

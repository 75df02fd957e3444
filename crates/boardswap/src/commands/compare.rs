//! `compare`: the candidate boards side by side, best first.

use std::process::ExitCode;

use dossier::screens;

use crate::args::Args;
use crate::faults::Trouble;
use crate::out::Out;

/// Prints the comparison; exit code 1 where no board is free of blockers.
pub fn run(args: &Args, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plans = super::plans(&swap);
    let comparison = super::comparison(&plans);
    if args.json {
        out.json(&comparison)?;
    } else {
        let title = format!("Boards for {}", swap.machine.name);
        out.document(&screens::comparison(title, &comparison));
    }
    // Blockers of boards that are not taken are no trouble; that none can be taken is.
    let free = comparison.best().is_some();
    Ok(if free {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(1)
    })
}

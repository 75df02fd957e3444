//! `compare`: the candidate boards side by side, best first.

use std::process::ExitCode;

use dossier::screens;

use crate::args::Args;
use crate::faults::Trouble;
use crate::out::Out;

/// Prints the comparison.
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
    Ok(ExitCode::SUCCESS)
}

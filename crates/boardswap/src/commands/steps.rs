//! `steps`: the bring-up, step by step, with expected readings.

use std::process::ExitCode;

use dossier::screens;

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::Out;

/// Prints the list of steps.
pub fn run(args: &Args, board: &BoardArg, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    let settings = ::settings::settings(&plan.setup());
    let steps = bringup::steps(&plan, &settings);
    if args.json {
        out.json_list("steps", &steps)?;
        return Ok(ExitCode::SUCCESS);
    }
    out.document(&screens::bring_up(&plan, &steps));
    Ok(ExitCode::SUCCESS)
}

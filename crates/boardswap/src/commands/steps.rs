//! `steps`: the bring-up, step by step, with expected readings.

use std::process::ExitCode;

use dossier::screens;

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::Out;

/// Prints the list of steps, or of those that put the old board back.
pub fn run(args: &Args, board: &BoardArg, back: bool, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    let steps = if back {
        bringup::back(&plan)
    } else {
        bringup::steps(&plan, &::settings::settings(&plan.setup()))
    };
    if args.json {
        out.json_list("steps", &steps)?;
        return Ok(ExitCode::SUCCESS);
    }
    out.document(&if back {
        screens::way_back(&plan, &steps)
    } else {
        screens::bring_up(&plan, &steps)
    });
    Ok(ExitCode::SUCCESS)
}

//! `wiring`: the table of leads, and the next-best assignments.

use std::process::ExitCode;

use dossier::screens;
use plan::{Alternative, Plan, Row};
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::Out;

#[derive(Serialize)]
struct Report<'a> {
    board: &'a str,
    optimum: &'a plan::Optimum,
    cables: &'a [Row],
    alternatives: Vec<Other>,
}

#[derive(Serialize)]
struct Other {
    more: plan::Objective,
    moves: Vec<String>,
}

impl Other {
    fn of(plan: &Plan<'_>, alternative: &Alternative) -> Self {
        let moves = dossier::moves(plan, alternative);
        Self {
            moves: moves
                .iter()
                .map(|(tag, place)| format!("{tag} {place}"))
                .collect(),
            more: alternative.more,
        }
    }
}

/// Prints the leads.
pub fn run(args: &Args, board: &BoardArg, alternatives: usize, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    let rows = plan::cables(&plan);
    let others = if alternatives == 0 {
        Vec::new()
    } else {
        plan.alternatives(alternatives.min(50))
    };
    if args.json {
        out.json(&Report {
            board: &plan.board.name.value,
            optimum: &plan.optimum,
            cables: &rows,
            alternatives: others.iter().map(|other| Other::of(&plan, other)).collect(),
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    out.document(&screens::cables(&plan, &rows, &others));
    Ok(ExitCode::SUCCESS)
}

//! `check`: plan one board and show what the checks say.

use std::process::ExitCode;

use dossier::screens;
use plan::{Draws, Finding, Verdict};
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::Out;

#[derive(Serialize)]
struct Report<'a> {
    board: &'a str,
    invented: bool,
    optimum: &'a plan::Optimum,
    findings: &'a [Finding],
}

/// Prints the findings; exit code 1 where there is a blocker.
pub fn run(args: &Args, board: &BoardArg, all: bool, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    if args.json {
        out.json(&Report {
            board: &plan.board.name.value,
            invented: swap.invented,
            optimum: &plan.optimum,
            findings: &plan.findings,
        })?;
    } else {
        let open = plan.to_decide();
        let limited: Vec<&Finding> = open
            .into_iter()
            .filter(|finding| finding.limit.is_some())
            .collect();
        let chances = if limited.is_empty() {
            Vec::new()
        } else {
            super::tolerance::chances(&plan, &Draws::of(&plan), &limited)
        };
        let chances: Vec<_> = limited.into_iter().zip(chances).collect();
        out.document(&screens::check(&plan, &chances, all));
    }
    Ok(if plan.count(Verdict::Blocker) > 0 {
        ExitCode::from(1)
    } else {
        ExitCode::SUCCESS
    })
}

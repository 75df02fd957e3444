//! `check`: plan one board and show what the checks say.

use std::process::ExitCode;

use dossier::screens;
use physics::Chance;
use plan::{Draws, Finding, Plan, Verdict};
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::Out;

#[derive(Serialize)]
struct Report<'a> {
    board: &'a str,
    invented: bool,
    optimum: &'a plan::Optimum,
    findings: Vec<Judged<'a>>,
}

/// A finding, and of one that is open with a limit how often that fails.
#[derive(Serialize)]
struct Judged<'a> {
    #[serde(flatten)]
    finding: &'a Finding,
    #[serde(skip_serializing_if = "Option::is_none")]
    fails: Option<super::tolerance::Held>,
}

impl<'a> Judged<'a> {
    fn of(finding: &'a Finding, chances: &[(&Finding, Chance)]) -> Self {
        let own = chances.iter().find(|(other, _)| std::ptr::eq(*other, finding));
        Self {
            finding,
            fails: own.map(|(_, chance)| super::tolerance::Held::failing(*chance)),
        }
    }
}

/// How often the limits of what is open hold.
fn failing<'p>(plan: &'p Plan<'_>) -> Vec<(&'p Finding, Chance)> {
    let open = plan.open_points().into_iter();
    let limited: Vec<&Finding> = open
        .filter(|finding| finding.is_open() && finding.limit.is_some())
        .collect();
    // Whoever stopped the search waits for the answer: how often limits hold is not counted then.
    if limited.is_empty() || plan::is_stopped() {
        return Vec::new();
    }
    let chances = super::tolerance::chances(plan, &Draws::of(plan), &limited);
    limited.into_iter().zip(chances).collect()
}

/// Prints the findings; exit code 1 where there is a blocker.
pub fn run(args: &Args, board: &BoardArg, all: bool, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    let chances = failing(&plan);
    if args.json {
        out.json(&Report {
            board: &plan.board.name.value,
            invented: swap.invented,
            optimum: &plan.optimum,
            findings: plan
                .findings
                .iter()
                .map(|own| Judged::of(own, &chances))
                .collect(),
        })?;
    } else {
        out.document(&screens::check(&plan, &chances, all));
    }
    Ok(if plan.count(Verdict::Blocker) > 0 {
        ExitCode::from(1)
    } else {
        ExitCode::SUCCESS
    })
}

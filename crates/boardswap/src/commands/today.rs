//! `today`: the board died and a print is due. A page for one day: wiring, settings, ten checks; the next start asks for the rest.

use std::process::ExitCode;

use ::settings::{Settings, settings};
use ::survey::Extent;
use dossier::Today;
use model::{Answer, Supposed, Swap};
use plan::{Plan, Verdict};

use super::survey;
use super::survey::journal::{Journal, Kept};
use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::Out;
use crate::{date, disk};

/// The page, in the folder of the swap.
const PAGE: &str = "today.html";

/// Asks what a print tomorrow cannot do without, then makes the page.
pub fn run(args: &Args, out: &mut Out) -> Result<ExitCode, Trouble> {
    let day = date::today();
    let made = Journal::open(&args.folder)?.page().map(date::day);
    let expired = made.filter(|made| *made != day);
    let extent = match &expired {
        Some(made) => {
            out.line(format!(
                "The page of {made} has expired: it was for one print. The rest is asked now."
            ));
            Extent::Whole
        }
        None => Extent::Today,
    };
    if !survey::interview(args, extent, out)? {
        return Ok(ExitCode::SUCCESS);
    }
    if expired.is_some() {
        out.line(
            "\nNothing is left to ask for one print: go on with `boardswap check`, then `boardswap report`.",
        );
        return Ok(ExitCode::SUCCESS);
    }
    let swap = super::load(args)?;
    // The spare is there: a board with blockers is named with them, not refused.
    let plans = super::plans(&swap);
    let first = super::comparison(&plans).entries.into_iter().next();
    let board = first.map(|entry| entry.board);
    let plan = super::wanted_plan(&swap, &BoardArg { board })?;
    let own = settings(&plan.setup());
    let steps = bringup::steps(&plan, &own);
    let document = dossier::today(&Today {
        plan: &plan,
        settings: &own,
        others: &others(&swap, &plan),
        steps: &steps,
        day: &day,
    });
    let page = dossier::today_page(&document);
    disk::write_all(&args.folder, &[(PAGE.to_owned(), page.into_bytes())])?;
    Journal::open(&args.folder)?.add("today", PAGE, Kept::Page)?;
    out.line("");
    out.document(&dossier::in_short(&document));
    out.line(format!(
        "\nSettings and the ten checks, to print: {}",
        args.folder.join(PAGE).display()
    ));
    let fails = plan
        .findings
        .iter()
        .any(|finding| finding.verdict == Verdict::Blocker && finding.open.is_none());
    Ok(ExitCode::from(u8::from(fails)))
}

/// The settings that the lower and the upper ends of what is usual give.
fn others(swap: &Swap, plan: &Plan<'_>) -> Vec<Settings> {
    let Some(kept) = &swap.origin else {
        return Vec::new();
    };
    let ends = [
        (Answer::Low, Answer::Likely),
        (Answer::High, Answer::Likely),
        (Answer::Likely, Answer::Low),
        (Answer::Likely, Answer::High),
    ];
    let swaps = ends.into_iter().filter_map(|(machine, boards)| {
        kept.supposing(&Supposed {
            machine,
            boards,
            only: None,
        })
    });
    swaps
        .filter_map(|other| {
            let board = other
                .candidates
                .iter()
                .find(|board| board.name == plan.board.name)?;
            Some(settings(&plan::plan_briefly(&other, board).setup()))
        })
        .collect()
}

//! The commands, one file each, and what they share: loading, and which board is meant.

mod chance;
mod check;
mod compare;
mod demo;
mod dossier;
mod evidence;
mod image;
mod settings;
mod start;
mod steps;
mod why;
mod wire;

use std::process::ExitCode;

use clap::CommandFactory as _;
use model::Swap;
use model::board::Board;
use plan::{Comparison, Plan};

pub use chance::How;
pub use image::Which as WhichImage;
pub use settings::Which;

use crate::args::{Args, BoardArg, Command};
use crate::disk::Folder;
use crate::faults::Trouble;
use crate::out::Out;

/// Runs the command that the arguments name.
pub fn run(args: &Args, out: &mut Out) -> Result<ExitCode, Trouble> {
    match &args.command {
        Command::Start { folder } => start::run(folder, out),
        Command::Check { board, all } => check::run(args, board, *all, out),
        Command::Compare => compare::run(args, out),
        Command::Wire { board, alternatives } => wire::run(args, board, *alternatives, out),
        Command::Settings { board, which } => settings::run(args, board, *which, out),
        Command::Steps { board } => steps::run(args, board, out),
        Command::Dossier { board, out: folder } => dossier::run(args, board, folder.as_deref(), out),
        Command::Evidence {
            board,
            kind,
            file,
            keys,
            against,
            pictures,
        } => {
            let alone = match (kind, file) {
                (Some(kind), Some(file)) => Some(evidence::Alone {
                    kind,
                    file,
                    keys,
                    against: against.as_deref(),
                }),
                _ => None,
            };
            evidence::run(args, board, alone, pictures.as_deref(), out)
        }
        Command::Image { board, which } => image::run(args, board, which, out),
        Command::Why { board, what } => why::run(args, board, what, out),
        Command::Chance { board, how } => chance::run(args, board, how, out),
        Command::Schema { kind } => schema(kind, out),
        Command::Demo { folder } => demo::run(folder, args.json, out),
        Command::Completions { shell } => {
            let mut bytes = Vec::new();
            clap_complete::generate(*shell, &mut Args::command(), "boardswap", &mut bytes);
            out.line(String::from_utf8_lossy(&bytes).trim_end());
            Ok(ExitCode::SUCCESS)
        }
        Command::Man => man(out),
    }
}

fn schema(kind: &str, out: &mut Out) -> Result<ExitCode, Trouble> {
    let Some(schema) = model::schema(kind) else {
        let help = format!("one of {}", model::SCHEMAS.join(", "));
        return Err(Trouble::user(format!("there is no kind of file `{kind}`"), help));
    };
    out.json(&schema)?;
    Ok(ExitCode::SUCCESS)
}

fn man(out: &mut Out) -> Result<ExitCode, Trouble> {
    let mut bytes = Vec::new();
    let page = clap_mangen::Man::new(Args::command());
    page.render(&mut bytes)
        .map_err(|error| Trouble::machine(format!("manual page: {error}")))?;
    out.line(String::from_utf8_lossy(&bytes).trim_end());
    Ok(ExitCode::SUCCESS)
}

/// The swap of the folder that the arguments name.
fn load(args: &Args) -> Result<Swap, Trouble> {
    Folder::open(&args.folder)?.load()
}

/// Every candidate planned; the order is that of the swap.
fn plans(swap: &Swap) -> Vec<Plan<'_>> {
    planned(swap, plan::plan)
}

/// Every candidate planned in one way, on as many threads as there are cores.
fn planned<'s>(swap: &'s Swap, plan: fn(&'s Swap, &'s Board) -> Plan<'s>) -> Vec<Plan<'s>> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let share = swap.candidates.len().div_ceil(cores).max(1);
    std::thread::scope(|scope| {
        let work =
            |boards: &'s [Board]| -> Vec<Plan<'s>> { boards.iter().map(|board| plan(swap, board)).collect() };
        let mut shares = swap.candidates.chunks(share);
        // This thread takes the first share itself.
        let first = shares.next().unwrap_or_default();
        let threads: Vec<_> = shares.map(|boards| scope.spawn(move || work(boards))).collect();
        let mut plans = work(first);
        for thread in threads {
            // A panic in a plan is a mistake of ours: let it go on as it came.
            plans.extend(
                thread
                    .join()
                    .unwrap_or_else(|panic| std::panic::resume_unwind(panic)),
            );
        }
        plans
    })
}

/// The comparison of plans that stand in the order of the swap.
fn comparison(plans: &[Plan<'_>]) -> Comparison {
    let entries: Vec<plan::Entry> = plans
        .iter()
        .enumerate()
        .map(|(at, plan)| plan::entry(plan, at))
        .collect();
    plan::rank(&entries)
}

/// Which candidate is meant: the named one, else the chosen one, else the best of the comparison.
fn wanted_of(swap: &Swap, comparison: &Comparison, board: &BoardArg) -> Result<usize, Trouble> {
    Ok(named(swap, board)?.unwrap_or_else(|| best(comparison)))
}

fn best(comparison: &Comparison) -> usize {
    comparison.entries.first().map_or(0, |entry| entry.candidate)
}

/// The candidate that was named or chosen.
fn named(swap: &Swap, board: &BoardArg) -> Result<Option<usize>, Trouble> {
    let names: Vec<&str> = swap
        .candidates
        .iter()
        .map(|board| board.name.value.as_str())
        .collect();
    if names.is_empty() {
        let help = "name the files of candidate boards under `candidates` in swap.toml".to_owned();
        return Err(Trouble::user("the swap has no candidate boards", help));
    }
    if let Some(name) = &board.board {
        let found = names.iter().position(|own| own.eq_ignore_ascii_case(name));
        return found.map(Some).ok_or_else(|| {
            let near =
                model::nearest(name, names.iter().copied()).map(|near| format!("did you mean `{near}`? "));
            let help = format!(
                "{}the candidates are {}",
                near.unwrap_or_default(),
                names.join(", ")
            );
            Trouble::user(format!("there is no candidate board `{name}`"), help)
        });
    }
    Ok(swap.chosen_board)
}

/// The plan of the board that is meant.
fn wanted_plan<'a>(swap: &'a Swap, board: &BoardArg) -> Result<Plan<'a>, Trouble> {
    if let Some(at) = named(swap, board)? {
        return Ok(plan::plan(swap, &swap.candidates[at]));
    }
    // The ranking reads no words: they are made for the best alone.
    let mut plans = planned(swap, plan::plan_briefly);
    let best = best(&comparison(&plans));
    Ok(plans.swap_remove(best).worded())
}

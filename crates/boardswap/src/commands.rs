//! The commands, one file each, and what they share: loading, and which board is meant.

mod ask;
mod bring_up;
mod check;
mod compare;
mod demo;
mod explain;
mod guide;
mod image;
mod import;
mod measurements;
mod new;
mod record;
mod report;
mod settings;
mod status;
mod steps;
mod survey;
mod today;
mod tolerance;
mod wiring;
mod workload;

use std::process::ExitCode;

use clap::CommandFactory as _;
use model::Swap;
use model::board::Board;
use plan::{Comparison, Plan};

pub use image::Which as WhichImage;
pub use import::Told;
pub use settings::Which;
pub use tolerance::How;

use crate::args::{Args, BoardArg, Command};
use crate::disk::Folder;
use crate::faults::Trouble;
use crate::out::Out;

/// Runs the command that the arguments name.
pub fn run(args: &Args, out: &mut Out) -> Result<ExitCode, Trouble> {
    let Some(command) = &args.command else {
        return status::run(args, out);
    };
    match command {
        Command::New { folder } => new::run(folder, args.json, out),
        Command::Check { board, all } => check::run(args, board, *all, out),
        Command::Ask {
            board,
            answer,
            how,
            all,
        } => ask::run(args, board, answer.as_deref(), how.as_deref(), *all, out),
        Command::Survey => survey::run(args, out),
        Command::Import { files, unit } => import::run(args, files, *unit, out),
        Command::Today => today::run(args, out),
        Command::Compare => compare::run(args, out),
        Command::Wiring { board, alternatives } => wiring::run(args, board, *alternatives, out),
        Command::Settings { board, which } => settings::run(args, board, which, out),
        Command::Steps { board, back } => steps::run(args, board, *back, out),
        Command::BringUp { board, who, list } => bring_up::run(args, board, who.as_deref(), *list, out),
        Command::Record { export, import } => record::run(args, export.as_deref(), import.as_deref(), out),
        Command::Report { board, out: folder } => report::run(args, board, folder.as_deref(), out),
        Command::Guide {
            boards,
            out: folder,
            publish,
        } => match publish {
            Some(file) => guide::publish(args, file, out),
            None => guide::run(args, boards, folder.as_deref(), out),
        },
        Command::Measurements {
            board,
            kind,
            files,
            keys,
            compare_with,
            pictures,
            all,
            only,
        } => {
            let alone = match (kind, &files[..]) {
                (Some(kind), [file, more @ ..]) => Some(measurements::Alone {
                    kind,
                    file,
                    more,
                    keys,
                    against: compare_with.as_deref(),
                }),
                _ => None,
            };
            let shown = measurements::Shown {
                pictures: pictures.as_deref(),
                all: *all,
                only: only.as_deref(),
            };
            measurements::run(args, board, alone, shown, out)
        }
        Command::Workload {
            board,
            files,
            all,
            pictures,
        } => {
            let asked = workload::Asked {
                files,
                all: *all,
                pictures: pictures.as_deref(),
            };
            workload::run(args, board, asked, out)
        }
        Command::Image { board, which } => image::run(args, board, which, out),
        Command::Explain { board, what } => explain::run(args, board, what, out),
        Command::Tolerance { board, how } => tolerance::run(args, board, how, out),
        Command::Schema { kind } => schema(kind, out),
        Command::Demo { folder } => demo::run(folder, args.json, out),
        Command::Completions { shell } => {
            let mut bytes = Vec::new();
            clap_complete::generate(*shell, &mut Args::command(), "boardswap", &mut bytes);
            text(&bytes, args.json, out)
        }
        Command::Man => man(args.json, out),
    }
}

fn schema(kind: &str, out: &mut Out) -> Result<ExitCode, Trouble> {
    if kind == crate::out::SCHEMA {
        out.line(crate::out::schema().trim_end());
        return Ok(ExitCode::SUCCESS);
    }
    let Some(schema) = model::schema(kind) else {
        let help = format!("one of {}", model::SCHEMAS.join(", "));
        return Err(Trouble::user(format!("there is no kind of file `{kind}`"), help));
    };
    out.plain_json(&schema)?;
    Ok(ExitCode::SUCCESS)
}

/// The manual page: the program, then each command with its options as a section of its own.
fn man(json: bool, out: &mut Out) -> Result<ExitCode, Trouble> {
    let mut bytes = Vec::new();
    manual(&mut bytes).map_err(|error| Trouble::machine(format!("manual page: {error}")))?;
    text(&bytes, json, out)
}

fn manual(bytes: &mut Vec<u8>) -> std::io::Result<()> {
    let mut program = Args::command();
    program.build();
    clap_mangen::Man::new(program.clone()).render(bytes)?;
    for command in program.get_subcommands().filter(|command| !command.is_hide_set()) {
        let title = format!("boardswap {}", command.get_name()).to_uppercase();
        bytes.extend(format!(".SH {title}\n").bytes());
        let page = clap_mangen::Man::new(command.clone());
        page.render_synopsis_section(bytes)?;
        page.render_description_section(bytes)?;
        page.render_options_section(bytes)?;
    }
    Ok(())
}

/// Text that is no answer of the tool about a swap, as it is or as JSON.
fn text(bytes: &[u8], json: bool, out: &mut Out) -> Result<ExitCode, Trouble> {
    let text = String::from_utf8_lossy(bytes);
    if json {
        out.json(&serde_json::json!({ "text": text.trim_end() }))?;
    } else {
        out.line(text.trim_end());
    }
    Ok(ExitCode::SUCCESS)
}

/// The swap of the folder that the arguments name.
fn load(args: &Args) -> Result<Swap, Trouble> {
    Folder::open(&args.folder)?.load()
}

/// Every candidate planned; the order is that of the swap.
fn plans(swap: &Swap) -> Vec<Plan<'_>> {
    planned(swap, |swap, board| settled(plan::plan(swap, board)))
}

/// With what is left to do about each finding: what wiring, settings and steps deal with is handled.
fn settled(plan: Plan<'_>) -> Plan<'_> {
    let settings = ::settings::settings(&plan.setup());
    let steps = bringup::steps(&plan, &settings);
    bringup::settled(plan, &settings, &steps)
}

/// The plan that is shown, with what contradicts in the report of the old controller: no other board changes that, so that the
/// comparison is made without it.
fn judge_shown(plans: &mut Vec<Plan<'_>>, shown: usize) {
    let plan = plans.remove(shown);
    plans.insert(shown, judged(plan));
}

/// With what contradicts in the report of the old controller.
fn judged(plan: Plan<'_>) -> Plan<'_> {
    let found = ::settings::of_plan(&plan);
    settled(plan.also(found))
}

/// Every candidate planned in one way, on as many threads as there are cores.
fn planned<'s, T: Send>(
    swap: &'s Swap,
    plan: impl Fn(&'s Swap, &'s Board) -> T + Copy + Sync + Send,
) -> Vec<T> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let share = swap.candidates.len().div_ceil(cores).max(1);
    std::thread::scope(|scope| {
        let work = |boards: &'s [Board]| -> Vec<T> { boards.iter().map(|board| plan(swap, board)).collect() };
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

/// The comparison of all candidates, with their plans where they are wanted: each is dropped as soon as its entry is made, since very many boards
/// would fill the memory.
fn compared(swap: &Swap, keeps_plans: bool) -> (Comparison, Vec<Plan<'_>>) {
    let judged = planned(swap, |swap, board| {
        let plan = settled(plan::plan(swap, board));
        (plan::entry(&plan, 0), keeps_plans.then_some(plan))
    });
    let (mut entries, plans): (Vec<plan::Entry>, Vec<Option<Plan<'_>>>) = judged.into_iter().unzip();
    for (at, entry) in entries.iter_mut().enumerate() {
        entry.candidate = at;
    }
    (plan::rank(&entries), plans.into_iter().flatten().collect())
}

/// Which candidate is meant: the named one, else the chosen one, else the best of the comparison that no finding forbids.
fn wanted_of(swap: &Swap, comparison: &Comparison, board: &BoardArg) -> Result<usize, Trouble> {
    match (
        named(swap, board)?,
        comparison.best().or_else(|| comparison.provisional()),
    ) {
        (Some(named), _) => Ok(named),
        (None, Some(best)) => Ok(best.candidate),
        (None, None) => Err(blocked(comparison)),
    }
}

/// What forbids each board of a comparison in which nothing can be taken by default.
fn blocked(comparison: &Comparison) -> Trouble {
    let boards = comparison.entries.iter();
    Trouble::Blocked(
        boards
            .map(|entry| (entry.board.clone(), entry.blocked_by.clone()))
            .collect(),
    )
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

/// The plan on which something is explained, and whether its board is one of those that are all blocked: of them the first that has what is asked
/// about, else the first. What is only explained builds nothing.
fn plan_to_explain<'a>(
    swap: &'a Swap,
    board: &BoardArg,
    asked: Option<&str>,
) -> Result<(Plan<'a>, bool), Trouble> {
    let boards = match wanted_plan(swap, board) {
        Err(Trouble::Blocked(boards)) => boards,
        other => return other.map(|plan| (plan, false)),
    };
    let has = |by: &[String]| by.iter().any(|own| Some(own.as_str()) == asked);
    let named = boards.iter().find(|(_, by)| has(by)).or_else(|| boards.first());
    let mut candidates = swap.candidates.iter();
    match candidates.find(|own| named.is_some_and(|(name, _)| *name == own.name.value)) {
        Some(board) => Ok((judged(plan::plan(swap, board)), true)),
        None => Err(Trouble::Blocked(boards)),
    }
}

/// The plan of the board that is meant.
fn wanted_plan<'a>(swap: &'a Swap, board: &BoardArg) -> Result<Plan<'a>, Trouble> {
    picked_plan(swap, board, |ranked| {
        ranked.best().or_else(|| ranked.provisional())
    })
}

/// As [`wanted_plan`], but the first of the comparison whatever forbids it.
fn first_plan<'a>(swap: &'a Swap, board: &BoardArg) -> Result<Plan<'a>, Trouble> {
    picked_plan(swap, board, |ranked| ranked.entries.first())
}

/// The plan of the board that is named or chosen, else of the one that is picked of the comparison.
fn picked_plan<'a>(
    swap: &'a Swap,
    board: &BoardArg,
    pick: impl Fn(&Comparison) -> Option<&plan::Entry>,
) -> Result<Plan<'a>, Trouble> {
    if let Some(at) = named(swap, board)? {
        return Ok(judged(plan::plan(swap, &swap.candidates[at])));
    }
    // The ranking reads no words: they are made for the best alone.
    let mut plans = planned(swap, |swap, board| settled(plan::plan_briefly(swap, board)));
    let ranked = comparison(&plans);
    let Some(picked) = pick(&ranked).map(|picked| picked.candidate) else {
        return Err(blocked(&ranked));
    };
    Ok(judged(plans.swap_remove(picked).worded()))
}

//! `wire`: the table of leads, and the next-best assignments.

use std::process::ExitCode;

use plan::{Plan, Row};
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::{FAINT, HEADING, Out, styled};
use crate::table::{Table, terminal_width, wrapped};

#[derive(Serialize)]
struct Report<'a> {
    board: &'a str,
    optimum: &'a plan::Optimum,
    leads: &'a [Row],
    alternatives: Vec<Other>,
}

#[derive(Serialize)]
struct Other {
    more: plan::Objective,
    moves: Vec<String>,
}

/// Prints the leads.
pub fn run(args: &Args, board: &BoardArg, alternatives: usize, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    let rows = plan::leads(&plan);
    let others: Vec<Other> = if alternatives == 0 {
        Vec::new()
    } else {
        others(&plan, alternatives.min(50))
    };
    if args.json {
        out.json(&Report {
            board: &plan.board.name.value,
            optimum: &plan.optimum,
            leads: &rows,
            alternatives: others,
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    out.line(styled(
        format!("Leads of {} on {}", swap.machine.name, plan.board.name),
        HEADING,
    ));
    out.line(styled(
        "Unplug the machine from the mains and wait before you touch a lead.",
        FAINT,
    ));
    out.line("");
    print(&rows, out);
    let minutes: i64 = rows.iter().map(|row| row.minutes).sum();
    out.line("");
    out.line(styled(
        format!("about {minutes} min at the bench; {}", plan.optimum.proof),
        FAINT,
    ));
    for (at, other) in others.iter().enumerate() {
        let text = format!(
            "next best {}: {} (costs {} more)",
            at + 1,
            other.moves.join("; "),
            other.more.words()
        );
        for line in wrapped(&text, terminal_width()) {
            out.line(line);
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn print(rows: &[Row], out: &mut Out) {
    let mut table = Table::new(&["tag", "device", "from", "to", "do"], &[]);
    for row in rows {
        let words: Vec<&str> = row.actions.iter().map(|action| action.words.as_str()).collect();
        table.row(
            vec![
                row.tag.clone(),
                row.device.clone(),
                row.old_port.clone().unwrap_or_else(|| "new".to_owned()),
                row.new_port.clone().unwrap_or_else(|| "-".to_owned()),
                words.join("; "),
            ],
            Some(HEADING),
        );
    }
    for line in table.lines(terminal_width()) {
        out.line(line);
    }
}

fn others(plan: &Plan<'_>, count: usize) -> Vec<Other> {
    plan.alternatives(count)
        .into_iter()
        .map(|alternative| Other {
            moves: alternative
                .moved
                .iter()
                .map(|id| {
                    let tag = &plan.swap.machine.device(*id).tag;
                    let place = alternative.ways[id.0]
                        .map_or_else(|| "left off".to_owned(), |way| plan::words(plan, way));
                    format!("{tag} {place}")
                })
                .collect(),
            more: alternative.more,
        })
        .collect()
}

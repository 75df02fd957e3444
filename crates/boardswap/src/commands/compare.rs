//! `compare`: the candidate boards side by side, best first.

use std::process::ExitCode;

use plan::{Comparison, Entry};

use crate::args::Args;
use crate::faults::Trouble;
use crate::out::{FAINT, HEADING, Out, styled, verdict_style};
use crate::table::{Table, hanging, terminal_width};

/// Prints the comparison.
pub fn run(args: &Args, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plans = super::plans(&swap);
    let comparison = super::comparison(&plans);
    if args.json {
        out.json(&comparison)?;
    } else {
        out.line(styled(format!("Boards for {}", swap.machine.name), HEADING));
        print(&comparison, out);
    }
    Ok(ExitCode::SUCCESS)
}

/// The table and a sentence for each board.
pub fn print(comparison: &Comparison, out: &mut Out) {
    let headings = [
        "",
        "board",
        "blockers",
        "cautions",
        "wishes",
        "price",
        "settings",
        "work",
        "least margin",
    ];
    let mut table = Table::new(&headings, &[2, 3, 4, 5, 6, 7, 8]);
    for (at, entry) in comparison.entries.iter().enumerate() {
        table.row(row(at, entry), Some(style(entry)));
    }
    for line in table.lines(terminal_width()) {
        out.line(line);
    }
    out.line("");
    for (at, entry) in comparison.entries.iter().enumerate() {
        let first = format!("{}. ", at + 1);
        let text = format!("{}: {}", entry.board, entry.because);
        for line in hanging(&first, &text, 3, terminal_width()) {
            out.line(line);
        }
    }
    out.line("");
    let mut table = Table::new(&["board", "tightest limits that hold"], &[]);
    for entry in &comparison.entries {
        table.row(vec![entry.board.clone(), dossier::tightest_words(entry)], None);
    }
    for line in table.lines(terminal_width()) {
        out.line(line);
    }
    out.line("");
    out.line(styled(
        "● nothing is better in one respect without being worse in another (Pareto front)",
        FAINT,
    ));
}

fn style(entry: &Entry) -> anstyle::Style {
    verdict_style(if entry.blockers > 0 {
        plan::Verdict::Blocker
    } else {
        plan::Verdict::Pass
    })
}

fn row(at: usize, entry: &Entry) -> Vec<String> {
    vec![
        format!("{}{}", at + 1, if entry.pareto { " ●" } else { "" }),
        entry.board.clone(),
        entry.blockers.to_string(),
        entry.cautions.to_string(),
        format!("{}/{}", entry.wishes.0, entry.wishes.1),
        entry
            .price
            .map_or_else(|| "?".to_owned(), |price| price.to_string()),
        entry.settings.to_string(),
        format!("{} min", entry.minutes),
        entry
            .least_margin()
            .map_or_else(String::new, dossier::margin_words),
    ]
}

//! The candidates side by side: a table, a sentence for each, the choice, the wishes.

use document::{Block, Cell, Column, Row, Section, Table, Text};
use plan::{Entry, Plan};

use crate::about::{About, mark};
use crate::finding;
use crate::pictures::Pictures;
use crate::shown::Shown;
use crate::words::{sentence, share, uncapital};

/// The heading of the column of tightest limits.
const TIGHTEST: &str = "Tightest limits that hold";

/// The choice, as a section of the page.
pub(crate) fn section(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Block> {
    let entries = &shown.material.comparison.entries;
    let own = Some(shown.material.shown);
    let mut blocks = vec![Block::say(why_shown(shown))];
    blocks.push(Block::Beside(vec![ranking(entries, own)], wishes(shown)));
    blocks.extend(pictures.block("comparison.svg"));
    let columns = COLUMNS
        .iter()
        .filter(|heading| **heading != "Least room")
        .copied();
    let table = table(entries, Some((&shown.about, shown.material.shown)));
    blocks.push(
        table
            .only(&columns.collect::<Vec<_>>())
            .caption("The candidates, best first")
            .into(),
    );
    blocks.push(legend());
    blocks
}

/// Which board, what it costs, what it leaves unassigned, what to look at first.
pub(crate) fn choice(plan: &Plan<'_>, entry: &Entry) -> Section {
    /// How many open points are told; the rest is in the dossier.
    const POINTS: usize = 3;
    let price = entry.price.map_or_else(
        || "at a price that nobody stated".to_owned(),
        |price| format!("for {price} with all parts"),
    );
    let lost = if entry.wishes_lost.is_empty() {
        "It serves every wish.".to_owned()
    } else {
        format!("It leaves unassigned: {}.", entry.wishes_lost.join(", "))
    };
    let work = format!(
        "About {} min of work on leads; {}.",
        entry.minutes, plan.optimum.proof
    );
    let mut blocks = vec![Block::say(lost), Block::say(work)];
    blocks.extend(finding::first(&About::of(plan, None), POINTS));
    let title = if entry.is_free() {
        format!("Take {} {price}", entry.board)
    } else {
        format!("Not usable without changes: {}", entry.board)
    };
    Section::new(title, blocks)
}

fn why_shown(shown: &Shown<'_>) -> String {
    let board = &shown.plan.board.name;
    let best = shown.material.comparison.best();
    let is_best = best.is_some_and(|best| best.candidate == shown.material.shown);
    if best.is_none() {
        return format!("No candidate is free of blockers: none is recommended. This page is about {board}.");
    }
    match (shown.swap.chosen_board == Some(shown.material.shown), is_best) {
        (true, true) => format!("{board} was chosen, and it is the best of the comparison."),
        (true, false) => {
            format!("{board} was chosen by whoever keeps this swap; the comparison puts another board first.")
        }
        (false, true) => format!("{board} is the best of the comparison. Nobody has chosen yet."),
        (false, false) => format!("This page is about {board}; the comparison puts another board first."),
    }
}

/// A sentence for each board, best first; the shown one says that it is.
fn ranking(entries: &[Entry], shown: Option<usize>) -> Block {
    Block::ordered(entries.iter().map(|entry| {
        let here = if shown == Some(entry.candidate) {
            " (this page)"
        } else {
            ""
        };
        Text::default()
            .strong(&entry.board)
            .and(format!("{here}: {}", sentence(&entry.because)))
    }))
}

const COLUMNS: [&str; 10] = [
    "Board",
    "Blockers",
    "Actions required",
    "Wishes",
    "Price with parts",
    "Settings",
    "Work on leads",
    "Least room",
    TIGHTEST,
    "Pareto front",
];

/// One row a board, best first. The limits of the board that a page is about lead to its findings.
fn table(entries: &[Entry], page: Option<(&About<'_>, usize)>) -> Table {
    let columns = COLUMNS.map(|heading| match heading {
        "Board" | TIGHTEST => Column::text(heading),
        "Pareto front" => Column::short(heading),
        number => Column::number(number),
    });
    let rows = entries.iter().map(|entry| {
        let price = entry
            .price
            .map_or_else(|| "not stated".to_owned(), |price| price.to_string());
        let own = page
            .filter(|(_, shown)| *shown == entry.candidate)
            .map(|(about, _)| about);
        let worst = if entry.blockers > 0 {
            plan::Verdict::Blocker
        } else {
            plan::Verdict::Pass
        };
        Row::of([
            Cell::from(&entry.board),
            entry.blockers.to_string().into(),
            entry.cautions.to_string().into(),
            format!("{} of {}", entry.wishes.0, entry.wishes.1).into(),
            price.into(),
            entry.settings.to_string().into(),
            format!("{} min", entry.minutes).into(),
            entry.least_margin().map(share).unwrap_or_default().into(),
            tightest(entry, own),
            (if entry.pareto { "yes" } else { "no" }).into(),
        ])
        .marked(mark(worst))
    });
    let rows: Vec<Row> = rows.collect();
    Table::new(columns, rows)
}

fn tightest(entry: &Entry, about: Option<&About<'_>>) -> Cell {
    if entry.tightest.is_empty() {
        return Cell::from("no limit");
    }
    Cell::list(entry.tightest.iter().map(|tight| {
        let anchor = about.and_then(|about| about.anchor_of(&tight.finding));
        Text::of(format!("{} ", share(tight.margin))).link(anchor, uncapital(tight.title))
    }))
}

fn legend() -> Block {
    Block::remark(
        "Pareto front: no other board is better in one of these respects without being worse in another. \
         Order: blockers by harm, wishes by value, actions required by harm, settings, work, price.",
    )
}

fn wishes(shown: &Shown<'_>) -> Vec<Block> {
    let wishes = shown.swap.wishes.iter().zip(&shown.plan.served);
    let rows: Vec<Row> = wishes
        .map(|(wish, served)| {
            let served = if *served { "yes" } else { "no" };
            Row::of([wish.name.value.as_str(), &wish.weight.to_string(), served])
        })
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = [
        Column::text("Wish"),
        Column::number("Worth"),
        Column::text("Served"),
    ];
    let title = format!("Wishes on {}", shown.plan.board.name);
    vec![Section::new(title, vec![Table::new(columns, rows).into()]).into()]
}

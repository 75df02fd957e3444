//! The candidates side by side: a table, a sentence for each, the choice, the wishes.

use document::{Block, Column, Row, Section, Table};
use plan::{Entry, Plan};

use crate::about::About;
use crate::compare::{ORDER, side_by_side};
use crate::pictures::Pictures;
use crate::shown::Shown;
use crate::{finding, open, parts};

/// The choice, as a section of the page.
pub(crate) fn section(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Block> {
    let mut blocks = vec![Block::say(why_shown(shown))];
    blocks.extend(side_by_side(
        &shown.material.comparison.entries,
        Some(shown.material.shown),
    ));
    blocks.push(Block::remark(ORDER));
    blocks.extend(wishes(shown));
    blocks.extend(pictures.block("comparison.svg"));
    blocks
}

/// So many of what is left to decide fit on one sheet with the rest.
const DECIDE: usize = 9;

/// What whoever buys needs, on one sheet: the choice, the boards side by side, what is left to decide, what to buy.
pub(crate) fn sheet(shown: &Shown<'_>) -> Vec<Section> {
    let mut boards = vec![Block::say(why_shown(shown))];
    boards.extend(side_by_side(
        &shown.material.comparison.entries,
        Some(shown.material.shown),
    ));
    boards.extend(wishes_in_words(shown));
    vec![
        Section::new("Boards", boards).at("boards"),
        Section::new(
            "Left to decide",
            open::first(shown.plan, &shown.chances(), DECIDE),
        )
        .at("decide"),
        Section::new("What to buy", parts::bill(shown)).at("buy"),
    ]
}

/// Which board, what it costs, which wishes it leaves unmet, what to look at first.
///
/// `points` says how many open points are told; the rest is in the report.
pub(crate) fn choice(plan: &Plan<'_>, entry: &Entry, points: usize) -> Section {
    let price = entry.price.map_or_else(
        || "at a price that nobody stated".to_owned(),
        |price| format!("for {price} with all parts"),
    );
    let lost = if entry.wishes_lost.is_empty() {
        "It meets every wish.".to_owned()
    } else {
        format!("It leaves unmet: {}.", entry.wishes_lost.join(", "))
    };
    let work = format!(
        "About {} min of work on cables; {}.",
        entry.minutes, plan.optimum.proof
    );
    let mut blocks = vec![Block::say(lost), Block::say(work)];
    if points > 0 {
        blocks.extend(finding::first(&About::of(plan, None), points));
    }
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

/// The wishes that the board meets, and those that it does not, each with its weight.
fn wishes_in_words(shown: &Shown<'_>) -> Option<Block> {
    let of = |wanted: bool| {
        let wishes = shown.swap.wishes.iter().zip(&shown.plan.served);
        let named = wishes.filter(|(_, served)| **served == wanted);
        let named = named.map(|(wish, _)| format!("{} ({})", wish.name, wish.weight));
        let words = named.collect::<Vec<_>>().join(", ");
        if words.is_empty() {
            "none".to_owned()
        } else {
            words
        }
    };
    let said = format!("Wishes met: {}. Not met: {}.", of(true), of(false));
    (!shown.swap.wishes.is_empty()).then(|| Block::say(said))
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

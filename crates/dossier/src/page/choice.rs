//! The choice: ranking with a sentence for each board, the picture, the wishes.

use maud::{Markup, html};
use plan::Entry;

use super::table::{cards, numbers, text, words};
use super::{Pictures, picture};
use crate::shown::Shown;
use crate::words::{sentence, share, uncapital};

pub(super) fn choice(shown: &Shown<'_>, pictures: &Pictures) -> Markup {
    let entries = &shown.material.comparison.entries;
    html! {
        p { (why_shown(shown)) }
        div class="beside" {
        ol class="ranking" {
            @for entry in entries {
                li {
                    strong { (entry.board) }
                    @if entry.candidate == shown.material.shown { " (this page)" }
                    ": " (sentence(&entry.because))
                }
            }
        }
        (wishes(shown))
        }
        (picture(&pictures.comparison, ""))
        (table(shown, entries))
        p class="small quiet" {
            "Pareto front: no other board is better in one of these respects without being worse in another. \
             Order: boards without blockers first, then by wishes served, price, cautions and work."
        }
    }
}

fn why_shown(shown: &Shown<'_>) -> String {
    let board = &shown.plan.board.name;
    let best = shown.material.comparison.entries.first();
    let is_best = best.is_some_and(|best| best.candidate == shown.material.shown);
    match (shown.swap.choice == Some(shown.material.shown), is_best) {
        (true, true) => format!("{board} was chosen, and it is the best of the comparison."),
        (true, false) => {
            format!("{board} was chosen by whoever keeps this swap; the comparison puts another board first.")
        }
        (false, true) => format!("{board} is the best of the comparison. Nobody has chosen yet."),
        (false, false) => format!("This page is about {board}; the comparison puts another board first."),
    }
}

fn table(shown: &Shown<'_>, entries: &[Entry]) -> Markup {
    let columns = [
        words("Board"),
        numbers("Blockers"),
        numbers("Cautions"),
        numbers("Wishes"),
        numbers("Price with parts"),
        numbers("Settings"),
        numbers("Work on leads"),
        words("Tightest limits that hold"),
        words("Pareto front"),
    ];
    let rows: Vec<Vec<Markup>> = entries
        .iter()
        .map(|entry| {
            vec![
                text(&entry.board),
                text(entry.blockers.to_string()),
                text(entry.cautions.to_string()),
                text(format!("{} of {}", entry.wishes.0, entry.wishes.1)),
                text(
                    entry
                        .price
                        .map_or_else(|| "not stated".to_owned(), |price| price.to_string()),
                ),
                text(entry.settings.to_string()),
                text(format!("{} min", entry.minutes)),
                room(shown, entry),
                text(if entry.pareto { "yes" } else { "no" }),
            ]
        })
        .collect();
    cards("The candidates, best first", &columns, &rows, None)
}

/// The tightest limits; for the board of this page they lead to the findings.
fn room(shown: &Shown<'_>, entry: &Entry) -> Markup {
    if entry.tightest.is_empty() {
        return text("no limit");
    }
    html! {
        @for tight in &entry.tightest {
            @let anchor = Some(tight.finding.as_str())
                .filter(|_| entry.candidate == shown.material.shown)
                .and_then(|id| shown.anchor_of(id));
            div {
                (share(tight.margin)) " "
                @match anchor {
                    Some(anchor) => { a href=(format!("#{anchor}")) { (uncapital(tight.title)) } }
                    None => { (uncapital(tight.title)) }
                }
            }
        }
    }
}

fn wishes(shown: &Shown<'_>) -> Markup {
    let wishes = &shown.swap.wishes;
    if wishes.is_empty() {
        return html! {};
    }
    let columns = [words("Wish"), numbers("Worth"), words("Served")];
    let rows: Vec<Vec<Markup>> = wishes
        .iter()
        .zip(&shown.plan.served)
        .map(|(wish, served)| {
            vec![
                text(&wish.name.value),
                text(wish.value.to_string()),
                text(if *served { "yes" } else { "no" }),
            ]
        })
        .collect();
    html! {
        div {
            h3 class="top" { "Wishes on " (shown.plan.board.name) }
            (cards("", &columns, &rows, None))
        }
    }
}

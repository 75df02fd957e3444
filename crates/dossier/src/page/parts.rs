//! The shopping list.

use maud::{Markup, html};

use super::table::{cards, numbers, text, words};
use crate::shown::Shown;

pub(super) fn parts(shown: &Shown<'_>) -> Markup {
    let shopping = &shown.entry.shopping;
    let columns = [
        words("Part"),
        numbers("Count"),
        numbers("Each"),
        numbers("Together"),
        words("For"),
    ];
    let price = |price: Option<quantity::Price>| {
        text(price.map_or_else(|| "not stated".to_owned(), |price| price.to_string()))
    };
    let rows: Vec<Vec<Markup>> = shopping
        .lines
        .iter()
        .map(|line| {
            vec![
                text(&line.name),
                text(line.count.to_string()),
                price(line.each),
                price(line.each.map(|each| each.times(line.count))),
                text(&line.purpose),
            ]
        })
        .collect();
    let foot = vec![text("Sum"), text(""), text(""), price(shopping.sum), text("")];
    html! {
        (cards("", &columns, &rows, Some(foot)))
        @if !shopping.not_summed.is_empty() {
            p { "Not in the sum, since no price in the currency of the board is known: " (shopping.not_summed.join(", ")) "." }
        }
        p class="small quiet" {
            "Prices are those of the files of the swap, else guesses of the catalogue that comes with Boardswap."
        }
    }
}

//! The shopping list.

use document::{Block, Cell, Column, Row, Table};
use quantity::Price;

use crate::shown::Shown;

/// What to buy, with the sum.
pub(crate) fn parts(shown: &Shown<'_>) -> Vec<Block> {
    let shopping = &shown.entry.shopping;
    let price = |price: Option<Price>| {
        Cell::from(price.map_or_else(|| "not stated".to_owned(), |price| price.to_string()))
    };
    let rows = shopping.lines.iter().map(|line| {
        Row::of([
            Cell::from(&line.name),
            line.count.to_string().into(),
            price(line.each),
            price(line.each.map(|each| each.times(line.count))),
            Cell::from(&line.purpose),
        ])
    });
    let columns = [
        Column::text("Part"),
        Column::number("Count"),
        Column::number("Each"),
        Column::number("Together"),
        Column::text("For"),
    ];
    let none = Cell::default;
    let table = Table {
        foot: vec![Cell::from("Sum"), none(), none(), price(shopping.sum), none()],
        ..Table::new(columns, rows)
    };
    let mut blocks = vec![table.into()];
    if !shopping.not_summed.is_empty() {
        let names = shopping.not_summed.join(", ");
        blocks.push(Block::say(format!(
            "Not in the sum, since no price in the currency of the board is known: {names}."
        )));
    }
    blocks.push(Block::remark(
        "Prices are those of the files of the swap, else guesses of the catalogue that comes with Boardswap.",
    ));
    blocks
}

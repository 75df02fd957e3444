//! A table of JSON lines: a column for each key.

use super::rows::Rows;
use super::{Cell, Column, Table, lines};
use crate::read::json::{Flat, flat};
use crate::read::number::{Numeral, numeral};
use crate::read::troubles::Troubles;

pub(super) fn table(bytes: &[u8], troubles: &mut Troubles) -> Table {
    // Which columns there are only the last line tells: the lines are gone through twice.
    let mut keys: Vec<String> = Vec::new();
    for (number, line) in lines(bytes) {
        match flat(line) {
            Ok(pairs) => {
                for (key, _) in pairs {
                    if !keys.contains(&key) {
                        keys.push(key);
                    }
                }
            }
            Err(what) => troubles.lose(number, &what),
        }
    }
    let mut rows = Rows::of_width(keys.len());
    for (number, line) in lines(bytes) {
        let Ok(pairs) = flat(line) else { continue };
        let mut cells = vec![Cell::Missing; keys.len()];
        for (key, value) in &pairs {
            if let Some(at) = keys.iter().position(|own| own == key) {
                cells[at] = cell(value);
            }
        }
        // As wide as all keys, so that none is refused.
        let _ = rows.push(number, cells.into_iter());
    }
    Table {
        columns: keys.iter().map(|key| Column::of(key)).collect(),
        rows,
        ..Table::default()
    }
}

fn cell(value: &Flat) -> Cell<'_> {
    match value {
        Flat::Number(number) => Cell::Number(*number),
        Flat::Missing => Cell::Missing,
        // Some programs write every value in quotes.
        Flat::Text(text) => match numeral(text.trim().as_bytes(), b'.') {
            Numeral::Number(number) => Cell::Number(number),
            _ => Cell::Text(text),
        },
    }
}

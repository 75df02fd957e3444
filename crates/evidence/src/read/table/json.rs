//! A table of JSON lines: a column for each key.

use super::{Cell, Column, Record, Table};
use crate::read::json::{Flat, flat};
use crate::read::number::{Numeral, numeral};
use crate::read::troubles::Troubles;

pub(super) fn table(lines: &[(u64, &[u8])], troubles: &mut Troubles) -> Table {
    let mut table = Table::default();
    let mut keys: Vec<String> = Vec::new();
    for (number, line) in lines {
        let pairs = match flat(line) {
            Ok(pairs) => pairs,
            Err(what) => {
                troubles.add(*number, &what);
                continue;
            }
        };
        let mut cells = vec![Cell::Missing; keys.len()];
        for (key, value) in pairs {
            let at = keys.iter().position(|own| *own == key).unwrap_or_else(|| {
                keys.push(key);
                cells.push(Cell::Missing);
                keys.len() - 1
            });
            cells[at] = cell(value);
        }
        table.rows.push(Record { line: *number, cells });
    }
    for row in &mut table.rows {
        row.cells.resize(keys.len(), Cell::Missing);
    }
    table.columns = keys.iter().map(|key| Column::of(key)).collect();
    table
}

fn cell(value: Flat) -> Cell {
    match value {
        Flat::Number(number) => Cell::Number(number),
        Flat::Missing => Cell::Missing,
        // Some programs write every value in quotes.
        Flat::Text(text) => match numeral(text.trim().as_bytes(), b'.') {
            Numeral::Number(number) => Cell::Number(number),
            _ => Cell::Text(text),
        },
    }
}

//! A table of separated values: its head, if it has one, and its rows.

use super::{Cell, Column, Record, Table};
use crate::read::cells::{Writing, other_count, text};
use crate::read::number::{Numeral, numeral};
use crate::read::troubles::Troubles;

pub(super) fn table(lines: &[(u64, &[u8])], troubles: &mut Troubles) -> Table {
    let sample: Vec<&[u8]> = lines.iter().take(200).map(|(_, line)| *line).collect();
    let writing = Writing::of(&sample);
    let (head, rows) = match lines.split_first() {
        Some(((_, first), rest)) if is_head(first, rest, writing) => (Some(*first), rest),
        _ => (None, lines),
    };
    let columns = match head {
        Some(head) => writing.cells(head).map(|cell| Column::of(&text(cell))).collect(),
        None => without_names(rows, writing),
    };
    let mut table = Table {
        columns,
        ..Table::default()
    };
    for (line, row) in rows {
        match cells(row, head, writing, table.columns.len()) {
            Ok(cells) => table.rows.push(Record { line: *line, cells }),
            Err(what) => troubles.add(*line, &what),
        }
    }
    table
}

/// Whether the first line is a head: one word among numbers is a value that cannot be read, or a name in the first column.
fn is_head(first: &[u8], rest: &[(u64, &[u8])], writing: Writing) -> bool {
    let is_word = |cell: &&[u8]| numeral(cell, writing.decimal) == Numeral::Other;
    let words = writing.cells(first).filter(is_word).count();
    let rest_is_numbers = rest
        .first()
        .is_some_and(|(_, next)| writing.cells(next).filter(is_word).count() < words);
    words == writing.cells(first).count() || words > 0 && rest_is_numbers
}

/// As many columns as the widest row has cells.
fn without_names(rows: &[(u64, &[u8])], writing: Writing) -> Vec<Column> {
    let counts = rows.iter().map(|(_, line)| writing.cells(line).count());
    vec![Column::of(""); counts.max().unwrap_or(0)]
}

/// The cells of a row, or what is wrong with it.
fn cells(row: &[u8], head: Option<&[u8]>, writing: Writing, columns: usize) -> Result<Vec<Cell>, String> {
    if head == Some(row) {
        return Err("the head again: several files in one? Their rows are taken as one file".to_owned());
    }
    let cell = |cell| match numeral(cell, writing.decimal) {
        Numeral::Number(number) => Cell::Number(number),
        Numeral::Missing => Cell::Missing,
        Numeral::Other => Cell::Text(text(cell)),
    };
    let cells: Vec<Cell> = writing.cells(row).map(cell).collect();
    if cells.len() == columns {
        return Ok(cells);
    }
    let commas = writing.separator == b',' && cells.len() > columns;
    Err(other_count(cells.len(), columns, commas))
}

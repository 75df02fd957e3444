//! A table of separated values: its head, if it has one, and its rows.

use std::borrow::Cow;

use super::rows::Rows;
use super::{Cell, Column, Table, lines};
use crate::read::cells::{Writing, other_count, text};
use crate::read::columns::is_unit;
use crate::read::number::{Numeral, numeral};
use crate::read::troubles::Troubles;

pub(super) fn table(bytes: &[u8], troubles: &mut Troubles) -> Table {
    let sample: Vec<&[u8]> = lines(bytes).take(200).map(|(_, line)| line).collect();
    let writing = Writing::of(&sample);
    let preface = writing.preface(&sample);
    let sample = &sample[preface..];
    let head = match sample[..] {
        [first, ref rest @ ..] if is_head(first, rest.first().copied(), writing) => Some(first),
        _ => None,
    };
    let mut columns: Vec<Column> = match head {
        Some(head) => writing.cells(head).map(|cell| Column::of(&text(cell))).collect(),
        None => without_names(bytes, writing),
    };
    let units = match sample[..] {
        [_, second, ..] if head.is_some() => units(second, writing, columns.len()),
        _ => None,
    };
    for (column, unit) in columns.iter_mut().zip(units.iter().flatten()) {
        if column.unit.is_none() {
            column.unit = unit.clone();
        }
    }
    for (line, _) in lines(bytes).take(preface) {
        troubles.add(line, "a line before the table");
    }
    let begin = preface + usize::from(head.is_some()) + usize::from(units.is_some());
    let mut rows = Rows::of_width(columns.len());
    for (line, row) in lines(bytes).skip(begin) {
        if head == Some(row) {
            troubles.add(
                line,
                "the head again: several files in one? Their rows are taken as one file",
            );
            continue;
        }
        let texts: Vec<(Numeral, Cow<'_, str>)> =
            writing.cells(row).map(|cell| read(cell, writing)).collect();
        let cells = texts.iter().map(|(numeral, text)| match numeral {
            Numeral::Number(number) => Cell::Number(*number),
            Numeral::Missing => Cell::Missing,
            Numeral::Other => Cell::Text(text),
        });
        if let Err(count) = rows.push(line, cells) {
            let commas = writing.separator == b',' && count > columns.len();
            troubles.lose(line, &other_count(count, columns.len(), commas));
        }
    }
    Table {
        columns,
        rows,
        ..Table::default()
    }
}

/// A cell, with its text where it is no number.
fn read(cell: &[u8], writing: Writing) -> (Numeral, Cow<'_, str>) {
    match numeral(cell, writing.decimal) {
        Numeral::Other => (Numeral::Other, Cow::Owned(text(cell))),
        known => (known, Cow::Borrowed("")),
    }
}

/// The units of a second line that holds nothing else: each column's, or nothing for a column without one.
fn units(line: &[u8], writing: Writing, columns: usize) -> Option<Vec<Option<String>>> {
    let cells: Vec<String> = writing.cells(line).map(text).collect();
    let of = |cell: &String| {
        let bare = cell
            .trim()
            .trim_start_matches(['(', '['])
            .trim_end_matches([')', ']']);
        match bare {
            "" | "-" => Some(None),
            unit => is_unit(unit).then(|| Some(unit.to_owned())),
        }
    };
    let units: Option<Vec<Option<String>>> = cells.iter().map(of).collect();
    units.filter(|units| units.len() == columns && units.iter().any(Option::is_some))
}

/// Whether the first line is a head: one word among numbers is a value that cannot be read, or a name in the first column.
fn is_head(first: &[u8], next: Option<&[u8]>, writing: Writing) -> bool {
    let is_word = |cell: &&[u8]| numeral(cell, writing.decimal) == Numeral::Other;
    let words = writing.cells(first).filter(is_word).count();
    let rest_is_numbers = next.is_some_and(|next| writing.cells(next).filter(is_word).count() < words);
    words == writing.cells(first).count() || words > 0 && rest_is_numbers
}

/// As many columns as the widest row has cells.
fn without_names(bytes: &[u8], writing: Writing) -> Vec<Column> {
    let counts = lines(bytes).map(|(_, line)| writing.cells(line).count());
    vec![Column::of(""); counts.max().unwrap_or(0)]
}

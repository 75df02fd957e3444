//! A small file as a table: columns with names and units, rows with their lines.

use super::cells::{Writing, cells, is_remark, text, text_only};
use super::columns::{name_and_unit, words};
use super::json::{Flat, flat, is_object};
use super::lines::Lines;
use super::number::{Numeral, numeral};
use super::troubles::Troubles;
use crate::{Refused, Trouble};

/// A table that was read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// The columns; without a head they have no name.
    pub columns: Vec<Column>,
    /// The rows that could be read; each has as many cells as there are columns.
    pub rows: Vec<Record>,
    /// What could not be read.
    pub troubles: Vec<Trouble>,
}

/// A column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its name, without unit; empty where the file has no head.
    pub name: String,
    /// Its unit as written.
    pub unit: Option<String>,
}

impl Column {
    /// Whether its name is this, or has this word; small letters.
    #[must_use]
    pub fn has_word(&self, name: &str) -> bool {
        self.name.eq_ignore_ascii_case(name) || words(&self.name).iter().any(|word| word == name)
    }
}

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Its line, from 1.
    pub line: u64,
    /// Its cells.
    pub cells: Vec<Cell>,
}

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Nothing, or a word that says so, such as `NaN`.
    Missing,
    /// A finite number, in the unit of its column.
    Number(f64),
    /// Something else.
    Text(String),
}

impl Cell {
    /// The number, if it is one.
    #[must_use]
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Number(number) => Some(*number),
            _ => None,
        }
    }
    /// The text, if it is one.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        match self {
            Self::Text(text) => Some(text),
            _ => None,
        }
    }
}

impl Table {
    /// The column whose name has one of these words, the first word that is found anywhere; small letters.
    #[must_use]
    pub fn column(&self, names: &[&str]) -> Option<usize> {
        names
            .iter()
            .find_map(|name| self.columns.iter().position(|column| column.has_word(name)))
    }
    /// All columns whose name has this word.
    pub(crate) fn columns_with(&self, name: &str) -> Vec<usize> {
        let columns = self.columns.iter().enumerate();
        columns
            .filter(|(_, column)| column.has_word(name))
            .map(|(at, _)| at)
            .collect()
    }
    /// Whether the file has a head.
    #[must_use]
    pub fn has_head(&self) -> bool {
        self.columns.iter().any(|column| !column.name.is_empty())
    }
    /// The numbers of a column with their lines; rows without one are left out.
    pub fn numbers(&self, column: usize) -> impl Iterator<Item = (u64, f64)> + '_ {
        self.rows
            .iter()
            .filter_map(move |row| Some((row.line, row.cells.get(column)?.number()?)))
    }
}

/// Reads a file of separated values or JSON lines.
///
/// The first line with words in it is the head. Lines that begin with `#` are remarks. A row with too few or too many cells is among the
/// troubles and not in the rows.
///
/// # Errors
/// [`Refused`] where there is no row at all.
pub fn table(bytes: &[u8]) -> Result<Table, Refused> {
    text_only(bytes)?;
    let mut lines: Vec<(u64, &[u8])> = Vec::new();
    let mut troubles = Troubles::default();
    for (number, line) in whole(bytes, &mut troubles) {
        if !is_remark(line) {
            lines.push((number, line));
        }
    }
    let table = match lines.first() {
        Some((_, first)) if is_object(first) => json_table(&lines, &mut troubles),
        _ => separated(&lines, &mut troubles),
    };
    let troubles = troubles.into_inner();
    if table.rows.is_empty() {
        let refused = Refused::new(
            "the file holds no row of values",
            "rows of numbers, separated by comma, semicolon or tab, or one JSON object a line",
        );
        return Err(refused.because_of(troubles));
    }
    Ok(Table { troubles, ..table })
}

/// Lines with their numbers; those that are too long are told.
fn whole<'b>(bytes: &'b [u8], troubles: &mut Troubles) -> Vec<(u64, &'b [u8])> {
    let mut lengths = Vec::new();
    let mut lines = Lines::default();
    let mut take = |line: super::lines::Line<'_>| match line.text {
        Some(_) => lengths.push((line.number, true)),
        None => lengths.push((line.number, false)),
    };
    lines.push(bytes, &mut take);
    lines.finish(&mut take);
    let texts = bytes.split(|byte| *byte == b'\n');
    lengths
        .into_iter()
        .zip(texts)
        .filter_map(|((number, fits), line)| {
            if !fits {
                troubles.add(number, "a line of more than 64 KiB");
                return None;
            }
            let line = line.strip_suffix(b"\r").unwrap_or(line);
            Some((number, line.strip_prefix("\u{feff}".as_bytes()).unwrap_or(line)))
        })
        .collect()
}

fn separated(lines: &[(u64, &[u8])], troubles: &mut Troubles) -> Table {
    let sample: Vec<&[u8]> = lines.iter().take(200).map(|(_, line)| *line).collect();
    let writing = Writing::of(&sample);
    let is_word = |cell: &[u8]| numeral(cell, writing.decimal) == Numeral::Other;
    let head = lines.first().is_some_and(|(_, line)| {
        // One word among numbers is a value that cannot be read, or a name in the first column.
        let words = cells(line, writing.separator)
            .filter(|cell| is_word(cell))
            .count();
        let rest_is_numbers = lines.get(1).is_some_and(|(_, next)| {
            let of_next = cells(next, writing.separator)
                .filter(|cell| is_word(cell))
                .count();
            of_next < words
        });
        let all = cells(line, writing.separator).count();
        words == all || words > 0 && rest_is_numbers
    });
    let mut table = Table::default();
    let mut rows = lines;
    if head && let Some(((_, first), rest)) = lines.split_first() {
        table.columns = writing
            .cells(first)
            .map(|cell| {
                let (name, unit) = name_and_unit(&text(cell));
                Column { name, unit }
            })
            .collect();
        rows = rest;
    }
    if table.columns.is_empty() {
        let widest = rows
            .iter()
            .map(|(_, line)| writing.cells(line).count())
            .max()
            .unwrap_or(0);
        table.columns = vec![
            Column {
                name: String::new(),
                unit: None
            };
            widest
        ];
    }
    for (number, line) in rows {
        if head && lines.first().is_some_and(|(_, first)| first == line) {
            troubles.add(
                *number,
                "the head again: several files in one? Their rows are taken as one file",
            );
            continue;
        }
        let cells: Vec<Cell> = writing
            .cells(line)
            .map(|cell| match numeral(cell, writing.decimal) {
                Numeral::Number(number) => Cell::Number(number),
                Numeral::Missing => Cell::Missing,
                Numeral::Other => Cell::Text(text(cell)),
            })
            .collect();
        if cells.len() != table.columns.len() {
            let hint = if writing.separator == b',' && cells.len() > table.columns.len() {
                "; decimal commas? save the file with semicolons"
            } else {
                ""
            };
            let what = format!(
                "{} cells where {} were expected{hint}",
                cells.len(),
                table.columns.len()
            );
            troubles.add(*number, &what);
            continue;
        }
        table.rows.push(Record { line: *number, cells });
    }
    table
}

fn json_table(lines: &[(u64, &[u8])], troubles: &mut Troubles) -> Table {
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
            cells[at] = match value {
                Flat::Number(number) => Cell::Number(number),
                Flat::Missing => Cell::Missing,
                // Some programs write every value in quotes.
                Flat::Text(text) => match numeral(text.trim().as_bytes(), b'.') {
                    Numeral::Number(number) => Cell::Number(number),
                    _ => Cell::Text(text),
                },
            };
        }
        table.rows.push(Record { line: *number, cells });
    }
    for row in &mut table.rows {
        row.cells.resize(keys.len(), Cell::Missing);
    }
    table.columns = keys
        .iter()
        .map(|key| {
            let (name, unit) = name_and_unit(key);
            Column { name, unit }
        })
        .collect();
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_with_a_head_and_a_broken_row() {
        let found = table(b"# invented\nx (mm);y (mm);note\n1,5;2,0;ok\n3;4\n5;NaN;bad\n").unwrap();
        assert_eq!(
            found.columns[0],
            Column {
                name: "x".into(),
                unit: Some("mm".into())
            }
        );
        assert_eq!(found.column(&["y"]), Some(1));
        assert_eq!(found.rows.len(), 2);
        assert_eq!(
            found.rows[0].cells,
            [Cell::Number(1.5), Cell::Number(2.0), Cell::Text("ok".into())]
        );
        assert_eq!(found.rows[1].cells[1], Cell::Missing);
        assert_eq!(found.troubles, [Trouble::at(4, "2 cells where 3 were expected")]);
        assert_eq!(found.numbers(1).collect::<Vec<_>>(), [(3, 2.0)]);
    }

    #[test]
    fn a_table_without_a_head_and_one_of_json() {
        let found = table(b"1,2\n3,4\n").unwrap();
        assert!(!found.has_head() && found.columns.len() == 2 && found.rows.len() == 2);
        let found = table(b"{\"a\": 1, \"b\": {\"c\": null}}\n{\"b\": {\"c\": 2}}\nno\n").unwrap();
        assert_eq!(
            found.columns.iter().map(|c| c.name.as_str()).collect::<Vec<_>>(),
            ["a", "b.c"]
        );
        assert_eq!(found.rows[1].cells, [Cell::Missing, Cell::Number(2.0)]);
        let quoted = table(b"{\"a\": \"1.5\", \"b\": \"1,5\"}\n").unwrap();
        assert_eq!(
            quoted.rows[0].cells,
            [Cell::Number(1.5), Cell::Text("1,5".into())]
        );
        assert_eq!(found.troubles[0].line, Some(3));
    }

    #[test]
    fn nothing_is_refused() {
        assert!(table(b"").is_err());
        assert!(table(b"# only a remark\n\n").is_err());
        assert!(table(b"x,y\n").is_err());
    }
}

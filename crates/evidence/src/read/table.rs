//! A small file as a table: columns with names and units, rows with their lines.
//!
//! Small is what it mostly is. A large one is kept as numbers side by side, eight bytes a cell, and each different text once.

mod json;
mod labelled;
mod rows;
mod separated;

pub use rows::{Cell, Cells, Record};

use super::cells::{DECIMAL_COMMAS, is_remark};
use super::coding::{plain, text_only};
use super::columns::{name_and_unit, words};
use super::json::is_object;
use super::lines::LONGEST;
use super::troubles::Troubles;
use crate::{Refused, Trouble};
use rows::Rows;

/// A table that was read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// The columns; without a head they have no name.
    pub columns: Vec<Column>,
    rows: Rows,
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
    /// From a head such as `height (mm)`.
    fn of(head: &str) -> Self {
        let (name, unit) = name_and_unit(head);
        Self { name, unit }
    }
    /// Whether its name is this, or has this word; small letters.
    #[must_use]
    pub fn has_word(&self, name: &str) -> bool {
        self.name.eq_ignore_ascii_case(name) || words(&self.name).iter().any(|word| word == name)
    }
}

impl Table {
    /// The rows that could be read; each has as many cells as there are columns.
    pub fn rows(&self) -> impl ExactSizeIterator<Item = Record<'_>> {
        self.rows.iter()
    }
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
        self.rows()
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
    let bytes = &*super::turned(bytes);
    text_only(bytes)?;
    let mut troubles = Troubles::default();
    for (number, line) in numbered(bytes) {
        if line.len() > LONGEST {
            troubles.lose(number, "a line of more than 64 KiB");
        }
    }
    let table = match lines(bytes).next() {
        Some((_, first)) if is_object(first) => json::table(bytes, &mut troubles),
        _ => labelled::table(bytes, &mut troubles).unwrap_or_else(|| separated::table(bytes, &mut troubles)),
    };
    let troubles = troubles.into_inner();
    if table.rows().len() == 0 && troubles.iter().any(|own| own.what.contains(DECIMAL_COMMAS)) {
        let refused = Refused::new(
            "the rows have more cells than the head: the comma seems to be a decimal sign and a separator both",
            "save the file with semicolons between the cells, or with decimal points",
        );
        return Err(refused.because_of(troubles));
    }
    if table.rows().len() == 0 {
        let refused = Refused::new(
            "the file holds no row of values",
            "rows of numbers, separated by comma, semicolon or tab, or one JSON object a line",
        );
        return Err(refused.because_of(troubles));
    }
    Ok(Table { troubles, ..table })
}

/// All lines with their numbers, from 1.
fn numbered(bytes: &[u8]) -> impl Iterator<Item = (u64, &[u8])> {
    let ends = memchr::memchr_iter(b'\n', bytes).chain([bytes.len()]);
    let mut from = 0;
    (1..).zip(ends.map(move |end| {
        let line = &bytes[from..end];
        from = end + 1;
        line
    }))
}

/// Those that hold values, or a head.
fn lines(bytes: &[u8]) -> impl Iterator<Item = (u64, &[u8])> {
    numbered(bytes)
        .filter(|(_, line)| line.len() <= LONGEST)
        .map(|(number, line)| (number, plain(line)))
        .filter(|(_, line)| !is_remark(line))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(table: &Table, row: usize) -> Vec<Cell<'_>> {
        table.rows().nth(row).unwrap().cells.iter().collect()
    }

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
        assert_eq!(found.rows().len(), 2);
        assert_eq!(
            cells(&found, 0),
            [Cell::Number(1.5), Cell::Number(2.0), Cell::Text("ok")]
        );
        assert_eq!(cells(&found, 1)[1], Cell::Missing);
        assert_eq!(
            found.troubles,
            [Trouble::lost(4, "2 cells where 3 were expected")]
        );
        assert_eq!(found.numbers(1).collect::<Vec<_>>(), [(3, 2.0)]);
    }

    #[test]
    fn a_table_without_a_head_and_one_of_json() {
        let found = table(b"1,2\n3,4\n").unwrap();
        assert!(!found.has_head() && found.columns.len() == 2 && found.rows().len() == 2);
        let found = table(b"{\"a\": 1, \"b\": {\"c\": null}}\n{\"b\": {\"c\": 2}}\nno\n").unwrap();
        assert_eq!(
            found.columns.iter().map(|c| c.name.as_str()).collect::<Vec<_>>(),
            ["a", "b.c"]
        );
        assert_eq!(cells(&found, 1), [Cell::Missing, Cell::Number(2.0)]);
        let quoted = table(b"{\"a\": \"1.5\", \"b\": \"1,5\"}\n").unwrap();
        assert_eq!(cells(&quoted, 0), [Cell::Number(1.5), Cell::Text("1,5")]);
        assert_eq!(found.troubles[0].line, Some(3));
    }

    #[test]
    fn nothing_is_refused() {
        assert!(table(b"").is_err());
        assert!(table(b"# only a remark\n\n").is_err());
        assert!(table(b"x,y\n").is_err());
    }
}

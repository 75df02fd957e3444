//! The rows of a table, in little memory: numbers side by side, texts apart, each different one once.

use std::collections::BTreeMap;

/// All rows.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Rows {
    width: usize,
    /// The line of each row.
    lines: Vec<u64>,
    /// Row after row; NaN where there is no number.
    numbers: Vec<f64>,
    /// Places among the cells that hold a text, in their order, with the place of the text.
    texts: Vec<(usize, usize)>,
    different: Vec<String>,
    /// Where each of them stands.
    known: BTreeMap<String, usize>,
}

/// A row.
#[derive(Clone, Copy, Debug)]
pub struct Record<'t> {
    /// Its line, from 1.
    pub line: u64,
    /// Its cells.
    pub cells: Cells<'t>,
}

/// The cells of a row.
#[derive(Clone, Copy, Debug)]
pub struct Cells<'t> {
    rows: &'t Rows,
    from: usize,
}

/// A cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cell<'t> {
    /// Nothing, or a word that says so, such as `NaN`.
    Missing,
    /// A finite number, in the unit of its column.
    Number(f64),
    /// Something else.
    Text(&'t str),
}

impl<'t> Cell<'t> {
    /// The number, if it is one.
    #[must_use]
    pub fn number(self) -> Option<f64> {
        match self {
            Self::Number(number) => Some(number),
            _ => None,
        }
    }
    /// The text, if it is one.
    #[must_use]
    pub fn text(self) -> Option<&'t str> {
        match self {
            Self::Text(text) => Some(text),
            _ => None,
        }
    }
}

impl<'t> Cells<'t> {
    /// The cell under a column; nothing where there is no such column.
    #[must_use]
    pub fn get(self, column: usize) -> Option<Cell<'t>> {
        (column < self.rows.width).then(|| self.rows.cell(self.from + column))
    }
    /// All of them, in the order of the columns.
    pub fn iter(self) -> impl Iterator<Item = Cell<'t>> {
        (0..self.rows.width).map(move |column| self.rows.cell(self.from + column))
    }
}

impl Rows {
    pub fn of_width(width: usize) -> Self {
        Self {
            width,
            ..Self::default()
        }
    }

    pub fn iter(&self) -> impl ExactSizeIterator<Item = Record<'_>> {
        self.lines.iter().enumerate().map(|(row, line)| Record {
            line: *line,
            cells: Cells {
                rows: self,
                from: row * self.width,
            },
        })
    }

    fn cell(&self, at: usize) -> Cell<'_> {
        let number = self.numbers[at];
        if !number.is_nan() {
            return Cell::Number(number);
        }
        match self.texts.binary_search_by_key(&at, |(place, _)| *place) {
            Ok(found) => Cell::Text(&self.different[self.texts[found].1]),
            Err(_) => Cell::Missing,
        }
    }

    /// Adds a row; one of another width is not kept, and its width comes back.
    pub fn push<'c>(&mut self, line: u64, cells: impl Iterator<Item = Cell<'c>>) -> Result<(), usize> {
        let (numbers, texts) = (self.numbers.len(), self.texts.len());
        for cell in cells {
            if let Cell::Text(text) = cell {
                let place = self.place(text);
                self.texts.push((self.numbers.len(), place));
            }
            self.numbers.push(cell.number().unwrap_or(f64::NAN));
        }
        let width = self.numbers.len() - numbers;
        if width != self.width {
            self.numbers.truncate(numbers);
            self.texts.truncate(texts);
            return Err(width);
        }
        self.lines.push(line);
        Ok(())
    }

    fn place(&mut self, text: &str) -> usize {
        if let Some(known) = self.known.get(text) {
            return *known;
        }
        let place = self.different.len();
        self.different.push(text.to_owned());
        self.known.insert(text.to_owned(), place);
        place
    }
}

//! Columns of a table found by words of their heads, and cells of a row turned into quantities; what could not be is told.

use quantity::si::Time;
use quantity::{AnyValue, Number, Quantity};

use super::Rows;
use super::plausible::Reach;
use crate::read::number::{Numeral, numeral};
use crate::read::{Cell, Record, Records, Stamp, listed, stamp};
use crate::{Refused, Trouble};

/// Columns of a table by their words.
pub(super) struct Columns<'t> {
    pub table: &'t Records,
    pub troubles: Vec<Trouble>,
    clock: Clock,
}

/// A column with the unit of its numbers.
#[derive(Clone)]
pub(super) struct Quantities {
    at: usize,
    pub name: String,
    unit: String,
}

/// Why a cell gives no quantity.
#[derive(Clone, Copy)]
enum Unread {
    Blank,
    Text,
    Beyond(Reach),
}

/// A clock that begins anew at midnight.
#[derive(Default)]
struct Clock {
    last: f64,
    shift: f64,
}

const DAY: f64 = 86_400.0;

impl<'t> Columns<'t> {
    /// The columns of a table; `order` is that of a file without a head.
    pub fn of(table: &'t Records, order: &[&str]) -> Result<Self, Refused> {
        let mut troubles = table.troubles.clone();
        if !table.has_head() {
            let count = table.columns.len();
            if count > order.len() {
                return Err(Refused::new(
                    format!("{count} columns without a head: nobody can tell which is which"),
                    format!("a first line with names, such as {}", quoted(order)),
                ));
            }
            let taken = quoted(&order[..count]);
            troubles.push(Trouble::of_all(format!(
                "the file has no head: its columns were taken as {taken}"
            )));
        }
        Ok(Self::told(table, troubles))
    }

    /// The columns of a table whose head was understood otherwise.
    pub fn told(table: &'t Records, troubles: Vec<Trouble>) -> Self {
        Self {
            table,
            troubles,
            clock: Clock::default(),
        }
    }

    /// What is read of each row; nothing of those that are left out.
    pub fn each<T>(&mut self, mut read: impl FnMut(&mut Self, &Record<'_>) -> Option<T>) -> Vec<T> {
        let table = self.table;
        table.rows().filter_map(|row| read(self, &row)).collect()
    }

    /// The same, with what is told of all.
    pub fn rows<T>(mut self, read: impl FnMut(&mut Self, &Record<'_>) -> Option<T>) -> Rows<T> {
        let out = self.each(read);
        self.read(out)
    }

    /// What was read, with what is told of all; refused where rows were there and none could be read: that is no small measurement but a form that
    /// is not understood.
    pub fn read<T>(self, out: Vec<T>) -> Rows<T> {
        let count = self.table.rows().len();
        let first = self.troubles.iter().find(|trouble| trouble.line.is_some());
        match first {
            Some(first) if out.is_empty() && count > 0 => {
                let rows = if count == 1 {
                    "the one row"
                } else {
                    "any of the rows"
                };
                let what = first.what.split(';').next().unwrap_or_default();
                Err(Refused::new(
                    format!("nothing could be read of {rows}: {what}"),
                    "write one number in each cell under heads that name them, units in brackets in the head",
                )
                .because_of(self.troubles))
            }
            _ => Ok((out, self.troubles)),
        }
    }

    /// A column by its words, or by its place where the file has no head.
    pub fn find(&self, words: &[&str], place: usize) -> Option<usize> {
        if self.table.has_head() {
            return self.table.column(words);
        }
        (place < self.table.columns.len()).then_some(place)
    }

    pub fn need(&self, words: &[&str], place: usize) -> Result<usize, Refused> {
        self.find(words, place).ok_or_else(|| {
            let all = self.table.columns.iter().map(|column| column.name.as_str());
            let there = if self.table.has_head() {
                format!("the columns are {}", listed(all))
            } else {
                format!("the file has no head and {} columns", all.len())
            };
            Refused::new(
                format!("there is no column `{}`", words[0]),
                format!("{there}; a head with one of {} names it", quoted(words)),
            )
            .because_of(self.troubles.clone())
        })
    }

    /// The column that the entry names, else one by its words. Where others answer to the words too, which one was taken is told.
    pub fn chosen(&mut self, channel: Option<&str>, words: &[&str], place: usize) -> Result<usize, Refused> {
        if let Some(channel) = channel {
            return self.need(&[channel], usize::MAX);
        }
        let at = self.need(words, place)?;
        let also = |word: &&str| self.table.columns_with(word);
        let same: Vec<usize> = words
            .iter()
            .find(|word| !also(word).is_empty())
            .map(also)
            .unwrap_or_default();
        if same.len() > 1 {
            let names = same.iter().map(|at| self.table.columns[*at].name.as_str());
            self.troubles.push(Trouble::of_all(format!(
                "{} all answer to `{}`: `{}` was taken; another is named by `channel`",
                listed(names.collect::<Vec<_>>().into_iter()),
                words[0],
                self.table.columns[at].name,
            )));
        }
        Ok(at)
    }

    /// A column of quantities of one kind. A unit that is none of that kind is refused.
    pub fn quantities<Q: Quantity>(&self, at: usize, unit: &str) -> Result<Quantities, Refused> {
        let column = &self.table.columns[at];
        let unit = column.unit.as_deref().unwrap_or(unit);
        let name = self.name(at);
        if AnyValue::in_unit(Q::KIND, 0.0, unit).is_none() {
            return Err(Refused::new(
                format!(
                    "`{unit}` in the head of `{name}` is no unit of a {}",
                    Q::KIND.name()
                ),
                format!("units are {}", Q::KIND.examples()),
            )
            .because_of(self.troubles.clone()));
        }
        Ok(Quantities {
            at,
            name,
            unit: unit.to_owned(),
        })
    }

    /// What a column is called in messages.
    pub fn name(&self, at: usize) -> String {
        let name = &self.table.columns[at].name;
        if name.is_empty() {
            format!("column {}", at + 1)
        } else {
            name.clone()
        }
    }

    pub fn needed<Q: Quantity>(
        &self,
        words: &[&str],
        place: usize,
        unit: &str,
    ) -> Result<Quantities, Refused> {
        self.quantities::<Q>(self.need(words, place)?, unit)
    }

    pub fn optional<Q: Quantity>(
        &self,
        words: &[&str],
        place: usize,
        unit: &str,
    ) -> Result<Option<Quantities>, Refused> {
        self.find(words, place)
            .map(|at| self.quantities::<Q>(at, unit))
            .transpose()
    }

    /// The quantity of a row; a row without it is told, and left out by the caller.
    pub fn value<Q: Quantity>(&mut self, row: &Record<'_>, column: &Quantities) -> Option<Q> {
        let found = value(row, column);
        found
            .map_err(|why| self.unread(row.line, &column.name, why, "the row is left out"))
            .ok()
    }

    /// Two quantities of a row; a row without either is told, and left out by the caller.
    pub fn both<Q: Quantity>(&mut self, row: &Record<'_>, columns: &[Quantities; 2]) -> Option<[Q; 2]> {
        let [one, other] = columns.each_ref().map(|column| self.value(row, column));
        Some([one?, other?])
    }

    /// The same where the row says something without it too.
    pub fn beside<Q: Quantity>(&mut self, row: &Record<'_>, column: Option<&Quantities>) -> Option<Q> {
        let column = column?;
        let found = value(row, column);
        found
            .map_err(|why| self.unread(row.line, &column.name, why, "the row counts without it"))
            .ok()
    }

    /// The same where an empty cell is as good as any: only what cannot be read is told.
    pub fn if_noted<Q: Quantity>(&mut self, row: &Record<'_>, column: Option<&Quantities>) -> Option<Q> {
        let blank =
            column.is_none_or(|column| matches!(row.cells.get(column.at), None | Some(Cell::Missing)));
        if blank { None } else { self.beside(row, column) }
    }

    /// The time of a row: a number in the unit of its column, a clock or a date.
    pub fn time(&mut self, row: &Record<'_>, column: &Quantities) -> Option<Time> {
        let stamped = row
            .cells
            .get(column.at)
            .and_then(Cell::text)
            .and_then(|text| stamp(text.trim().as_bytes()));
        match stamped {
            None => self.value(row, column),
            Some(Stamp::Date(seconds)) => Some(Time::from_base(seconds)),
            Some(Stamp::Clock(seconds)) => {
                if seconds + self.clock.shift < self.clock.last - DAY / 2.0 {
                    self.clock.shift += DAY;
                    self.tell(row.line, "midnight: a day is added from here on");
                }
                self.clock.last = seconds + self.clock.shift;
                Some(Time::from_base(self.clock.last))
            }
        }
    }

    /// A number without a unit of which only the size matters, such as a score.
    pub fn number(&mut self, row: &Record<'_>, at: usize) -> Option<f64> {
        let name = self.name(at);
        let found = plain(row.cells.get(at)).and_then(|number| {
            let reach = Reach::of_numbers();
            reach.holds(number).then_some(number).ok_or(Unread::Beyond(reach))
        });
        found
            .map_err(|why| self.unread(row.line, &name, why, "the row is left out"))
            .ok()
    }

    fn unread(&mut self, line: u64, name: &str, why: Unread, then: &str) {
        let what = match why {
            Unread::Blank | Unread::Text => format!("no number under `{name}`; {then}"),
            Unread::Beyond(reach) => format!(
                "the number under `{name}` is beyond {}: look at its digits, and at the unit in the head; {then}",
                reach.words()
            ),
        };
        if then.ends_with("left out") {
            self.lose(line, what);
        } else {
            self.tell(line, what);
        }
    }

    /// A word of a row out of a list; a row with another is told.
    pub fn word<T: Copy>(&mut self, row: &Record<'_>, at: usize, words: &[(&str, T)]) -> Option<T> {
        let text = label(row, Some(at)).unwrap_or_default().to_lowercase();
        let found = words
            .iter()
            .find(|(word, _)| *word == text)
            .map(|(_, value)| *value);
        if found.is_none() {
            let all: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            let what = if text.is_empty() {
                format!(
                    "nothing under `{}`, which is one of {}",
                    self.name(at),
                    quoted(&all)
                )
            } else {
                format!(
                    "{} is none of {}",
                    listed([text.as_str()].into_iter()),
                    quoted(&all)
                )
            };
            self.lose(row.line, format!("{what}; the row is left out"));
        }
        found
    }

    /// Adds a trouble; equal ones are counted.
    pub fn tell(&mut self, line: u64, what: impl Into<String>) {
        self.add(Trouble::at(line, what));
    }

    /// The same of a row that would have said something about the question.
    pub fn lose(&mut self, line: u64, what: impl Into<String>) {
        self.add(Trouble::lost(line, what));
    }

    fn add(&mut self, own: Trouble) {
        let same = |other: &&mut Trouble| other.what == own.what && other.line.is_some();
        match self.troubles.iter_mut().find(same) {
            Some(same) => same.count += 1,
            None => self.troubles.push(own),
        }
    }
}

pub(super) fn quoted(words: &[&str]) -> String {
    words
        .iter()
        .map(|w| format!("`{w}`"))
        .collect::<Vec<_>>()
        .join(", ")
}

fn plain(cell: Option<Cell<'_>>) -> Result<f64, Unread> {
    match cell {
        Some(Cell::Number(number)) => Ok(number),
        Some(Cell::Text(_)) => Err(Unread::Text),
        Some(Cell::Missing) | None => Err(Unread::Blank),
    }
}

/// Number and unit of a cell such as `20.5 mm`.
fn with_unit(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let begins = |c: char| !(c.is_ascii_digit() || "+-.,\u{2212} ".contains(c));
    let (number, unit) = text.split_at(text.find(begins)?);
    let number = [b'.', b',']
        .iter()
        .find_map(|decimal| match numeral(number.as_bytes(), *decimal) {
            Numeral::Number(number) => Some(number),
            _ => None,
        });
    Some((number?, unit.trim()))
}

fn value<Q: Quantity>(row: &Record<'_>, column: &Quantities) -> Result<Q, Unread> {
    let cell = row.cells.get(column.at);
    let (number, unit) = match cell.and_then(Cell::text).and_then(with_unit) {
        Some(own) => own,
        None => (plain(cell)?, &column.unit[..]),
    };
    let value = AnyValue::in_unit(Q::KIND, number, unit)
        .ok_or(Unread::Text)?
        .nominal;
    let reach = Reach::of(Q::KIND);
    reach
        .holds(value)
        .then(|| Q::from_base(value))
        .ok_or(Unread::Beyond(reach))
}

/// A cell as a name: text as it stands, a number as it is written.
pub(super) fn label(row: &Record<'_>, at: Option<usize>) -> Option<String> {
    match row.cells.get(at?)? {
        Cell::Missing => None,
        Cell::Number(number) => Some(number.to_string()),
        Cell::Text(text) => Some(text.trim().to_owned()).filter(|t| !t.is_empty()),
    }
}

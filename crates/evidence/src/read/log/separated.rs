//! Logs of separated values, with or without a head.

use super::heads::{ChannelLayout, Heads, Role};
use super::layout::{Form, HeadLine};
use super::part::Value;
use super::{Layout, Part, WhatIsKnown};
use crate::Refused;
use crate::read::cells::{Writing, other_count, text};
use crate::read::number::{Numeral, leading, numeral, trimmed};
use crate::read::stamp::stamp;

/// How values are separated, and what each column holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Separated {
    writing: Writing,
    roles: Vec<Role>,
}

/// More values of a row than this are not looked at.
const MOST_VALUES: usize = 32;

pub(super) fn layout(lines: &[HeadLine<'_>], known: WhatIsKnown) -> Result<Layout, Refused> {
    let sample: Vec<&[u8]> = lines.iter().take(200).map(|(_, line)| *line).collect();
    let writing = Writing::of(&sample);
    let is_word =
        |cell: &[u8]| numeral(cell, writing.decimal) == Numeral::Other && stamp(trimmed(cell)).is_none();
    let (first_line, first) = lines[0];
    let mut cells: Vec<&[u8]> = writing.cells(first).collect();
    // A spreadsheet writes separators behind its last column.
    while cells.len() > 1 && cells.last().is_some_and(|cell| trimmed(cell).is_empty()) {
        cells.pop();
    }
    let has_head = cells.iter().any(|cell| is_word(cell));
    let mut heads = if has_head {
        let names: Vec<String> = cells.iter().map(|cell| text(cell)).collect();
        Heads::of(&names, &known)?
    } else {
        without_head(cells.len(), &known)?
    };
    let roles = std::mem::take(&mut heads.roles);
    if let Some(at) = roles.iter().position(|role| *role == Role::Time) {
        let times = lines[usize::from(has_head)..].iter().filter_map(|(_, line)| {
            match numeral(writing.cells(line).nth(at)?, writing.decimal) {
                Numeral::Number(number) => Some(number),
                _ => None,
            }
        });
        heads.tell_untold_time_unit(&times.take(200).collect::<Vec<f64>>());
    }
    Ok(Layout {
        head: has_head.then_some(first_line),
        ..Layout::new(Form::Separated(Separated { writing, roles }), heads, known)
    })
}

fn without_head(count: usize, known: &WhatIsKnown) -> Result<Heads, Refused> {
    if !(2..=4).contains(&count) {
        return Err(Refused::new(
            format!("{count} columns without a head: nobody can tell which is which"),
            "a first line with names, such as `time (s), temperature (°C), target (°C), duty (%)`",
        ));
    }
    let all = [Role::Time, Role::Measured(0), Role::Target(0), Role::Duty(0)];
    let mut heads = Heads::told(all[..count].to_vec(), vec![ChannelLayout::named("", known)]);
    let names = ["time in seconds", "measured", "target", "duty"][..count].join(", ");
    heads
        .remarks
        .push(format!("the file has no head: its columns were taken as {names}"));
    Ok(heads)
}

/// How long the cell is that nobody asks for; nothing where it is quoted, for then a separator may stand in it.
fn skipped(text: &[u8], separator: u8) -> Option<usize> {
    let is_end = |byte: &u8| *byte == separator || *byte == b'\n';
    let length = text.iter().position(is_end).unwrap_or(text.len());
    (!text[..length].contains(&b'"')).then_some(length)
}

impl Separated {
    /// Reads a row.
    pub fn take(&self, part: &mut Part, layout: &Layout, line: u64, text: &[u8]) {
        let mut values = std::mem::take(&mut part.row);
        let time = match self.plain(text, &mut values) {
            Some((time, _)) => Some(time * layout.time_unit),
            None => self.cell_by_cell(part, layout, line, text, &mut values),
        };
        if let Some(time) = time {
            part.row(layout, line, time, &values);
        }
        part.row = values;
    }

    /// Reads the row of plain numbers that a text begins with, and how long it is with its line end; nothing where none begins there whole.
    #[inline]
    pub fn quick(&self, part: &mut Part, layout: &Layout, line: u64, text: &[u8]) -> Option<usize> {
        let mut values = std::mem::take(&mut part.row);
        let found = self.plain(text, &mut values);
        let found = found.filter(|(_, length)| text[..*length].last() == Some(&b'\n'));
        if let Some((time, _)) = found {
            part.row(layout, line, time * layout.time_unit, &values);
        }
        part.row = values;
        found.map(|(_, length)| length)
    }

    /// The time of a row of plain numbers, as nearly all are, in its own unit, and the length of the row with its line end, if it has one; its
    /// other values come into `values`. Nothing where any cell is written in another way: then the row is read once more, with more patience.
    #[inline]
    fn plain(&self, text: &[u8], values: &mut Vec<Value>) -> Option<(f64, usize)> {
        let Writing { separator, decimal } = self.writing;
        if separator == b' ' || self.roles.len() > MOST_VALUES {
            return None;
        }
        values.clear();
        let (mut at, mut time) = (0, f64::NAN);
        let last = self.roles.len() - 1;
        for (column, role) in self.roles.iter().enumerate() {
            let rest = text.get(at..)?;
            let (number, length) = match role {
                Role::Nothing => (f64::NAN, skipped(rest, separator)?),
                _ => leading(rest, decimal)?,
            };
            let end = match rest.get(length..) {
                Some([byte, ..]) if column < last && *byte == separator => 1,
                Some([]) if column == last => 0,
                Some([b'\n', ..]) if column == last => 1,
                Some([b'\r', b'\n', ..]) if column == last => 2,
                _ => return None,
            };
            at += length + end;
            match role {
                Role::Nothing => {}
                Role::Time => time = number,
                role => values.push(Value { role: *role, number }),
            }
        }
        Some((time, at))
    }

    /// The time of a row however its cells are written, NaN where the log has none; nothing where the row cannot be read, which is told.
    #[cold]
    fn cell_by_cell(
        &self,
        part: &mut Part,
        layout: &Layout,
        line: u64,
        text: &[u8],
        values: &mut Vec<Value>,
    ) -> Option<f64> {
        values.clear();
        let (mut cells, mut time) = (0, f64::NAN);
        for cell in self.writing.cells(text) {
            let role = self.roles.get(cells).copied().unwrap_or(Role::Nothing);
            if cells >= self.roles.len() && trimmed(cell).is_empty() {
                continue;
            }
            cells += 1;
            if role == Role::Nothing {
                continue;
            }
            // The cell is named; a broken number may hide others, so the row is left out whole.
            let Some(number) = self.number(part, layout, role, cell) else {
                part.troubles
                    .add(line, &format!("column {cells} holds no number"));
                return None;
            };
            if role == Role::Time {
                time = number * layout.time_unit;
            } else if values.len() < MOST_VALUES {
                values.push(Value { role, number });
            }
        }
        if cells != self.roles.len() {
            let commas = self.writing.separator == b',' && cells == 2 * self.roles.len();
            part.troubles
                .add(line, &other_count(cells, self.roles.len(), commas));
            return None;
        }
        if time.is_nan() && self.roles.contains(&Role::Time) {
            part.troubles.add(line, "no time");
            return None;
        }
        Some(time)
    }

    /// The number of a cell, NaN where it says that there is none; nothing where it is no number.
    #[inline]
    fn number(&self, part: &mut Part, layout: &Layout, role: Role, cell: &[u8]) -> Option<f64> {
        match numeral(cell, self.writing.decimal) {
            Numeral::Number(number) => Some(number),
            Numeral::Missing => Some(f64::NAN),
            Numeral::Other => {
                let found = stamp(trimmed(cell)).filter(|_| role == Role::Time)?;
                Some(part.stamped(found) / layout.time_unit)
            }
        }
    }
}

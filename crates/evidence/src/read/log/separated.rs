//! Logs of separated values, with or without a head.

use super::heads::{ChannelLayout, Heads, Role};
use super::layout::{Form, HeadLine};
use super::part::Value;
use super::{Layout, Part, WhatIsKnown};
use crate::Refused;
use crate::read::cells::{Writing, other_count, text};
use crate::read::columns::{is_unit, listed, name_and_unit};
use crate::read::number::{Numeral, leading, numeral, trimmed};
use crate::read::stamp::stamp;

/// How values are separated, and what each column holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Separated {
    writing: Writing,
    roles: Vec<Role>,
    /// The unit behind the numbers of each column, where one stands in its cells.
    units: Vec<Option<String>>,
}

/// More values of a row than this are not looked at.
const MOST_VALUES: usize = 32;
/// So many lines tell how a log is written.
const LOOKED_AT: usize = 200;

pub(super) fn layout(lines: &[HeadLine<'_>], known: WhatIsKnown) -> Result<Layout, Refused> {
    let sample: Vec<&[u8]> = lines.iter().take(LOOKED_AT).map(|(_, line)| *line).collect();
    let writing = Writing::of(&sample);
    let lines = &lines[writing.preface(&sample)..];
    let is_word =
        |cell: &[u8]| numeral(cell, writing.decimal) == Numeral::Other && stamp(trimmed(cell)).is_none();
    let (first_line, first) = lines[0];
    let mut cells: Vec<&[u8]> = writing.cells(first).collect();
    // A spreadsheet writes separators behind its last column.
    while cells.len() > 1 && cells.last().is_some_and(|cell| trimmed(cell).is_empty()) {
        cells.pop();
    }
    let is_unit_or_number = |cell: &[u8]| !is_word(cell) || unit_behind(cell, writing.decimal).is_some();
    let has_head = cells.iter().any(|cell| !is_unit_or_number(cell));
    let rows = Rows {
        writing,
        lines: lines[usize::from(has_head)..]
            .iter()
            .take(LOOKED_AT)
            .map(|(_, line)| *line)
            .collect(),
    };
    let units: Vec<Option<String>> = (0..cells.len()).map(|column| rows.unit(column)).collect();
    let names: Vec<String> = cells.iter().map(|cell| text(cell)).collect();
    let mut heads = if has_head {
        let with_unit = names.iter().zip(&units).map(|(name, unit)| match unit {
            Some(unit) if name_and_unit(name).1.is_none() => format!("{name} ({unit})"),
            _ => name.clone(),
        });
        Heads::of(&with_unit.collect::<Vec<_>>(), &known)?
    } else {
        without_head(cells.len(), &known)?
    };
    let mut roles = std::mem::take(&mut heads.roles);
    rows.find_time(&mut roles, &names, &mut heads);
    rows.refuse_unread(&roles, &names)?;
    if let Some(at) = roles.iter().position(|role| *role == Role::Time) {
        let times = rows
            .column(at)
            .filter_map(|cell| match numeral(cell, writing.decimal) {
                Numeral::Number(number) => Some(number),
                _ => None,
            });
        heads.tell_untold_time_unit(&times.collect::<Vec<f64>>());
    }
    let form = Form::Separated(Separated {
        writing,
        roles,
        units,
    });
    Ok(Layout {
        head: has_head.then_some(first_line),
        ..Layout::new(form, heads, known)
    })
}

/// Some rows of the head.
struct Rows<'h> {
    writing: Writing,
    lines: Vec<&'h [u8]>,
}

impl<'h> Rows<'h> {
    fn column(&self, at: usize) -> impl Iterator<Item = &'h [u8]> {
        let writing = self.writing;
        self.lines
            .iter()
            .filter_map(move |line| writing.cells(line).nth(at))
    }

    /// The unit that stands behind most numbers of a column.
    fn unit(&self, at: usize) -> Option<String> {
        let with = |cell: &'h [u8]| unit_behind(cell, self.writing.decimal);
        let unit = self.column(at).find_map(with)?;
        let count = self.column(at).count();
        let same = self.column(at).filter(|cell| with(cell) == Some(unit)).count();
        (same * 2 > count).then(|| unit.to_owned())
    }

    /// Time is where most cells are stamps, where no column is named for it or the one that is holds none, such as a date beside its clock.
    fn find_time(&self, roles: &mut [Role], names: &[String], heads: &mut Heads) {
        let holds_times = |at: usize| {
            let cells = self.column(at).filter(|cell| !trimmed(cell).is_empty());
            let is_time = |cell: &&[u8]| {
                matches!(numeral(cell, self.writing.decimal), Numeral::Number(_))
                    || stamp(trimmed(cell)).is_some()
            };
            let (good, bad): (Vec<&[u8]>, Vec<&[u8]>) = cells.partition(is_time);
            good.len() > bad.len()
        };
        let named = roles.iter().position(|role| *role == Role::Time);
        if named.is_some_and(holds_times) {
            return;
        }
        let stamps = |at: &usize| {
            let all = self
                .column(*at)
                .filter(|cell| stamp(trimmed(cell)).is_some())
                .count();
            roles[*at] == Role::Nothing && all * 2 > self.lines.len()
        };
        let Some(at) = (0..roles.len()).find(stamps) else {
            return;
        };
        if let Some(named) = named {
            roles[named] = Role::Nothing;
        }
        roles[at] = Role::Time;
        if let Some(name) = names.get(at) {
            heads
                .remarks
                .push(format!("`{name}` was taken for the time, by its cells"));
        }
    }

    /// Refuses a log of which no row could be read, since one column that is needed holds something else throughout.
    fn refuse_unread(&self, roles: &[Role], names: &[String]) -> Result<(), Refused> {
        if self.lines.len() < 3 {
            return Ok(());
        }
        for (at, role) in roles
            .iter()
            .enumerate()
            .filter(|(_, role)| **role != Role::Nothing)
        {
            let unit = self.unit(at);
            let is_read =
                |cell: &[u8]| cell_number(cell, self.writing.decimal, *role, unit.as_deref()).is_some();
            let mut cells = self.column(at).peekable();
            if cells.peek().is_none() || cells.any(|cell| is_read(cell) || stamp(trimmed(cell)).is_some()) {
                continue;
            }
            let shown = self.column(at).next().map(text).unwrap_or_default();
            let name = names.get(at).filter(|name| !name.is_empty());
            let column = name.map_or_else(|| format!("column {}", at + 1), |name| format!("`{name}`"));
            let (what, mend) = match role {
                Role::Time => (
                    "a time",
                    "write seconds, a clock such as `12:00:01.5`, or a date such as `2026-11-03 12:00:01`",
                ),
                Role::Duty(_) => ("a duty", "write per cent, a share, or `on` and `off`"),
                _ => (
                    "a temperature",
                    "write one number in each cell, its unit in the head",
                ),
            };
            let shown = listed([shown.as_str()].into_iter());
            return Err(Refused::new(
                format!("{column} holds {shown} where {what} was expected"),
                mend,
            ));
        }
        Ok(())
    }
}

/// The unit behind the number of a cell.
fn unit_behind(cell: &[u8], decimal: u8) -> Option<&str> {
    let text = core::str::from_utf8(trimmed(cell)).ok()?;
    let end = text.rfind(|c: char| c.is_ascii_digit())? + 1;
    let (size, unit) = text.split_at(end);
    let is_number = matches!(numeral(size.as_bytes(), decimal), Numeral::Number(_));
    Some(unit.trim()).filter(|unit| is_number && is_unit(unit))
}

/// The number of a cell, NaN where it says that there is none; nothing where it is no number, nor a word for one.
fn cell_number(cell: &[u8], decimal: u8, role: Role, unit: Option<&str>) -> Option<f64> {
    match numeral(cell, decimal) {
        Numeral::Number(number) => return Some(number),
        Numeral::Missing => return Some(f64::NAN),
        Numeral::Other => {}
    }
    let cell = trimmed(cell);
    if let Some(number) = word(cell, role) {
        return Some(number);
    }
    let size = unit.and_then(|unit| cell.strip_suffix(unit.as_bytes()))?;
    match numeral(size, decimal) {
        Numeral::Number(number) => Some(number),
        _ => None,
    }
}

/// What a word stands for: a heater that is off has neither target nor duty, one that is on has all of it.
pub(super) fn word(text: &[u8], role: Role) -> Option<f64> {
    let is = |words: &[&str]| {
        words
            .iter()
            .any(|word| text.eq_ignore_ascii_case(word.as_bytes()))
    };
    match role {
        Role::Target(_) if is(&["off"]) => Some(0.0),
        Role::Duty(_) if is(&["off", "false"]) => Some(0.0),
        Role::Duty(_) if is(&["on", "true"]) => Some(1.0),
        _ => None,
    }
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
            let unit = self.units.get(cells - 1).and_then(Option::as_deref);
            let Some(number) = self.number(part, layout, role, cell, unit) else {
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
    fn number(
        &self,
        part: &mut Part,
        layout: &Layout,
        role: Role,
        cell: &[u8],
        unit: Option<&str>,
    ) -> Option<f64> {
        match numeral(cell, self.writing.decimal) {
            Numeral::Number(number) => Some(number),
            Numeral::Missing => Some(f64::NAN),
            Numeral::Other => {
                let found = stamp(trimmed(cell)).filter(|_| role == Role::Time);
                found
                    .map(|found| part.stamped(found) / layout.time_unit)
                    .or_else(|| cell_number(cell, self.writing.decimal, role, unit))
            }
        }
    }
}

//! How a file of separated values is written, found from its first lines; and a line taken apart.
//!
//! RFC 4180 has commas and quotes; spreadsheets of half the world write semicolons and decimal commas, terminals tabs or blanks.

use super::number::{Numeral, numeral, trimmed};

/// How values are separated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Writing {
    /// `,`, `;`, tab, or a blank for any number of blanks.
    pub separator: u8,
    /// `.` or `,`.
    pub decimal: u8,
}

impl Writing {
    /// Finds it from some lines: the separator that cuts most lines into one same number of cells.
    pub fn of(lines: &[&[u8]]) -> Self {
        let lines: Vec<&[u8]> = lines.iter().copied().filter(|line| !is_remark(line)).collect();
        let separators = [b'\t', b';', b',', b' '];
        let separator = separators
            .into_iter()
            .max_by_key(|separator| {
                // The first of equals in the list is to win, the last one is taken.
                let place = separators.iter().rposition(|own| own == separator).unwrap_or(0);
                (evenness(&lines, *separator), separators.len() - place)
            })
            .unwrap_or(b',');
        let any = |is: fn(&[u8]) -> bool| lines.iter().any(|line| cells(line, separator).any(is));
        // Beside a separating comma a decimal one stands in quotes, where groups of three digits are more likely thousands.
        let comma = if separator == b',' {
            is_short_of_thousands
        } else {
            is_comma_number
        };
        let decimal_comma = any(comma) && !any(is_point_number);
        Self {
            separator,
            decimal: if decimal_comma { b',' } else { b'.' },
        }
    }

    /// How many of the first lines are no part of the table: a title, or what a logger says of itself. They have another number of cells than most lines
    /// have; and the first that has as many is a head, or there is no separator in those before.
    pub fn preface(self, lines: &[&[u8]]) -> usize {
        let count = |line: &[u8]| {
            let mut cells: Vec<&[u8]> = self.cells(line).collect();
            while cells.len() > 1 && cells.last().is_some_and(|cell| trimmed(cell).is_empty()) {
                cells.pop();
            }
            cells.len()
        };
        let mut counts: Vec<usize> = lines.iter().map(|line| count(line)).collect();
        let own = counts.clone();
        counts.sort_unstable();
        let same = counts.chunk_by(|one, other| one == other);
        let Some(usual) = same
            .max_by_key(|same| same.len())
            .filter(|same| same[0] > 1 && same.len() > 2)
        else {
            return 0;
        };
        let first = own.iter().position(|count| *count == usual[0]).unwrap_or(0);
        let is_word = |cell: &[u8]| numeral(cell, self.decimal) == Numeral::Other;
        let is_head = self
            .cells(lines[first])
            .all(|cell| is_word(cell) || trimmed(cell).is_empty());
        let bare = own[..first].iter().all(|count| *count == 1);
        if is_head || bare { first } else { 0 }
    }

    /// The cells of a line; a separator inside quotes does not count.
    pub fn cells<'l>(self, line: &'l [u8]) -> impl Iterator<Item = &'l [u8]> + use<'l> {
        cells(line, self.separator)
    }
}

/// A comment, or nothing.
pub(crate) fn is_remark(line: &[u8]) -> bool {
    matches!(line.trim_ascii_start().first(), None | Some(b'#'))
}

/// How many lines have the commonest number of cells; none where that is one: a blank in the head of a single column cuts nothing.
fn evenness(lines: &[&[u8]], separator: u8) -> usize {
    let mut counts: Vec<usize> = lines.iter().map(|line| cells(line, separator).count()).collect();
    counts.sort_unstable();
    let same = counts.chunk_by(|one, other| one == other);
    let (single, several): (Vec<&[usize]>, Vec<&[usize]>) = same.partition(|same| same[0] < 2);
    let most = |all: &[&[usize]]| all.iter().map(|same| same.len()).max().unwrap_or(0);
    Some(most(&several))
        .filter(|count| *count >= most(&single))
        .unwrap_or(0)
}

fn is_comma_number(cell: &[u8]) -> bool {
    let cell = trimmed(cell);
    cell.contains(&b',') && matches!(numeral(cell, b','), Numeral::Number(_))
}

/// A number with a comma that can set no thousands apart.
fn is_short_of_thousands(cell: &[u8]) -> bool {
    let behind = trimmed(cell).rsplit(|byte| *byte == b',').next();
    is_comma_number(cell) && behind.is_some_and(|behind| behind.len() != 3)
}

fn is_point_number(cell: &[u8]) -> bool {
    let cell = trimmed(cell);
    cell.contains(&b'.') && matches!(numeral(cell, b'.'), Numeral::Number(_))
}

pub(crate) fn cells(line: &[u8], separator: u8) -> impl Iterator<Item = &[u8]> {
    let mut rest = Some(if separator == b' ' {
        line.trim_ascii()
    } else {
        line
    });
    core::iter::from_fn(move || {
        let text = rest?;
        let at = end(text, separator);
        let cell = &text[..at];
        rest = (at < text.len()).then(|| {
            let behind = &text[at + 1..];
            if separator == b' ' {
                behind.trim_ascii_start()
            } else {
                behind
            }
        });
        Some(cell)
    })
}

/// Where the first cell ends.
fn end(text: &[u8], separator: u8) -> usize {
    let plain = |text: &[u8]| {
        text.iter()
            .position(|byte| *byte == separator)
            .unwrap_or(text.len())
    };
    if text.trim_ascii_start().first() != Some(&b'"') {
        return plain(text);
    }
    let mut inside = false;
    for (at, byte) in text.iter().enumerate() {
        match byte {
            b'"' => inside = !inside,
            _ if *byte == separator && !inside => return at,
            _ => {}
        }
    }
    // A quote that is not closed is a letter like any other.
    if inside { plain(text) } else { text.len() }
}

/// What is asked where a row has too many cells for its commas.
pub(crate) const DECIMAL_COMMAS: &str = "; decimal commas? save the file with semicolons";

/// What is said of a row with another number of cells.
pub(crate) fn other_count(cells: usize, expected: usize, decimal_commas: bool) -> String {
    let hint = if decimal_commas { DECIMAL_COMMAS } else { "" };
    format!("{cells} cells where {expected} were expected{hint}")
}

/// The text of a cell: quotes off, doubled quotes single, broken characters replaced.
pub(crate) fn text(cell: &[u8]) -> String {
    let cell = cell.trim_ascii();
    match cell {
        [b'"', inside @ .., b'"'] => String::from_utf8_lossy(inside).replace("\"\"", "\""),
        _ => String::from_utf8_lossy(cell).into_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn writing(text: &str) -> (char, char) {
        let lines: Vec<&[u8]> = text.lines().map(str::as_bytes).collect();
        let found = Writing::of(&lines);
        (char::from(found.separator), char::from(found.decimal))
    }

    #[test]
    fn writings_are_told_apart() {
        assert_eq!(writing("t,T\n0.0,21.5\n1.0,21.6"), (',', '.'));
        assert_eq!(writing("t;T\n0,0;21,5\n1,0;21,6"), (';', ','));
        assert_eq!(writing("# remark, with a comma\nt\tT\n0,5\t21,5"), ('\t', ','));
        assert_eq!(writing("t,T\n\"0,5\",\"21,25\"\n\"1,0\",\"21,275\""), (',', ','));
        assert_eq!(writing("t,T\n\"1,000\",\"21\"\n\"2,000\",\"22\""), (',', '.'));
        assert_eq!(writing("0 21.5\n1   21.6"), (' ', '.'));
        assert_eq!(writing("t;T\n0.5;21.5"), (';', '.'));
        assert_eq!(writing("7"), ('\t', '.'));
        assert_eq!(writing("position (mm)\n1.5\n1.6\n1.7"), ('\t', '.'));
    }

    #[test]
    fn quotes_hold_separators() {
        let found: Vec<String> = cells(b"\"a, \"\"b\"\"\",2,,\"open", b',').map(text).collect();
        assert_eq!(found, ["a, \"b\"", "2", "", "\"open"]);
    }
}

//! Lines in which each number stands behind its label: `X:20.00 Y:15.00 Z:-0.012`, `temp=21.5, target=210`, `12:00:01 touch 3: height = 0.02 mm`.
//!
//! A line counts where nothing but pairs stands behind its first one, words without numbers set aside; and a file where the commonest labels are
//! those of a fair part of its lines. What stands before the pairs must be the same in all of these but for stamps and counts, for it may be the name
//! of what the line is about.

use super::columns::is_unit;
use super::number::{Numeral, number, numeral};
use super::stamp::{self, Stamp};

/// A label with what stands behind it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Pair<'l> {
    /// With the words before it that are no label's.
    pub label: String,
    pub value: Held<'l>,
    pub unit: Option<&'l str>,
}

/// What stands behind a label.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Held<'l> {
    Number(f64),
    Missing,
    /// A word.
    Text(&'l str),
}

/// A line of pairs.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Line<'l> {
    pub stamp: Option<Stamp>,
    /// As it is written.
    pub stamp_text: Option<&'l str>,
    /// What stands before the pairs, without stamp and counts.
    pub about: String,
    pub pairs: Vec<Pair<'l>>,
}

/// Which lines of a file are its rows.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Labels {
    pub labels: Vec<String>,
    /// The unit behind the number of each label, where one stands.
    pub units: Vec<Option<String>>,
    about: String,
    pub stamped: bool,
}

/// More pairs are in no line.
const MOST: usize = 32;

impl Labels {
    /// The labels of a file by some of its lines; nothing where it is not written in this way.
    pub fn of<'l>(lines: impl ExactSizeIterator<Item = &'l [u8]>) -> Option<Self> {
        let count = lines.len();
        let read: Vec<Line<'_>> = lines.filter_map(line).collect();
        let same = |one: &Line<'_>, other: &Line<'_>| {
            let labels = |own: &Line<'_>| {
                own.pairs
                    .iter()
                    .map(|pair| pair.label.clone())
                    .collect::<Vec<_>>()
            };
            one.about == other.about && labels(one) == labels(other)
        };
        let commonest = read
            .iter()
            .map(|own| (read.iter().filter(|other| same(own, other)).count(), own));
        // The first of equals.
        let (found, first) = commonest.rev().max_by_key(|(found, _)| *found)?;
        // Between reports there may be as much chatter again, and an answer to each.
        if found < 3 || found * 10 < count * 3 || found * 10 < read.len() * 6 {
            return None;
        }
        let unit = |at: usize| {
            let mut all = read.iter().filter(|own| same(own, first));
            all.find_map(|own| own.pairs[at].unit).map(str::to_owned)
        };
        Some(Self {
            labels: first.pairs.iter().map(|pair| pair.label.clone()).collect(),
            units: (0..first.pairs.len()).map(unit).collect(),
            about: first.about.clone(),
            stamped: first.stamp.is_some(),
        })
    }

    /// The row of a line: a value for each label; nothing where it is none, and what is wrong where it nearly is one.
    pub fn row<'l>(&self, text: &'l [u8]) -> Result<Option<Line<'l>>, String> {
        let Some(own) = line(text) else { return Ok(None) };
        let is_label = |at: usize, pair: &Pair<'_>| self.labels.get(at) == Some(&pair.label);
        let all = own.pairs.iter().enumerate();
        let known = all.clone().filter(|(at, pair)| is_label(*at, pair)).count();
        if own.about != self.about || known < self.labels.len().min(own.pairs.len()) || known == 0 {
            return Ok(None);
        }
        if own.pairs.len() != self.labels.len() {
            return Err(format!(
                "{} labels where {} were expected",
                own.pairs.len(),
                self.labels.len()
            ));
        }
        let other = all.clone().find(|(at, pair)| {
            matches!(pair.value, Held::Number(_)) && pair.unit != self.units[*at].as_deref()
        });
        match other {
            Some((_, pair)) => Err(format!("another unit behind `{}` than elsewhere", pair.label)),
            None => Ok(Some(own)),
        }
    }

    /// The labels as heads of columns, with their units.
    pub fn heads(&self) -> Vec<String> {
        let each = self.labels.iter().zip(&self.units);
        each.map(|(label, unit)| match unit {
            Some(unit) => format!("{label} ({unit})"),
            None => label.clone(),
        })
        .collect()
    }
}

/// A line of pairs; nothing where something else stands in it.
pub(crate) fn line(text: &[u8]) -> Option<Line<'_>> {
    let text = core::str::from_utf8(text).ok()?.trim();
    let (begin, first, mut rest) = first_pair(text)?;
    let before = &text[..begin];
    if before.contains([',', ';', '\t']) {
        return None;
    }
    let mut pairs = vec![first];
    let mut said = String::new();
    loop {
        rest = rest.trim_start_matches([' ', '\t', ',', ';', '|']);
        if rest.is_empty() {
            break;
        }
        if pairs.len() == MOST {
            return None;
        }
        if let Some((mut pair, behind)) = pair(rest) {
            if !said.is_empty() {
                pair.label = format!("{said} {}", pair.label);
            }
            pairs.push(pair);
            rest = behind;
            continue;
        }
        // A word without numbers is about the labels that follow.
        let end = rest.find([' ', '\t', ',', ';']).unwrap_or(rest.len());
        let word = &rest[..end];
        if !word.chars().all(char::is_alphabetic) {
            return None;
        }
        word.clone_into(&mut said);
        rest = &rest[end..];
    }
    let stamped = stamp::leading_of(before.as_bytes());
    let behind = stamped.map_or(0, |(_, length)| length);
    let words = before.get(behind..)?.trim_start_matches(']').split_whitespace();
    let about: Vec<&str> = words.filter(|word| word.contains(char::is_alphabetic)).collect();
    Some(Line {
        stamp: stamped.map(|(stamp, _)| stamp),
        stamp_text: stamped.map(|(_, length)| before[..length].trim().trim_start_matches('[')),
        about: about.join(" "),
        pairs,
    })
}

/// The first pair of a line, where it begins, and what stands behind it. Only where no word that holds a number stands before it but a stamp and counts.
fn first_pair(text: &str) -> Option<(usize, Pair<'_>, &str)> {
    let mut before = ' ';
    for (at, letter) in text.char_indices() {
        if !before.is_alphanumeric()
            && letter.is_alphabetic()
            && let Some((pair, rest)) = pair(&text[at..])
        {
            return Some((at, pair, rest));
        }
        before = letter;
    }
    None
}

/// The pair that a text begins with, and what stands behind it: a label, a colon or an equals sign, a value; or one capital and a number.
fn pair(text: &str) -> Option<(Pair<'_>, &str)> {
    let is_part = |c: char| c.is_alphanumeric() || "_-.%°".contains(c);
    let end = text.find(|c| !is_part(c)).unwrap_or(text.len());
    let label = &text[..end];
    let (label, behind) = match text[end..].trim_start().strip_prefix([':', '=']) {
        Some(behind) if label.starts_with(char::is_alphabetic) => (label, behind.trim_start()),
        _ => {
            let glued = text.strip_prefix(|c: char| c.is_ascii_uppercase())?;
            let is_number = |c: char| c.is_ascii_digit() || "+-.\u{2212}".contains(c);
            (
                &text[..1],
                Some(glued).filter(|glued| glued.starts_with(is_number))?,
            )
        }
    };
    let end = behind
        .char_indices()
        .find(|(at, c)| {
            let next = behind[at + c.len_utf8()..].chars().next();
            // A comma before a digit is a decimal one.
            " \t;|".contains(*c) || *c == ',' && !next.is_some_and(|next| next.is_ascii_digit())
        })
        .map_or(behind.len(), |(at, _)| at);
    let (cell, rest) = behind.split_at(end);
    let (value, unit) = held(cell)?;
    // A unit may stand behind a blank.
    let next = rest.strip_prefix(' ').unwrap_or("");
    let end = next.find([' ', '\t', ',', ';']).unwrap_or(next.len());
    let apart = matches!(value, Held::Number(_)) && unit.is_none() && is_unit(&next[..end]);
    let (unit, rest) = if apart {
        (Some(&next[..end]), &next[end..])
    } else {
        (unit, rest)
    };
    let label = label.to_owned();
    Some((Pair { label, value, unit }, rest))
}

/// A number, perhaps with its unit; a word for a missing one; a word without digits.
fn held(cell: &str) -> Option<(Held<'_>, Option<&str>)> {
    let plain = |text: &str| {
        let bytes = text.as_bytes();
        if let Some(size) = text.strip_prefix('\u{2212}') {
            return number(size.as_bytes(), b'.').map(|size| -size);
        }
        number(bytes, b'.').or_else(|| number(bytes, b','))
    };
    if let Some(number) = plain(cell) {
        return Some((Held::Number(number), None));
    }
    if !cell.is_empty() && numeral(cell.as_bytes(), b'.') == Numeral::Missing {
        return Some((Held::Missing, None));
    }
    if let Some(at) = cell.rfind(|c: char| c.is_ascii_digit()) {
        let (size, unit) = cell.split_at(at + 1);
        return Some((
            Held::Number(plain(size)?),
            Some(unit).filter(|unit| is_unit(unit))?.into(),
        ));
    }
    let is_word = !cell.is_empty() && cell.chars().all(|c| c.is_alphabetic() || c == '-' || c == '_');
    is_word.then_some((Held::Text(cell), None))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> Option<Vec<(String, Held<'_>, Option<&str>)>> {
        let own = line(text.as_bytes())?;
        Some(
            own.pairs
                .into_iter()
                .map(|pair| (pair.label, pair.value, pair.unit))
                .collect(),
        )
    }

    #[test]
    fn lines_as_terminals_and_loggers_write_them() {
        let number = |label: &str, number, unit| (label.to_owned(), Held::Number(number), unit);
        let expected = || {
            Some(vec![
                number("X", 20.0, None),
                number("Y", 15.5, None),
                number("Z", -0.012, None),
            ])
        };
        for text in [
            "X:20.00 Y:15.5 Z:-0.012",
            "X: 20.00 Y: 15.5 Z: -0.012",
            "X = 20, Y = 15.5, Z = -0.012",
            "X20 Y15.5 Z-0.012",
            "touch 3: X=20; Y=15,5; Z=\u{2212}0.012",
            "[12:00:01.5] X:20.00\tY:15.5\tZ:-0.012",
        ] {
            assert_eq!(read(text), expected(), "{text}");
        }
        assert_eq!(
            read("temp=21.5°C height: -4 um duty=55% heater=off state:nan"),
            Some(vec![
                number("temp", 21.5, Some("°C")),
                number("height", -4.0, Some("um")),
                number("duty", 55.0, Some("%")),
                ("heater".to_owned(), Held::Text("off"), None),
                ("state".to_owned(), Held::Missing, None),
            ])
        );
        let own = line(b"12:00:01 probe 7 X:1 Z:2 count X:80").unwrap();
        assert_eq!(
            (own.stamp, own.about.as_str()),
            (Some(Stamp::Clock(43_201.0)), "probe")
        );
        assert_eq!(own.pairs[2].label, "count X");
        for none in [
            "20,15,0.1",
            "20,15,x=3",
            "T:21.5 /210.0",
            "X:1 7",
            "ok",
            "12:00:01",
            "1:2",
            "",
            "x=",
            "X:1.2.3",
        ] {
            assert_eq!(read(none), None, "{none}");
        }
    }

    fn of(text: &str) -> Option<Labels> {
        Labels::of(text.lines().map(str::as_bytes).collect::<Vec<_>>().into_iter())
    }

    #[test]
    fn a_file_is_labelled_where_most_of_its_reports_are_alike() {
        let rows = "go\nX:1 Z:2 um\nok\n".repeat(3);
        let labels = of(&rows).unwrap();
        assert_eq!(
            (labels.heads(), labels.stamped),
            (vec!["X".to_owned(), "Z (um)".to_owned()], false)
        );
        assert!(labels.row(b"X:1 Z:2 um").unwrap().is_some());
        assert_eq!(labels.row(b"ok"), Ok(None));
        assert!(labels.row(b"X:1").unwrap_err().contains("1 labels"));
        assert!(labels.row(b"X:1 Z:2 mm").unwrap_err().contains("another unit"));
        // Two heaters in turn are not one.
        assert_eq!(of(&"bed: t=1 temp=60\nnozzle: t=1 temp=200\n".repeat(9)), None);
        assert_eq!(of("x=1\nx=2\n"), None);
        assert_eq!(of(&"1,2\n".repeat(9)), None);
    }

    proptest! {
        #[test]
        fn any_line_is_read_or_not(text in "[XYz:=. 0-9,;°\u{2212}|#-]{0,40}") {
            if let Some(own) = line(text.as_bytes()) {
                prop_assert!(!own.pairs.is_empty() && own.pairs.len() <= MOST);
            }
        }
    }
}

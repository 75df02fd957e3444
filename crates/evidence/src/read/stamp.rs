//! Time stamps: clock and date as terminals and loggers write them (ISO 8601, RFC 3339).

use super::number::number;

/// A time stamp in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Stamp {
    /// Of the day: begins anew at midnight.
    Clock(f64),
    /// Since 1970, where no zone is told in local time.
    Date(f64),
}

/// Reads a whole cell.
pub(crate) fn stamp(cell: &[u8]) -> Option<Stamp> {
    match date(cell) {
        Some((days, rest)) => {
            let rest = rest.strip_prefix(b"T").or_else(|| rest.strip_prefix(b" "))?;
            let (seconds, zone) = clock(rest)?;
            Some(Stamp::Date(days * 86_400.0 + seconds - offset(zone)?))
        }
        None => {
            let (seconds, rest) = clock(cell)?;
            rest.is_empty().then_some(Stamp::Clock(seconds))
        }
    }
}

/// The first stamp in a line of terminal text: at its start, or behind one bracket.
pub(crate) fn leading(line: &[u8]) -> Option<Stamp> {
    let line = line.trim_ascii_start();
    let line = line.strip_prefix(b"[").unwrap_or(line);
    let part =
        |byte: &u8| byte.is_ascii_digit() || matches!(byte, b':' | b'.' | b',' | b'-' | b'+' | b'T' | b'Z');
    let first = line.iter().position(|byte| !part(byte)).unwrap_or(line.len());
    let (head, rest) = line.split_at(first);
    // A date and its clock with a blank between them.
    if let Some(rest) = rest.strip_prefix(b" ")
        && date(head).is_some_and(|(_, rest)| rest.is_empty())
    {
        let end = rest.iter().position(|byte| !part(byte)).unwrap_or(rest.len());
        return stamp(&line[..first + 1 + end]);
    }
    stamp(head)
}

/// Days since 1970-01-01 and what follows the date.
fn date(text: &[u8]) -> Option<(f64, &[u8])> {
    if text.len() < 10 || text[4] != b'-' || text[7] != b'-' {
        return None;
    }
    let part = |range: core::ops::Range<usize>| -> Option<i64> {
        let digits = core::str::from_utf8(&text[range]).ok()?;
        digits
            .bytes()
            .all(|byte| byte.is_ascii_digit())
            .then(|| digits.parse().ok())?
    };
    let (year, month, day) = (part(0..4)?, part(5..7)?, part(8..10)?);
    if !(1..=12).contains(&month) || !(1..=31).contains(&day) {
        return None;
    }
    // Days of the civil calendar, years beginning in March (Meeus, Astronomical Algorithms, 2nd ed., ch. 7; from memory).
    let (year, month) = if month <= 2 {
        (year - 1, month + 9)
    } else {
        (year, month - 3)
    };
    let days = 365 * year + year / 4 - year / 100 + year / 400 + (153 * month + 2) / 5 + day - 1;
    #[expect(clippy::cast_precision_loss, reason = "at most 4 million days")]
    Some(((days - 719_468) as f64, &text[10..]))
}

/// Seconds of the day and what follows: `H:MM`, `HH:MM:SS`, `HH:MM:SS.fff`, also with a comma.
fn clock(text: &[u8]) -> Option<(f64, &[u8])> {
    let digits = |text: &[u8]| text.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let hours = digits(text);
    if hours == 0 || hours > 2 || text.get(hours) != Some(&b':') {
        return None;
    }
    let rest = &text[hours + 1..];
    if digits(rest) != 2 {
        return None;
    }
    let value = |text: &[u8]| number(text, b'.');
    let mut seconds = value(&text[..hours])? * 3600.0 + value(&rest[..2])? * 60.0;
    let minutes = value(&rest[..2])?;
    let mut rest = &rest[2..];
    if let Some(behind) = rest.strip_prefix(b":") {
        let whole = digits(behind);
        if whole != 2 {
            return None;
        }
        let mut end = whole;
        if matches!(behind.get(end), Some(b'.' | b',')) {
            end += 1 + digits(&behind[end + 1..]);
        }
        let part: Vec<u8> = behind[..end]
            .iter()
            .map(|byte| if *byte == b',' { b'.' } else { *byte })
            .collect();
        let part = value(&part)?;
        if part >= 61.0 {
            return None;
        }
        seconds += part;
        rest = &behind[end..];
    }
    (minutes < 60.0 && seconds < 86_401.0).then_some((seconds, rest))
}

/// Seconds east of Greenwich; nothing where it cannot be read.
fn offset(zone: &[u8]) -> Option<f64> {
    match zone {
        b"" | b"Z" | b"z" => Some(0.0),
        [sign @ (b'+' | b'-'), rest @ ..] => {
            let (hours, minutes) = match rest {
                [h1, h2, b':', m1, m2] | [h1, h2, m1, m2] => ([*h1, *h2], [*m1, *m2]),
                [h1, h2] => ([*h1, *h2], *b"00"),
                _ => return None,
            };
            let east = number(&hours, b'.')? * 3600.0 + number(&minutes, b'.')? * 60.0;
            Some(if *sign == b'-' { -east } else { east })
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 3339, section 5.8, prints these instants as equal; seconds since 1970 are `date -u +%s`.
    #[test]
    fn the_examples_of_the_standard() {
        assert_eq!(
            stamp(b"1996-12-19T16:39:57-08:00"),
            Some(Stamp::Date(851_042_397.0))
        );
        assert_eq!(stamp(b"1996-12-20T00:39:57Z"), Some(Stamp::Date(851_042_397.0)));
        assert_eq!(
            stamp(b"1985-04-12T23:20:50.52Z"),
            Some(Stamp::Date(482_196_050.52))
        );
        assert_eq!(stamp(b"1970-01-01 00:00:00"), Some(Stamp::Date(0.0)));
    }

    #[test]
    fn clocks_and_what_is_none() {
        assert_eq!(stamp(b"1:02:03,5"), Some(Stamp::Clock(3723.5)));
        assert_eq!(stamp(b"23:59"), Some(Stamp::Clock(86_340.0)));
        for none in [
            "12",
            "12:3",
            "12:61",
            "1:02:61",
            "2026-13-01T00:00",
            "2026-01-01",
            "T:210.0",
            "12:30:40x",
        ] {
            assert_eq!(stamp(none.as_bytes()), None, "{none}");
        }
    }

    #[test]
    fn a_line_may_begin_with_one() {
        assert_eq!(
            leading(b"[12:00:01.250] ok T:20.0"),
            Some(Stamp::Clock(43_201.25))
        );
        assert_eq!(
            leading(b"1970-01-02 00:00:01 T:20.0"),
            Some(Stamp::Date(86_401.0))
        );
        assert_eq!(leading(b"ok T:20.0"), None);
    }
}

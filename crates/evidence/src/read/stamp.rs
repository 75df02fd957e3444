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

/// Reads a whole cell: a clock, a date with its clock (ISO 8601, as written in German, as a system's log writes it), or the day's clock behind a date
/// of which day and month cannot be told apart.
pub(crate) fn stamp(cell: &[u8]) -> Option<Stamp> {
    if let Some((days, rest)) = date(cell).or_else(|| dotted(cell)).or_else(|| named(cell)) {
        let rest = rest.strip_prefix(b"T").or_else(|| rest.strip_prefix(b" "))?;
        let (seconds, zone) = clock(rest)?;
        return Some(Stamp::Date(days * DAY + seconds - offset(zone)?));
    }
    let text = slashed(cell).unwrap_or(cell);
    let (seconds, rest) = minutes(text).or_else(|| clock(text))?;
    half_of_day(seconds, rest).map(Stamp::Clock)
}

const DAY: f64 = 86_400.0;

/// A clock of twelve hours with what tells its half of the day; nothing behind any other.
fn half_of_day(seconds: f64, rest: &[u8]) -> Option<f64> {
    let half = rest.trim_ascii_start();
    let is = |word: &[u8]| half.eq_ignore_ascii_case(word);
    if half.is_empty() {
        return rest.is_empty().then_some(seconds);
    }
    let later = match () {
        () if is(b"AM") || is(b"a.m.") => 0.0,
        () if is(b"PM") || is(b"p.m.") => DAY / 2.0,
        () => return None,
    };
    (3600.0..DAY / 2.0 + 3600.0)
        .contains(&seconds)
        .then(|| seconds % (DAY / 2.0) + later)
}

/// The number of some digits at the beginning, at most so many, and what follows.
fn digits(text: &[u8], most: usize) -> Option<(i64, &[u8])> {
    let count = text.iter().take_while(|byte| byte.is_ascii_digit()).count();
    if count == 0 || count > most {
        return None;
    }
    let number = core::str::from_utf8(&text[..count]).ok()?.parse().ok()?;
    Some((number, &text[count..]))
}

/// Days of a date such as `3.11.2026`, and what follows. Points stand between day, month and year only (DIN 1355-1).
fn dotted(text: &[u8]) -> Option<(f64, &[u8])> {
    let (day, rest) = digits(text, 2)?;
    let (month, rest) = digits(rest.strip_prefix(b".")?, 2)?;
    let (year, rest) = digits(rest.strip_prefix(b".")?, 4)?;
    let year = if year < 100 { year + 2000 } else { year };
    let rest = rest.strip_prefix(b",").unwrap_or(rest);
    Some((days(year, month, day)?, rest))
}

/// Days of a date such as `Nov  3`, in a year that is not told (RFC 3164, 4.1.2), and what follows.
fn named(text: &[u8]) -> Option<(f64, &[u8])> {
    const MONTHS: [&[u8]; 12] = [
        b"Jan ", b"Feb ", b"Mar ", b"Apr ", b"May ", b"Jun ", b"Jul ", b"Aug ", b"Sep ", b"Oct ", b"Nov ",
        b"Dec ",
    ];
    let month = MONTHS.iter().position(|own| text.starts_with(own))?;
    let (day, rest) = digits(text[4..].trim_ascii_start(), 2)?;
    Some((days(1972, month as i64 + 1, day)?, rest))
}

/// What follows a date with slashes: in half of the world its month comes first, so that only the clock behind it is taken. Where the year comes
/// first, too, since no more is needed.
fn slashed(text: &[u8]) -> Option<&[u8]> {
    let (_, rest) = digits(text, 4)?;
    let (_, rest) = digits(rest.strip_prefix(b"/")?, 2)?;
    let (_, rest) = digits(rest.strip_prefix(b"/")?, 4)?;
    let rest = rest.strip_prefix(b",").unwrap_or(rest);
    rest.strip_prefix(b" ")
}

/// Minutes and seconds such as `12:05.5`: hours have no such fraction.
fn minutes(text: &[u8]) -> Option<(f64, &[u8])> {
    let (minutes, rest) = digits(text, 3)?;
    let behind = rest.strip_prefix(b":")?;
    let (whole, fraction) = digits(behind, 2)?;
    let places = match fraction {
        [b'.' | b',', rest @ ..] => rest.iter().take_while(|byte| byte.is_ascii_digit()).count(),
        _ => 0,
    };
    if places == 0 || behind.len() - fraction.len() != 2 || whole > 59 {
        return None;
    }
    let part = core::str::from_utf8(&fraction[1..=places]).ok()?;
    let part: f64 = format!("0.{part}").parse().ok()?;
    Some((
        minutes as f64 * 60.0 + whole as f64 + part,
        &fraction[1 + places..],
    ))
}

/// The first stamp in a line of terminal text: at its start, or behind one bracket.
pub(crate) fn leading(line: &[u8]) -> Option<Stamp> {
    leading_of(line).map(|(stamp, _)| stamp)
}

/// The same, with how much of the line it takes.
pub(crate) fn leading_of(line: &[u8]) -> Option<(Stamp, usize)> {
    let begin = line.iter().take_while(|byte| byte.is_ascii_whitespace()).count();
    let begin = begin + usize::from(line.get(begin) == Some(&b'['));
    let text = &line[begin..];
    let is_end = |at: &usize| text.get(*at).is_none_or(|byte| b" \t],;".contains(byte));
    // The longest of the words that the line begins with: a date, its clock and its half of the day are apart.
    let ends = (0..=text.len()).filter(is_end).take(4);
    let found = ends.filter_map(|end| Some((stamp(&text[..end])?, begin + end)));
    found.last()
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
    Some((days(part(0..4)?, part(5..7)?, part(8..10)?)?, &text[10..]))
}

/// Days since 1970-01-01.
fn days(year: i64, month: i64, day: i64) -> Option<f64> {
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
    Some((days - 719_468) as f64)
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
        assert_eq!(stamp(b"12:00:01 AM"), Some(Stamp::Clock(1.0)));
        assert_eq!(stamp(b"11/3/2026 1:02:03 pm"), Some(Stamp::Clock(46_923.0)));
        assert_eq!(stamp(b"2026/11/03 1:02:03"), Some(Stamp::Clock(3723.0)));
        assert_eq!(stamp(b"75:02.5"), Some(Stamp::Clock(4502.5)));
        assert_eq!(stamp(b"0:05,25"), Some(Stamp::Clock(5.25)));
        assert_eq!(stamp(b"0:00.0"), Some(Stamp::Clock(0.0)));
        // 2 January 1970, and the same day of a year that is not told.
        assert_eq!(stamp(b"02.01.1970 00:00:01,5"), Some(Stamp::Date(86_401.5)));
        let day = |text: &[u8]| match stamp(text) {
            Some(Stamp::Date(seconds)) => seconds,
            other => panic!("{other:?}"),
        };
        assert_eq!(day(b"Mar  1 00:00:00") - day(b"Feb 29 23:59:59"), 1.0);
        for none in [
            "0:00:01 PM",
            "13:00:00 PM",
            "12:30 xM",
            "12:61.5",
            "31.13.2026 12:00",
            "3/11/2026",
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
        assert_eq!(
            leading(b"Jan 12 00:00:01 bench heater: T=20"),
            stamp(b"Jan 12 00:00:01")
        );
        assert_eq!(
            leading(b"3/11/2026 1:00:00 PM T=20"),
            Some(Stamp::Clock(46_800.0))
        );
        assert_eq!(leading(b"12:00:01,T"), Some(Stamp::Clock(43_201.0)));
        assert_eq!(leading(b"12:00:01.5, T"), Some(Stamp::Clock(43_201.5)));
        assert_eq!(leading(b"ok T:20.0"), None);
        assert_eq!(leading(b""), None);
    }
}

//! Numbers in text, fast: most cells of a log have few digits and no exponent.

/// Powers of ten that a double holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

/// Words for a value that is not there.
const MISSING: [&[u8]; 10] = [
    b"", b"nan", b"na", b"n/a", b"-", b"--", b"null", b"none", b"inf", b"-inf",
];

/// What a cell holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Numeral {
    /// A number.
    Number(f64),
    /// Nothing, or a word that says so.
    Missing,
    /// Something else.
    Other,
}

/// Reads a cell. `decimal` is `.` or `,`; blanks around it and quotes do not matter.
pub(crate) fn numeral(cell: &[u8], decimal: u8) -> Numeral {
    let cell = trimmed(cell);
    if let Some(number) = number(cell, decimal) {
        return Numeral::Number(number);
    }
    // As typesetters and some spreadsheets write it.
    if let Some(size) = cell.strip_prefix("\u{2212}".as_bytes()) {
        let size = number(size, decimal).filter(|_| !size.starts_with(b"-") && !size.starts_with(b"+"));
        return size.map_or(Numeral::Other, |size| Numeral::Number(-size));
    }
    let is_rule = cell.len() > 2 && cell.iter().all(|byte| *byte == b'-');
    if is_rule || MISSING.iter().any(|word| cell.eq_ignore_ascii_case(word)) {
        return Numeral::Missing;
    }
    grouped(cell, decimal).map_or(Numeral::Other, Numeral::Number)
}

/// A number whose thousands are set apart by the sign that is no decimal sign: `12,345.5`. A single group is one only where it was quoted or
/// is followed by decimals: elsewhere `12,345` may be a decimal comma, which is found by then.
#[cold]
fn grouped(cell: &[u8], decimal: u8) -> Option<f64> {
    let mark = if decimal == b'.' { b',' } else { b'.' };
    let whole = cell.split(|byte| *byte == decimal).next()?;
    let mut groups = whole.split(|byte| *byte == mark);
    let first = groups.next()?;
    let digits = |own: &[u8]| own.iter().all(u8::is_ascii_digit);
    let first = first.strip_prefix(b"-").unwrap_or(first);
    let is_first = (1..=3).contains(&first.len()) && digits(first);
    let mut rest = groups.peekable();
    let any = rest.peek().is_some();
    if !is_first || !any || !rest.all(|own| own.len() == 3 && digits(own)) {
        return None;
    }
    let plain: Vec<u8> = cell.iter().copied().filter(|byte| *byte != mark).collect();
    number(&plain, decimal)
}

/// Without blanks and one pair of quotes.
pub(crate) fn trimmed(cell: &[u8]) -> &[u8] {
    let cell = cell.trim_ascii();
    match cell {
        [b'"', inside @ .., b'"'] => inside.trim_ascii(),
        _ => cell,
    }
}

/// A finite number: sign, digits with at most one decimal sign, exponent. Correctly rounded.
pub(crate) fn number(text: &[u8], decimal: u8) -> Option<f64> {
    let (negative, digits) = match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        _ => (false, text),
    };
    let (mut mantissa, mut count, mut places, mut seen) = (0_u64, 0_u32, 0_usize, false);
    for &byte in digits {
        if byte.is_ascii_digit() {
            mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(byte - b'0'));
            count += 1;
            places += usize::from(seen);
        } else if byte == decimal && !seen {
            seen = true;
        } else {
            return slow(text, decimal);
        }
    }
    if count == 0 {
        return None;
    }
    // Both exact, so the one division rounds correctly (Clinger 1990).
    if count > 18 || mantissa > 1 << 53 || places > 22 {
        return slow(text, decimal);
    }
    #[expect(clippy::cast_precision_loss, reason = "at most 2⁵³")]
    let size = mantissa as f64 / POWERS[places];
    Some(if negative { -size } else { size })
}

/// The number that a text begins with, and its length: sign, digits and at most one decimal sign, as few as a double holds exactly. Nothing where
/// none stands there; what ends it is for the caller to judge. Rounded as [`number`] does.
#[inline]
pub(crate) fn leading(text: &[u8], decimal: u8) -> Option<(f64, usize)> {
    /// So many digits fit in 2⁵³.
    const MOST: usize = 15;
    let negative = text.first() == Some(&b'-');
    let begin = usize::from(negative);
    let mut mantissa = 0_u64;
    let mut at = begin;
    let mut digits = |at: &mut usize| {
        while let Some(digit) = text
            .get(*at)
            .map(|byte| byte.wrapping_sub(b'0'))
            .filter(|digit| *digit < 10)
        {
            mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(digit));
            *at += 1;
        }
    };
    digits(&mut at);
    let (mut count, mut places) = (at - begin, 0);
    if text.get(at) == Some(&decimal) {
        at += 1;
        let behind = at;
        digits(&mut at);
        places = at - behind;
        count += places;
    }
    if count == 0 || count > MOST {
        return None;
    }
    // Signed, which the processor turns in one step.
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_wrap,
        reason = "at most 2⁵³"
    )]
    let whole = mantissa as i64 as f64;
    let size = if places == 0 {
        whole
    } else {
        whole / POWERS[places]
    };
    Some((if negative { -size } else { size }, at))
}

#[cold]
fn slow(text: &[u8], decimal: u8) -> Option<f64> {
    let text = core::str::from_utf8(text).ok()?;
    let plain =
        |c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | 'e' | 'E') || c == char::from(decimal);
    if text.len() > 64 || !text.chars().all(plain) {
        return None;
    }
    let number: f64 = text.replace(char::from(decimal), ".").parse().ok()?;
    number.is_finite().then_some(number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_a_cell_may_be() {
        let read = |text: &str, decimal| numeral(text.as_bytes(), decimal);
        assert_eq!(read(" 210.25 ", b'.'), Numeral::Number(210.25));
        assert_eq!(read("\"-1,5\"", b','), Numeral::Number(-1.5));
        assert_eq!(read("1e3", b'.'), Numeral::Number(1000.0));
        assert_eq!(read(".5", b'.'), Numeral::Number(0.5));
        assert_eq!(read("\u{2212}1.5", b'.'), Numeral::Number(-1.5));
        for missing in ["", " ", "NaN", "null", "-", "---", "-----"] {
            assert_eq!(read(missing, b'.'), Numeral::Missing, "{missing}");
        }
        for other in [
            "1,5",
            "12:30",
            "1.2.3",
            "abc",
            "1e999",
            "--1",
            "e5",
            "0x10",
            "٣",
            "\u{2212}",
            "\u{2212}-1",
        ] {
            assert_eq!(read(other, b'.'), Numeral::Other, "{other}");
        }
    }

    #[test]
    fn a_text_may_begin_with_a_number() {
        let read = |text: &str| leading(text.as_bytes(), b'.');
        assert_eq!(read("210.25,1"), Some((210.25, 6)));
        assert_eq!(read("-.5"), Some((-0.5, 3)));
        assert_eq!(read("5.;"), Some((5.0, 2)));
        assert_eq!(read("1e3"), Some((1.0, 1)));
        assert_eq!(read("1234567890.125,"), Some((1_234_567_890.125, 14)));
        for digits in 1..15_u32 {
            for behind in [
                "",
                ",",
                ";7",
                "\u{fffd}\u{fffd}\u{fffd}",
                ":::::::::",
                "/////////",
            ] {
                let number = 123_456_789_012_345_u64 % 10_u64.pow(digits);
                let text = format!("{number:0width$}.{behind}", width = digits as usize);
                assert_eq!(read(&text), Some((number as f64, digits as usize + 1)), "{text}");
            }
        }
        for none in ["", "-", ".", " 1", "+1", "nan", "1234567890123456", "\"1\""] {
            assert_eq!(read(none), None, "{none}");
        }
    }

    proptest! {
        /// The standard library's reader is the peer.
        #[test]
        fn a_number_is_read_as_the_standard_library_reads_it(number in -1e9_f64..1e9, places in 0_usize..12) {
            let text = format!("{number:.places$}");
            prop_assert_eq!(super::number(text.as_bytes(), b'.'), text.parse().ok());
            if let Some(found) = leading(text.as_bytes(), b'.') {
                prop_assert_eq!(Some(found), text.parse().ok().map(|number| (number, text.len())));
            }
            let text = format!("{number:e}");
            prop_assert_eq!(super::number(text.as_bytes(), b'.'), text.parse().ok());
        }
    }
}

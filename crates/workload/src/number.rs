//! Decimal numbers in text, fast and correctly rounded: sign, digits, at most one point, no exponent.
//!
//! Most numbers of a program have at most seven characters. Those are read eight bytes at a time without a loop; longer ones in
//! two pieces, and what is longer still by the standard library.

/// Bytes that must be readable behind the last byte of a text, so that a piece of eight can be taken anywhere in it.
pub(crate) const PAD: usize = 16;

/// Powers of ten that a double holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

/// The same as whole numbers, for joining the digits before and behind the point.
const WHOLE_POWERS: [u64; 8] = [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000, 10_000_000];

const ZEROS: u64 = u64::from_le_bytes([b'0'; 8]);
/// A point in a piece.
const POINT: u8 = b'.' ^ b'0';
const HIGH_BITS: u64 = u64::from_le_bytes([0x80; 8]);
/// What lifts every byte above 9 into the high bit.
const ABOVE_NINE: u64 = u64::from_le_bytes([0x76; 8]);

/// Reads the number that begins at `at`: its value, and the place behind it. Digits alone make a number: `-`, `.` and nothing are none.
///
/// `text` must have [`PAD`] bytes more than are meant, the first of which is no digit and no point.
#[inline(always)]
pub(crate) fn number(text: &[u8], at: usize) -> Option<(f64, usize)> {
    let digits = piece(text, at)?;
    // A branch, though signs are data: it is mostly foreseen, and then nothing waits for it.
    let sign = digits as u8 ^ b'0';
    if sign == b'-' || sign == b'+' {
        let (size, end) = unsigned(text, at + 1, piece(text, at + 1)?)?;
        return Some((if sign == b'-' { -size } else { size }, end));
    }
    unsigned(text, at, digits)
}

/// The same without a sign; `digits` is the piece that begins at `start`.
#[inline(always)]
fn unsigned(text: &[u8], start: usize, digits: u64) -> Option<(f64, usize)> {
    let marks = no_digits(digits);
    if marks != 0 {
        let before = marks.trailing_zeros() as usize / 8;
        if (digits >> (8 * before)) as u8 != POINT {
            if before == 0 {
                return None;
            }
            return Some((whole(joined(digits, before)), start + before));
        }
        let marks = marks & (marks - 1);
        if marks != 0 {
            let after = marks.trailing_zeros() as usize / 8;
            if after == 1 {
                return None;
            }
            // The point is squeezed out: bytes behind it move down by one.
            let kept = (1_u64 << (8 * before)) - 1;
            let squeezed = digits & kept | digits >> 8 & !kept;
            let mantissa = whole(joined(squeezed, after - 1));
            return Some((mantissa / POWERS[(after - before - 1) & 7], start + after));
        }
        let behind = piece(text, start + before + 1)?;
        let marks = no_digits(behind);
        if marks != 0 {
            let places = marks.trailing_zeros() as usize / 8;
            let mantissa = joined(digits, before) * WHOLE_POWERS[places & 7] + joined(behind, places);
            return Some((whole(mantissa) / POWERS[places & 7], start + before + 1 + places));
        }
    }
    long(text, start)
}

/// Eight bytes, of which digits have become 0 to 9.
#[inline(always)]
fn piece(text: &[u8], at: usize) -> Option<u64> {
    let bytes = text.get(at..)?.first_chunk::<8>()?;
    Some(u64::from_le_bytes(*bytes) ^ ZEROS)
}

/// A high bit for each byte that is no digit; right up to and with the first byte that is no ASCII.
#[inline(always)]
fn no_digits(piece: u64) -> u64 {
    (piece.wrapping_add(ABOVE_NINE) | piece) & HIGH_BITS
}

/// The number of the first `count` digits, at most seven: pairs, then fours, then all.
#[inline(always)]
fn joined(digits: u64, count: usize) -> u64 {
    let digits = digits << (56 - 8 * count) << 8;
    let pairs = (digits & 0x0f0f_0f0f_0f0f_0f0f).wrapping_mul(2_561) >> 8;
    let fours = (pairs & 0x00ff_00ff_00ff_00ff).wrapping_mul(6_553_601) >> 16;
    (fours & 0x0000_ffff_0000_ffff).wrapping_mul(42_949_672_960_001) >> 32
}

/// At most fourteen digits; signed numbers are turned into floating ones in one step.
#[inline(always)]
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_wrap,
    reason = "at most fourteen digits"
)]
fn whole(number: u64) -> f64 {
    number as i64 as f64
}

/// A number of any length.
#[cold]
#[inline(never)]
fn long(text: &[u8], start: usize) -> Option<(f64, usize)> {
    let rest = &text[start..];
    let length = rest
        .iter()
        .position(|byte| !byte.is_ascii_digit() && *byte != b'.')
        .unwrap_or(rest.len());
    let body = core::str::from_utf8(&rest[..length]).ok()?;
    // Two points, or no digit: the standard library refuses both. Letters have been left out, so no exponent and no word gets there.
    let value: f64 = body.parse().ok()?;
    value.is_finite().then_some((value, start + length))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> Option<(f64, usize)> {
        let mut padded = text.as_bytes().to_vec();
        padded.extend([b'\n'; PAD]);
        number(&padded, 0)
    }

    #[test]
    fn what_a_number_may_be() {
        for (text, value) in [
            ("1", 1.0),
            ("-1", -1.0),
            ("+1.5", 1.5),
            (".5", 0.5),
            ("-.5", -0.5),
            ("5.", 5.0),
            ("0000000000000000000001.0", 1.0),
            ("123.456", 123.456),
            ("1234.56789", 1234.56789),
            ("12345678", 12_345_678.0),
            ("1234567.1234567", 1_234_567.123_456_7),
            ("0.12345678901234567890", 0.123_456_789_012_345_68),
            ("1000000000000", 1e12),
        ] {
            assert_eq!(read(text), Some((value, text.len())), "{text}");
        }
        for text in [
            "",
            "-",
            ".",
            "-.",
            "+",
            "NaN",
            "inf",
            "--1",
            "+-1",
            "-+1",
            "٣",
            "1.2.3.4.5.6.7.8.9",
            &"9".repeat(400),
        ] {
            assert!(read(text).is_none_or(|(_, end)| end < text.len()), "{text}");
        }
        // An E is the axis of the filament, never an exponent.
        assert_eq!(read("1E5"), Some((1.0, 1)));
        assert_eq!(read("1.5E5"), Some((1.5, 3)));
        assert!(read("-0").is_some_and(|(value, _)| value == 0.0));
    }

    proptest! {
        /// The standard library's reader is the peer.
        #[test]
        fn a_number_is_read_as_the_standard_library_reads_it(number in -1e9_f64..1e9, places in 0_usize..14, tail in "[ A-Z;\\n].{0,9}") {
            let text = format!("{number:.places$}");
            let found = read(&format!("{text}{tail}"));
            prop_assert_eq!(found, Some((text.parse().unwrap(), text.len())));
        }

        /// Whatever stands there, no byte behind the number changes it.
        #[test]
        fn any_bytes_end_a_number(text in "[0-9]{1,9}(\\.[0-9]{0,9})?", tail in proptest::collection::vec(any::<u8>(), 0..12)) {
            prop_assume!(tail.first().is_none_or(|byte| !byte.is_ascii_digit() && *byte != b'.'));
            let mut bytes = text.as_bytes().to_vec();
            bytes.extend(tail);
            bytes.extend([b'\n'; PAD]);
            prop_assert_eq!(number(&bytes, 0), Some((text.parse().unwrap(), text.len())));
        }
    }
}

//! A reading that somebody types beside known limits.

use crate::any::AnyValue;
use crate::text::{TextError, parse_bounds};
use crate::unit::Kind;

/// Reads a single value of a kind known at run time: "12.1 Ω". A number without unit has the unit `bare`, where there is one; a decimal comma
/// is taken as a point.
///
/// # Errors
/// [`TextError`] where the text is no value of that kind, or is an interval.
pub fn parse_reading(text: &str, kind: Kind, bare: Option<&str>) -> Result<AnyValue, TextError> {
    let text = pointed(text.trim());
    let number = text.parse::<f64>().ok().filter(|number| number.is_finite());
    let whole = match (number, bare) {
        (Some(_), Some(unit)) => format!("{text} {unit}"),
        _ => text,
    };
    let (low, nominal, high) = parse_bounds(&whole, kind)?;
    if low < high {
        return Err(TextError {
            span: 0..whole.len(),
            problem: "an interval".to_owned(),
            expected: "one reading".to_owned(),
            help: None,
        });
    }
    Ok(AnyValue {
        kind,
        nominal,
        low: nominal,
        high: nominal,
    })
}

/// A text whose only comma stands between two digits, with a point in its place.
fn pointed(text: &str) -> String {
    let bytes = text.as_bytes();
    let digit = |at: Option<usize>| at.and_then(|at| bytes.get(at)).is_some_and(u8::is_ascii_digit);
    match text.split_once(',') {
        Some((before, after))
            if !after.contains(',')
                && !text.contains('.')
                && digit(before.len().checked_sub(1))
                && digit(Some(before.len() + 1)) =>
        {
            format!("{before}.{after}")
        }
        _ => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_takes_the_unit_of_its_limits() {
        let read = |text: &str| parse_reading(text, Kind::Resistance, Some("kΩ")).map(|value| value.nominal);
        assert_eq!(read("12.1 Ω"), Ok(12.1));
        assert_eq!(read(" 1.5 "), Ok(1_500.0));
        assert_eq!(read("1,5"), Ok(1_500.0));
        assert_eq!(read("1,5 Ω"), Ok(1.5));
        for wrong in [
            "",
            "1 V",
            "1,000.5",
            "1,2,3 Ω",
            "1 Ω .. 2 Ω",
            "2 Ω ± 5 %",
            "nan",
            "inf",
            "1e999",
            "zwölf",
        ] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
        assert!(parse_reading("12", Kind::Resistance, None).is_err());
    }
}

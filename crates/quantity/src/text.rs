//! Text to value: numbers, units, tolerances and ranges, with errors that say where and what was expected.
//!
//! The grammar, blanks allowed between all parts:
//!
//! ```text
//! value     = number unit [tolerance] | number [unit] ".." number unit
//! tolerance = "±" number ("%" | unit)                              (also "+-" and "+/-")
//!           | "+" number ("%" | unit) "-" number ("%" | unit)      (also the minus first)
//!           | "(" number unit ".." number unit ")"                 the bounds themselves
//! ```
//!
//! The result of a range read as a value has the middle as its nominal. A tolerance in per cent is relative to the
//! nominal, also where the value itself is in per cent; a temperature takes its tolerance in kelvin only.

use core::ops::Range as Span;

use crate::foreign;
use crate::money::{Memory, Price};
use crate::number::{Number, Quantity};
use crate::unit::Kind;
use crate::value::{Range, Value};
use crate::wire::WireSize;

/// Why a text is no value: where in the text, what was expected, and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextError {
    /// The bytes of the text that are wrong; always on character boundaries and inside the text.
    pub span: Span<usize>,
    /// What is wrong, in one clause without full stop.
    pub problem: String,
    /// What was expected there.
    pub expected: String,
    /// How it could be mended, where that is clear.
    pub help: Option<String>,
}

impl core::fmt::Display for TextError {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(formatter, "{}; expected {}", self.problem, self.expected)?;
        match &self.help {
            Some(help) => write!(formatter, "; {help}"),
            None => Ok(()),
        }
    }
}

impl core::error::Error for TextError {}

/// Reads a value with its tolerance, such as "40 W ± 10 %".
///
/// # Errors
/// [`TextError`] where the text is not a value of the kind of `Q`.
pub fn parse_value<Q: Quantity>(text: &str) -> Result<Value<Q>, TextError> {
    let (low, nominal, high) = parse_bounds(text, Q::KIND)?;
    Ok(Value::between(
        Q::from_base(low),
        Q::from_base(nominal),
        Q::from_base(high),
    ))
}

/// Reads a range, such as "12 V .. 24 V"; a single value without tolerance is a range of no width.
///
/// # Errors
/// [`TextError`] where the text is not a range of the kind of `Q`, or its ends are in the wrong order.
pub fn parse_range<Q: Quantity>(text: &str) -> Result<Range<Q>, TextError> {
    let (low, _, high) = parse_bounds(text, Q::KIND)?;
    Ok(Range::new(Q::from_base(low), Q::from_base(high)))
}

/// Reads a price, such as "38 EUR" or "12.50 EUR".
///
/// # Errors
/// [`TextError`] where there is no number, more than two decimals, or no currency of three capital letters.
pub fn parse_price(text: &str) -> Result<Price, TextError> {
    let expected = "a price such as 12.50 EUR";
    let scalar = Scanner::new(text).scalar(expected)?;
    let unit = &text[scalar.unit.clone()];
    if unit.len() != 3 || !unit.bytes().all(|byte| byte.is_ascii_uppercase()) {
        let problem = if unit.is_empty() {
            "a price without currency".to_owned()
        } else {
            format!("`{}` is no currency", cut(unit))
        };
        return Err(TextError {
            span: scalar.unit_or_all(),
            problem,
            expected: "the three capital letters of a currency (ISO 4217), such as EUR".to_owned(),
            help: None,
        });
    }
    let rounded = (scalar.number * 100.0).round();
    // Both are the double nearest to the same decimal number, or the text had more decimals.
    let exact = rounded / 100.0 == scalar.number;
    if !exact || !(0.0..1e12).contains(&rounded) {
        return Err(TextError {
            span: scalar.digits,
            problem: "not an amount of money".to_owned(),
            expected: "a number that is not negative, with at most two decimals".to_owned(),
            help: None,
        });
    }
    scalar.end_of_text(text, expected)?;
    let mut currency = [0; 3];
    currency.copy_from_slice(unit.as_bytes());
    #[expect(clippy::cast_possible_truncation, reason = "checked to lie in 0 .. 1e12")]
    Ok(Price::new(rounded as i64, currency))
}

/// Reads an amount of memory, such as "512 KiB".
///
/// # Errors
/// [`TextError`] where the unit is not one of B, KiB, MiB, kB, MB or the number is not a whole number of bytes.
pub fn parse_memory(text: &str) -> Result<Memory, TextError> {
    let expected = "an amount of memory such as 512 KiB";
    let scalar = Scanner::new(text).scalar(expected)?;
    let unit = &text[scalar.unit.clone()];
    let factor = match unit {
        "B" => 1.0,
        "KiB" => 1024.0,
        "MiB" => 1_048_576.0,
        "GiB" => 1_073_741_824.0,
        "kB" => 1e3,
        "MB" => 1e6,
        _ => {
            let help = match unit {
                "K" | "k" | "KB" | "kb" | "Kib" | "kib" | "kiB" => Some("did you mean `KiB`?".to_owned()),
                "M" | "Mb" | "mb" | "Mib" | "mib" => Some("did you mean `MiB`?".to_owned()),
                _ => None,
            };
            return Err(TextError {
                span: scalar.unit_or_all(),
                problem: if unit.is_empty() {
                    "a number without unit".to_owned()
                } else {
                    format!("`{}` is not a unit of memory", cut(unit))
                },
                expected: "one of B, KiB, MiB, GiB, kB, MB".to_owned(),
                help,
            });
        }
    };
    let bytes = scalar.number * factor;
    if bytes.fract() != 0.0 || !(0.0..9e15).contains(&bytes) {
        return Err(TextError {
            span: scalar.digits,
            problem: "not a whole number of bytes".to_owned(),
            expected: expected.to_owned(),
            help: None,
        });
    }
    scalar.end_of_text(text, expected)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to lie in 0 .. 9e15"
    )]
    Ok(Memory::from_bytes(bytes as u64))
}

/// Reads the size of a wire: "20 AWG" or a cross-section such as "0.5 mm²".
///
/// # Errors
/// [`TextError`] where it is neither, or outside 40 AWG .. 0 AWG or 0.005 mm² .. 60 mm².
pub fn parse_wire_size(text: &str) -> Result<WireSize, TextError> {
    let expected = "a wire size such as 20 AWG or 0.5 mm²";
    let scalar = Scanner::new(text).scalar(expected).map_err(|error| TextError {
        help: gauge_first(text).or_else(|| error.help.clone()),
        ..error
    })?;
    let unit = &text[scalar.unit.clone()];
    let size = if unit.eq_ignore_ascii_case("AWG") {
        let whole = scalar.number.fract() == 0.0 && (0.0..=40.0).contains(&scalar.number);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "checked to lie in 0 ..= 40"
        )]
        whole.then_some(WireSize::Awg(scalar.number as u8))
    } else {
        let (factor, _) = Kind::Area
            .find(unit)
            .ok_or_else(|| wrong_wire(text, &scalar, expected))?;
        let area = scalar.number * factor;
        (5e-9..=6e-5)
            .contains(&area)
            .then(|| WireSize::CrossSection(Number::from_base(area)))
    };
    let Some(size) = size else {
        return Err(TextError {
            span: scalar.digits,
            problem: "no such wire".to_owned(),
            expected: "0 to 40 AWG, a whole number, or 0.005 to 60 mm²".to_owned(),
            help: None,
        });
    };
    scalar.end_of_text(text, expected)?;
    Ok(size)
}

/// A gauge in another spelling: "22 ga", "#22".
fn wrong_wire(text: &str, scalar: &Scalar, expected: &str) -> TextError {
    let error = wrong_unit(text, scalar, Kind::Area, expected);
    let gauge = ["ga", "gauge", "ga.", "awg."].contains(&text[scalar.unit.clone()].to_lowercase().as_str());
    let help = gauge.then(|| format!("write `{} AWG`", scalar.number));
    TextError {
        help: help.or(error.help),
        ..error
    }
}

/// A gauge with its name or sign in front of the number: "AWG 22", "#22".
fn gauge_first(text: &str) -> Option<String> {
    let text = text.trim().to_ascii_uppercase();
    let rest = text.strip_prefix("AWG").or_else(|| text.strip_prefix('#'))?;
    let rest = rest.trim_start_matches([' ', '#', '-']);
    let plain = !rest.is_empty() && rest.len() <= 2 && rest.bytes().all(|byte| byte.is_ascii_digit());
    plain.then(|| format!("write `{rest} AWG`"))
}

/// At most 40 characters of what was written: a message must stay readable whatever a file holds.
fn cut(text: &str) -> String {
    match text.char_indices().nth(40) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// (low, nominal, high) in base units.
pub(crate) fn parse_bounds(text: &str, kind: Kind) -> Result<(f64, f64, f64), TextError> {
    let expected = format!("a {} ({})", kind.name(), kind.examples());
    let mut scanner = Scanner::new(text);
    let first = scanner.scalar(&expected)?;
    scanner.blanks();
    if scanner.eat("..") {
        let (low, high) = range_end(text, &mut scanner, &first, kind, &expected)?;
        scanner.end(&expected)?;
        return Ok((low, f64::midpoint(low, high), high));
    }
    let (factor, offset) = unit_of(text, &first, kind, &expected)?;
    let nominal = finite(text, first.number * factor + offset, &first)?;
    let (low, high) = scanner.tolerance(text, kind, nominal, &expected)?;
    scanner.end(&expected)?;
    for bound in [low, high] {
        finite(text, bound, &first)?;
    }
    if !(low <= nominal && nominal <= high) {
        return Err(TextError {
            span: 0..text.len(),
            problem: "the tolerance does not surround the value".to_owned(),
            expected: "the plus part above and the minus part below".to_owned(),
            help: None,
        });
    }
    Ok((low, nominal, high))
}

/// The rest of a range after its first number and the dots; a unit missing at the first number is the second's.
fn range_end(
    text: &str,
    scanner: &mut Scanner<'_>,
    first: &Scalar,
    kind: Kind,
    expected: &str,
) -> Result<(f64, f64), TextError> {
    let second = scanner.scalar(expected)?;
    let (factor, offset) = unit_of(text, &second, kind, expected)?;
    let (first_factor, first_offset) = if first.unit.is_empty() {
        (factor, offset)
    } else {
        unit_of(text, first, kind, expected)?
    };
    let low = finite(text, first.number * first_factor + first_offset, first)?;
    let high = finite(text, second.number * factor + offset, &second)?;
    if low > high {
        return Err(TextError {
            span: first.start..second.end,
            problem: "the range runs backwards".to_owned(),
            expected: "the smaller value first".to_owned(),
            help: Some("exchange the two values".to_owned()),
        });
    }
    Ok((low, high))
}

fn finite(text: &str, base: f64, scalar: &Scalar) -> Result<f64, TextError> {
    if base.is_finite() && base.abs() < 1e30 {
        return Ok(base);
    }
    Err(TextError {
        span: scalar.start..scalar.end.min(text.len()),
        problem: "the number is too large".to_owned(),
        expected: "a value of this world".to_owned(),
        help: None,
    })
}

fn unit_of(text: &str, scalar: &Scalar, kind: Kind, expected: &str) -> Result<(f64, f64), TextError> {
    let unit = &text[scalar.unit.clone()];
    kind.find(unit)
        .ok_or_else(|| wrong_unit(text, scalar, kind, expected))
}

fn wrong_unit(text: &str, scalar: &Scalar, kind: Kind, expected: &str) -> TextError {
    let unit = &text[scalar.unit.clone()];
    let span = scalar.unit_or_all();
    if unit.is_empty() {
        return TextError {
            span,
            problem: "a number without unit".to_owned(),
            expected: expected.to_owned(),
            help: kind
                .units()
                .iter()
                .find(|unit| unit.shown)
                .map(|unit| format!("add the unit, such as `{}`", unit.symbol)),
        };
    }
    let problem = match Kind::ALL
        .iter()
        .find(|other| !unit.is_empty() && other.find(unit).is_some())
    {
        // A plain number has no unit at all.
        Some(other) if kind == Kind::Ratio => format!("`{}` is a unit of {}", cut(unit), other.name()),
        Some(other) => format!(
            "`{}` is a unit of {}, not of {}",
            cut(unit),
            other.name(),
            kind.name()
        ),
        None => format!("`{}` is no unit that is known here", cut(unit)),
    };
    TextError {
        span,
        problem,
        expected: expected.to_owned(),
        help: nearest_unit(unit, kind)
            .or_else(|| foreign::help(scalar.number, &text[scalar.unit.start..], kind)),
    }
}

/// A unit of the kind that differs from the text in capitals only.
fn nearest_unit(unit: &str, kind: Kind) -> Option<String> {
    let prefixes = crate::unit::PREFIXES;
    let mut candidates = kind.units().iter().flat_map(|unit| {
        let reach = if unit.prefixes {
            &prefixes[..]
        } else {
            &prefixes[4..5]
        };
        reach
            .iter()
            .map(move |(prefix, _)| format!("{prefix}{}", unit.symbol))
    });
    let wanted = unit.to_lowercase().replace("ohm", "ω");
    candidates
        .find(|candidate| candidate.to_lowercase() == wanted)
        .map(|candidate| format!("did you mean `{candidate}`?"))
}

/// A number and the unit text behind it, with their places.
struct Scalar {
    number: f64,
    digits: Span<usize>,
    unit: Span<usize>,
    start: usize,
    end: usize,
}

impl Scalar {
    fn unit_or_all(&self) -> Span<usize> {
        if self.unit.is_empty() {
            self.digits.clone()
        } else {
            self.unit.clone()
        }
    }

    fn end_of_text(&self, text: &str, expected: &str) -> Result<(), TextError> {
        let mut scanner = Scanner { text, at: self.end };
        scanner.end(expected)
    }
}

struct Scanner<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Scanner<'a> {
    fn new(text: &'a str) -> Self {
        Self { text, at: 0 }
    }

    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn blanks(&mut self) {
        let rest = self.rest();
        self.at += rest.len() - rest.trim_start().len();
    }

    fn eat(&mut self, token: &str) -> bool {
        let found = self.rest().starts_with(token);
        if found {
            self.at += token.len();
        }
        found
    }

    fn end(&mut self, expected: &str) -> Result<(), TextError> {
        self.blanks();
        if self.rest().is_empty() {
            return Ok(());
        }
        Err(TextError {
            span: self.at..self.text.trim_end().len().max(self.at),
            problem: format!("`{}` is left over", cut(self.rest().trim_end())),
            expected: format!("nothing more after {expected}"),
            help: None,
        })
    }

    /// A number with the unit that follows it; the unit may be missing.
    fn scalar(&mut self, expected: &str) -> Result<Scalar, TextError> {
        self.blanks();
        let start = self.at;
        let negative = self.eat("-") || self.eat("−");
        if !negative {
            self.eat("+");
        }
        self.blanks();
        let digits = self.digits();
        let written: String = self.text[digits.clone()].chars().filter(|c| *c != '_').collect();
        let magnitude: f64 = match written.parse() {
            Ok(number) => number,
            Err(_) => return Err(self.no_number(start, &digits, expected)),
        };
        if self.rest().starts_with(',') && self.rest()[1..].starts_with(|c: char| c.is_ascii_digit()) {
            return Err(TextError {
                span: self.at..self.at + 1,
                problem: "a comma in the number".to_owned(),
                expected: "a point before the decimals".to_owned(),
                help: Some(self.without_comma()),
            });
        }
        let number = if negative { -magnitude } else { magnitude };
        let after_number = self.at;
        self.blanks();
        let unit = self.unit();
        if unit.is_empty() {
            self.at = after_number;
        }
        Ok(Scalar {
            number,
            digits: start..digits.end,
            unit,
            start,
            end: self.at,
        })
    }

    /// A comma before the decimals, or one between groups of digits: only the first can be told for sure.
    fn without_comma(&self) -> String {
        if self.text.contains('.') || self.text.matches(',').count() > 1 {
            return "write large numbers without commas, or part their digits by `_`".to_owned();
        }
        format!("write `{}`", cut(&self.text.trim().replacen(',', ".", 1)))
    }

    fn no_number(&self, start: usize, digits: &Span<usize>, expected: &str) -> TextError {
        let shown = self.text[start..].trim_end();
        let (problem, end) = if shown.is_empty() {
            ("a number is missing".to_owned(), self.text.len())
        } else {
            (
                format!("`{}` does not begin with a number", cut(shown)),
                start + shown.len(),
            )
        };
        TextError {
            span: start.min(digits.start)..end,
            problem,
            expected: expected.to_owned(),
            help: None,
        }
    }

    /// Digits with one decimal point and an exponent, but not the dots of a range.
    fn digits(&mut self) -> Span<usize> {
        let start = self.at;
        let bytes = self.text.as_bytes();
        let mut at = start;
        let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
        let run = |mut at: usize| {
            while digit(at) || (bytes.get(at) == Some(&b'_') && digit(at + 1)) {
                at += 1;
            }
            at
        };
        at = run(at);
        if bytes.get(at) == Some(&b'.') && bytes.get(at + 1) != Some(&b'.') && (digit(at + 1) || at > start) {
            at = run(at + 1);
        }
        if at > start && matches!(bytes.get(at), Some(b'e' | b'E')) {
            let sign = usize::from(matches!(bytes.get(at + 1), Some(b'+' | b'-')));
            if digit(at + 1 + sign) {
                at = run(at + 1 + sign);
            }
        }
        self.at = at;
        start..at
    }

    /// The unit text: up to a tolerance, a range, a bracket or the end; blanks inside are kept ("N m").
    fn unit(&mut self) -> Span<usize> {
        let start = self.at;
        let rest = self.rest();
        let mut length = rest.len();
        for (at, character) in rest.char_indices() {
            let ends = match character {
                '±' | '(' | ')' | ',' | ';' => true,
                '+' | '-' | '−' => true,
                '.' => rest[at..].starts_with(".."),
                _ => false,
            };
            if ends {
                length = at;
                break;
            }
        }
        let unit = rest[..length].trim_end();
        self.at = start + unit.len();
        start..self.at
    }

    /// (low, high) around `nominal`, from what follows the unit.
    fn tolerance(
        &mut self,
        text: &str,
        kind: Kind,
        nominal: f64,
        expected: &str,
    ) -> Result<(f64, f64), TextError> {
        self.blanks();
        if self.eat("(") {
            let first = self.scalar(expected)?;
            self.blanks();
            self.need("..", "two dots between the bounds")?;
            let bounds = range_end(text, self, &first, kind, expected)?;
            self.blanks();
            self.need(")", "a closing bracket")?;
            return Ok(bounds);
        }
        if self.eat("±") || self.eat("+-") || self.eat("+/-") {
            let width = self.width(text, kind, nominal)?;
            return Ok((nominal - width, nominal + width));
        }
        let (mut low, mut high) = (None, None);
        for _ in 0..2 {
            self.blanks();
            if high.is_none() && self.eat("+") {
                high = Some(nominal + self.width(text, kind, nominal)?);
            } else if low.is_none() && (self.eat("-") || self.eat("−")) {
                low = Some(nominal - self.width(text, kind, nominal)?);
            }
        }
        Ok((low.unwrap_or(nominal), high.unwrap_or(nominal)))
    }

    fn need(&mut self, token: &str, expected: &str) -> Result<(), TextError> {
        if self.eat(token) {
            return Ok(());
        }
        Err(TextError {
            span: self.at.min(self.text.len())..self.text.len(),
            problem: format!("`{token}` is missing"),
            expected: expected.to_owned(),
            help: None,
        })
    }

    /// The width of one side of a tolerance, in base units.
    fn width(&mut self, text: &str, kind: Kind, nominal: f64) -> Result<f64, TextError> {
        let expected = match kind {
            Kind::Temperature => "a tolerance in kelvin, such as ± 2 K",
            _ => "a tolerance such as 5 % or one in the unit of the value",
        };
        let scalar = self.scalar(expected)?;
        if scalar.number < 0.0 {
            return Err(TextError {
                span: scalar.digits,
                problem: "a negative tolerance".to_owned(),
                expected: "a number that is not negative".to_owned(),
                help: None,
            });
        }
        let unit = &text[scalar.unit.clone()];
        if unit == "%" {
            if kind == Kind::Temperature {
                return Err(TextError {
                    span: scalar.unit,
                    problem: "a temperature has no per cent".to_owned(),
                    expected: "a tolerance in kelvin, such as ± 2 K".to_owned(),
                    help: None,
                });
            }
            return Ok((nominal * scalar.number / 100.0).abs());
        }
        let kind = if kind == Kind::Temperature {
            Kind::TemperatureDifference
        } else {
            kind
        };
        let (factor, _) = unit_of(text, &scalar, kind, expected)?;
        Ok(scalar.number * factor)
    }
}

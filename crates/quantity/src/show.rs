//! Value to text: rounded for people, or exact so that it reads back as the same value.

use crate::any::AnyValue;
use crate::number::Quantity;
use crate::text::parse_bounds;
use crate::unit::{Kind, PREFIXES};
use crate::value::Value;

/// How many significant digits are shown; 1 to 15.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Digits(u8);

impl Digits {
    /// A number of significant digits, brought into 1 ..= 15.
    #[must_use]
    pub fn new(digits: u8) -> Self {
        Self(digits.clamp(1, 15))
    }
}

impl Default for Digits {
    /// Four: enough to tell 24.0 V from 24.48 V, few enough to read at the bench.
    fn default() -> Self {
        Self(4)
    }
}

/// A value for people: one unit and prefix for the nominal and its bounds, rounded to significant digits.
///
/// "24 V", "39.96 W (35.9 W .. 44.1 W)"; the bounds are left out where there is no tolerance.
#[must_use]
pub fn show(value: &AnyValue, digits: Digits) -> String {
    if !value.nominal.is_finite() {
        return "unbounded".to_owned();
    }
    let unit = ShownUnit::best(value.kind, value.nominal.abs().max(smallest_scale(value)));
    let text = unit.write(value.nominal, digits);
    if value.low == value.high {
        return text;
    }
    // A tolerance too small to change a digit is not worth its place on the line.
    let (low, high) = (unit.number(value.low, digits), unit.number(value.high, digits));
    if low == high {
        return text;
    }
    let end = |number: f64, written: String| {
        if number.is_finite() {
            written
        } else {
            "unbounded".to_owned()
        }
    };
    format!(
        "{text} ({} .. {})",
        end(value.low, low),
        end(value.high, unit.write(value.high, digits))
    )
}

/// A nominal of zero takes its prefix from its bounds.
fn smallest_scale(value: &AnyValue) -> f64 {
    if value.nominal == 0.0 {
        value.low.abs().max(value.high.abs())
    } else {
        0.0
    }
}

impl<Q: Quantity> Value<Q> {
    /// The exact text: [`crate::parse_value`] gives back the same value, to the last bit.
    #[must_use]
    pub fn to_text(&self) -> String {
        exact_text(&AnyValue::from(*self))
    }
}

fn exact_text(value: &AnyValue) -> String {
    let kind = value.kind;
    let nominal = exact_scalar(kind, value.nominal);
    if value.low == value.nominal && value.high == value.nominal {
        return nominal;
    }
    let up = rounded((value.high - value.nominal) / value.nominal.abs() * 100.0);
    let down = rounded((value.nominal - value.low) / value.nominal.abs() * 100.0);
    let candidates = [
        format!("{nominal} ± {up} %"),
        format!("{nominal} +{up} % -{down} %"),
    ];
    let same = |text: &String| parse_bounds(text, kind) == Ok((value.low, value.nominal, value.high));
    candidates.into_iter().find(same).unwrap_or_else(|| {
        // A bound without unit would take the unit of the other one, so plain numbers stand with plain numbers.
        let bound = match kind {
            Kind::Ratio => |_, base| format!("{base}"),
            _ => exact_scalar,
        };
        format!(
            "{nominal} ({} .. {})",
            bound(kind, value.low),
            bound(kind, value.high)
        )
    })
}

/// A tolerance in per cent as it was probably written: ten decimals undo the rounding of the bounds.
fn rounded(percent: f64) -> f64 {
    (percent * 1e10).round() / 1e10
}

/// A number and unit that read back to exactly `base`; the base unit serves where no prettier one does.
fn exact_scalar(kind: Kind, base: f64) -> String {
    let best = ShownUnit::best(kind, base.abs());
    let pretty = best.join(&format!("{}", best.of(base)));
    if parse_bounds(&pretty, kind).is_ok_and(|(_, nominal, _)| nominal == base) {
        return pretty;
    }
    // The written number is searched a few steps around: dividing by the factor may be off by one in the last place.
    let base_unit = ShownUnit {
        prefix: "",
        symbol: base_symbol(kind),
        factor: 1.0,
        offset: 0.0,
    };
    base_unit.join(&format!("{base}"))
}

fn base_symbol(kind: Kind) -> &'static str {
    let unit = kind
        .units()
        .iter()
        .find(|unit| unit.factor == 1.0 && unit.offset == 0.0);
    unit.map_or("", |unit| unit.symbol)
}

/// A unit with its prefix, as it is written.
#[derive(Clone, Copy)]
struct ShownUnit {
    prefix: &'static str,
    symbol: &'static str,
    factor: f64,
    offset: f64,
}

impl ShownUnit {
    /// The shown unit in which `magnitude` (base units) has the fewest digits before the point, but at least one.
    fn best(kind: Kind, magnitude: f64) -> Self {
        if kind == Kind::Ratio {
            // A share below 2 reads best in per cent, anything else as a plain number.
            let percent = magnitude < 2.0;
            return Self {
                prefix: "",
                symbol: if percent { "%" } else { "" },
                factor: if percent { 1e-2 } else { 1.0 },
                offset: 0.0,
            };
        }
        // Asked for each number of each sentence, so nothing is allocated here.
        let by_factor = |a: &Self, b: &Self| a.factor.total_cmp(&b.factor);
        let usual = || {
            Self::all(kind)
                .filter(|unit| unit.is_usual(kind))
                .min_by(by_factor)
        };
        let chosen = || {
            let suiting = Self::all(kind).filter(|unit| unit.suits(kind, magnitude));
            suiting
                .max_by(by_factor)
                .or_else(|| Self::all(kind).min_by(by_factor))
        };
        let zero = magnitude == 0.0 || kind == Kind::Temperature;
        let found = if zero { usual().or_else(chosen) } else { chosen() };
        // Each kind has a unit that is shown; a test holds that.
        found.unwrap_or(Self {
            prefix: "",
            symbol: base_symbol(kind),
            factor: 1.0,
            offset: 0.0,
        })
    }

    /// Every shown unit of a kind with every prefix that it takes.
    fn all(kind: Kind) -> impl Iterator<Item = Self> {
        let shown = kind.units().iter().filter(|unit| unit.shown);
        shown.flat_map(|unit| {
            let prefixes = if unit.prefixes {
                &PREFIXES[..]
            } else {
                &PREFIXES[4..5]
            };
            prefixes.iter().map(|(prefix, factor)| Self {
                prefix,
                symbol: unit.symbol,
                factor: unit.factor * factor,
                offset: unit.offset,
            })
        })
    }

    fn is(&self, written: &str) -> bool {
        self.prefix.is_empty() && self.symbol == written
    }

    /// Whether the magnitude is at least one of this unit; lengths stay in mm until ten metres.
    fn suits(&self, kind: Kind, magnitude: f64) -> bool {
        let threshold = match kind {
            Kind::Length if self.is("m") => 10.0,
            Kind::Length if self.is("mm") => 0.01,
            Kind::ResistancePerLength if self.is("Ω/m") => 1.0,
            Kind::Torque if self.is("N m") => 0.1,
            _ => 1.0,
        };
        magnitude / self.factor >= threshold * (1.0 - 1e-12)
    }

    /// The unit for zero: the unprefixed one, mm for lengths.
    fn is_usual(&self, kind: Kind) -> bool {
        match kind {
            Kind::Length => self.is("mm"),
            Kind::Mass => self.is("g"),
            _ => self.prefix.is_empty(),
        }
    }

    fn of(&self, base: f64) -> f64 {
        (base - self.offset) / self.factor
    }

    fn join(&self, number: &str) -> String {
        if self.symbol.is_empty() {
            return number.to_owned();
        }
        let space = if self.symbol == "°" { "" } else { " " };
        [number, space, self.prefix, self.symbol].concat()
    }

    fn write(&self, base: f64, digits: Digits) -> String {
        self.join(&self.number(base, digits))
    }

    /// The number alone: significant digits, no needless zeros, a true minus sign is left to the page.
    fn number(&self, base: f64, digits: Digits) -> String {
        let number = self.of(base);
        if number == 0.0 || !number.is_finite() {
            return "0".to_owned();
        }
        let before_point = number.abs().log10().floor() + 1.0;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to 0 ..= 15"
        )]
        let decimals = (f64::from(digits.0) - before_point).clamp(0.0, 15.0) as usize;
        let text = format!("{number:.decimals$}");
        let text = if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.')
        } else {
            &text
        };
        if text == "-0" {
            "0".to_owned()
        } else {
            text.to_owned()
        }
    }
}

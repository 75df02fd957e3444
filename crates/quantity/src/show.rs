//! Value to text: rounded for people, or exact so that it reads back as the same value.

use core::fmt::{self, Write};
use std::sync::LazyLock;

use crate::any::AnyValue;
use crate::number::Quantity;
use crate::text::parse_bounds;
use crate::unit::{Kind, PREFIXES};
use crate::value::Value;

/// How many significant digits are shown; 1 to 15.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Digits(u8);

impl Digits {
    /// Three: what a hand-held meter is read to.
    pub const THREE: Self = Self(3);

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
    let mut text = String::with_capacity(32);
    // Writing into a string does not fail.
    let _ = write_shown(&mut text, value, digits);
    text
}

/// A number that is no share for people: a count, or a place on a scale without unit. [`show`] would write the count 1 as "100 %".
///
/// "1", "31.45 (26.37 .. 34.39)"; for a value of the kind [`Kind::Ratio`], of any other kind in base units without their symbol.
#[must_use]
pub fn show_bare(value: &AnyValue, digits: Digits) -> String {
    let mut text = String::with_capacity(16);
    // Writing into a string does not fail.
    let _ = write_in(&mut text, ShownUnit::NONE, value, digits);
    text
}

/// A value whose interval is an uncertainty or a tolerance, for people: its digits follow the interval.
///
/// The larger half of the interval has two significant digits, value and bounds end at the same place: "1.71 K (1.19 .. 2.23 K)". Zeros
/// that all three end in are left out, digits before the point are kept, and the value has at most as many significant digits as it
/// is asked for: a tolerance is worth fewer than a measurement. A value without an interval, or with one that changes none of these
/// digits, is written as [`show`] does.
///
/// # Source
/// JCGM 100:2008 (GUM), 7.2.6.
#[must_use]
pub fn show_interval(value: &AnyValue, most: Digits) -> String {
    with_bounds(ShownUnit::of_interval(value), value, most).unwrap_or_else(|| show(value, Digits::default()))
}

/// The same for a number that is no share; see [`show_bare`].
#[must_use]
pub fn show_interval_bare(value: &AnyValue, most: Digits) -> String {
    with_bounds(ShownUnit::NONE, value, most).unwrap_or_else(|| show_bare(value, Digits::default()))
}

/// The nominal alone of a value whose interval is an uncertainty, for sentences: in the unit and with the digits of [`show_interval`].
#[must_use]
pub fn show_nominal(value: &AnyValue) -> String {
    let unit = ShownUnit::of_interval(value);
    let shown = by_interval(unit, value, Digits::new(15));
    shown.map_or_else(
        || {
            show(
                &AnyValue {
                    low: value.nominal,
                    high: value.nominal,
                    ..*value
                },
                Digits::default(),
            )
        },
        |[nominal, ..]| unit.join(&nominal),
    )
}

/// A number without unit and without interval, for tables: three digits are as many as such a number is worth.
#[must_use]
pub fn rounded(number: f64) -> String {
    Rounded::of(number, Digits::new(3)).to_string()
}

/// Nominal with the larger half of an interval that is an uncertainty: "0.90 ± 0.43 K"; in the unit and with the digits of
/// [`show_interval`], and as that where one half is more than twice the other.
#[must_use]
pub fn show_half(value: &AnyValue, most: Digits) -> String {
    halved(ShownUnit::of_interval(value), value, most).unwrap_or_else(|| show_interval(value, most))
}

/// The same for a number that is no share; see [`show_bare`].
#[must_use]
pub fn show_half_bare(value: &AnyValue, most: Digits) -> String {
    halved(ShownUnit::NONE, value, most).unwrap_or_else(|| show_interval_bare(value, most))
}

fn halved(unit: ShownUnit, value: &AnyValue, most: Digits) -> Option<String> {
    let [nominal, low, high] = by_interval(unit, value, most)?;
    let decimals = nominal.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    // What is shown decides, so that the half is never less than the bounds that stand elsewhere.
    let [middle, low, high] = [&nominal, &low, &high].map(|text| text.parse::<f64>().ok());
    let (below, above) = (middle? - low?, high? - middle?);
    let half = below.max(above);
    (half <= 2.0 * below.min(above)).then(|| unit.join(&format!("{nominal} ± {half:.decimals$}")))
}

fn with_bounds(unit: ShownUnit, value: &AnyValue, most: Digits) -> Option<String> {
    let [nominal, low, high] = by_interval(unit, value, most)?;
    Some(format!("{} ({low} .. {})", unit.join(&nominal), unit.join(&high)))
}

/// Nominal and bounds; nothing where there is no interval whose digits could be followed.
fn by_interval(unit: ShownUnit, value: &AnyValue, most: Digits) -> Option<[String; 3]> {
    let numbers = [value.nominal, value.low, value.high].map(|base| unit.of(base));
    let [nominal, low, high] = numbers;
    let half = (nominal - low).max(high - nominal);
    if !half.is_finite() || half <= 0.0 {
        return None;
    }
    let place = |number: f64, digits: f64| digits - 1.0 - number.log10().floor();
    let largest = place(low.abs().max(high.abs()), f64::from(most.0));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 ..= 12")]
    let mut decimals = place(half, 2.0).min(largest).clamp(0.0, 12.0) as usize;
    let shown = |decimals: usize| {
        let scale = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
        // "-0.00" is no number to read.
        numbers.map(|number| format!("{:.decimals$}", (number * scale).round() / scale + 0.0))
    };
    while decimals > 0 && shown(decimals).iter().all(|text| text.ends_with('0')) {
        decimals -= 1;
    }
    let texts = shown(decimals);
    (texts[1] != texts[2]).then_some(texts)
}

/// Writes what [`show`] gives. A plan writes hundreds of values, so nothing is allocated on the way.
pub(crate) fn write_shown(out: &mut dyn Write, value: &AnyValue, digits: Digits) -> fmt::Result {
    let unit = ShownUnit::best(value.kind, value.nominal.abs().max(smallest_scale(value)));
    write_in(out, unit, value, digits)
}

fn write_in(out: &mut dyn Write, unit: ShownUnit, value: &AnyValue, digits: Digits) -> fmt::Result {
    const UNBOUNDED: &str = "unbounded";
    if !value.nominal.is_finite() {
        return out.write_str(UNBOUNDED);
    }
    unit.write(out, unit.round(value.nominal, digits))?;
    if value.low == value.high {
        return Ok(());
    }
    // A tolerance too small to change a digit is not worth its place on the line.
    let (low, high) = (unit.round(value.low, digits), unit.round(value.high, digits));
    if low == high {
        return Ok(());
    }
    out.write_str(" (")?;
    if value.low.is_finite() {
        write!(out, "{low}")?;
    } else {
        out.write_str(UNBOUNDED)?;
    }
    out.write_str(" .. ")?;
    if value.high.is_finite() {
        unit.write(out, high)?;
    } else {
        out.write_str(UNBOUNDED)?;
    }
    out.write_char(')')
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
    let up = as_written((value.high - value.nominal) / value.nominal.abs() * 100.0);
    let down = as_written((value.nominal - value.low) / value.nominal.abs() * 100.0);
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
fn as_written(percent: f64) -> f64 {
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
    /// Nothing behind the number.
    const NONE: Self = Self {
        prefix: "",
        symbol: "",
        factor: 1.0,
        offset: 0.0,
    };

    /// The unit of a value with an interval: where the nominal is less than half of it, the interval is what is read.
    fn of_interval(value: &AnyValue) -> Self {
        let half = (value.high - value.low) / 2.0;
        let half = if half.is_finite() && value.kind != Kind::Temperature {
            half
        } else {
            0.0
        };
        let magnitude = value.nominal.abs().max(smallest_scale(value));
        Self::best(value.kind, if magnitude < half { half } else { magnitude })
    }

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
        let units = &SHOWN[kind as usize];
        let usual = || units.iter().find(|unit| unit.is_usual(kind));
        let chosen = || {
            let suiting = units.iter().rev().find(|unit| unit.suits(kind, magnitude));
            suiting.or(units.first())
        };
        let zero = magnitude == 0.0 || kind == Kind::Temperature;
        let found = if zero { usual().or_else(chosen) } else { chosen() };
        // Each kind has a unit that is shown; a test holds that.
        found.copied().unwrap_or(Self {
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

    /// Whether the magnitude is at least one of this unit; lengths stay in mm until ten metres, kelvin from a tenth on.
    fn suits(&self, kind: Kind, magnitude: f64) -> bool {
        let threshold = match kind {
            Kind::Length if self.is("m") => 10.0,
            Kind::Length if self.is("mm") => 0.01,
            Kind::ResistancePerLength if self.is("Ω/m") => 1.0,
            Kind::Torque if self.is("N m") => 0.1,
            Kind::TemperatureDifference if self.is("K") => 0.1,
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

    fn write(&self, out: &mut dyn Write, number: Rounded) -> fmt::Result {
        write!(out, "{number}")?;
        if !self.symbol.is_empty() && self.symbol != "°" {
            out.write_char(' ')?;
        }
        out.write_str(self.prefix)?;
        out.write_str(self.symbol)
    }

    /// The number alone, to significant digits.
    fn round(&self, base: f64, digits: Digits) -> Rounded {
        Rounded::of(self.of(base), digits)
    }
}

/// The shown units of each kind, the smallest first, in the order of [`Kind`].
static SHOWN: LazyLock<Vec<Vec<ShownUnit>>> = LazyLock::new(|| {
    let sorted = |kind: &Kind| {
        let mut units: Vec<ShownUnit> = ShownUnit::all(*kind).collect();
        units.sort_by(|a, b| a.factor.total_cmp(&b.factor));
        units
    };
    debug_assert!(
        Kind::ALL
            .iter()
            .enumerate()
            .all(|(at, kind)| *kind as usize == at)
    );
    Kind::ALL.iter().map(sorted).collect()
});

/// A number rounded to significant digits, without needless zeros; a true minus sign is left to the page.
#[derive(Clone, Copy, PartialEq)]
enum Rounded {
    /// `significand` / 10^`decimals`.
    Decimal {
        negative: bool,
        significand: u64,
        decimals: u32,
    },
    /// At least 10^15, so without decimals.
    Large(f64),
}

impl Rounded {
    const ZERO: Self = Self::Decimal {
        negative: false,
        significand: 0,
        decimals: 0,
    };

    /// Rounds as the formatting of the standard library does; what is not finite becomes zero, and is left to the caller.
    fn of(number: f64, digits: Digits) -> Self {
        let magnitude = number.abs();
        if magnitude == 0.0 || !magnitude.is_finite() {
            return Self::ZERO;
        }
        if magnitude >= 1e15 {
            return Self::Large(number);
        }
        let before_point = magnitude.log10().floor() + 1.0;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to 0 ..= 15"
        )]
        let mut decimals = (f64::from(digits.0) - before_point).clamp(0.0, 15.0) as u32;
        let scaled = magnitude * 10_u64.pow(decimals) as f64;
        // The product is off by at most one part in 2^53. Close to a tie that could turn the rounding, and the slow way decides.
        let doubt = scaled * 2.0 * f64::EPSILON;
        let mut significand = if (scaled.fract() - 0.5).abs() > doubt {
            whole(scaled.round())
        } else {
            let text = format!("{magnitude:.*}", decimals as usize);
            text.bytes()
                .filter(u8::is_ascii_digit)
                .fold(0, |sum, digit| sum * 10 + u64::from(digit - b'0'))
        };
        while decimals > 0 && significand.is_multiple_of(10) {
            significand /= 10;
            decimals -= 1;
        }
        Self::Decimal {
            negative: number < 0.0 && significand != 0,
            significand,
            decimals,
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "positive and below 10^16"
)]
fn whole(number: f64) -> u64 {
    number as u64
}

impl fmt::Display for Rounded {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Large(number) => write!(formatter, "{number:.0}"),
            Self::Decimal {
                negative,
                significand,
                decimals,
            } => {
                if negative {
                    formatter.write_char('-')?;
                }
                let one = 10_u64.pow(decimals);
                write!(formatter, "{}", significand / one)?;
                if decimals > 0 {
                    write!(
                        formatter,
                        ".{:0width$}",
                        significand % one,
                        width = decimals as usize
                    )?;
                }
                Ok(())
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_count_of_one_is_no_share() {
        let value = |low: f64, nominal: f64, high: f64| AnyValue {
            kind: Kind::Ratio,
            nominal,
            low,
            high,
        };
        assert_eq!(show(&value(1.0, 1.0, 1.0), Digits::default()), "100 %");
        assert_eq!(show_bare(&value(1.0, 1.0, 1.0), Digits::default()), "1");
        assert_eq!(
            show_bare(&value(0.5, 1.254, f64::INFINITY), Digits::default()),
            "1.254 (0.5 .. unbounded)"
        );
    }

    /// GUM 7.2.6: "10.058 Ω" and not "10.057 62 Ω" where the uncertainty is 27 mΩ.
    #[test]
    fn digits_follow_the_interval() {
        let shown = |kind, bounds: [f64; 3], most| {
            let [low, nominal, high] = bounds;
            let value = AnyValue {
                kind,
                nominal,
                low,
                high,
            };
            show_interval(&value, Digits::new(most))
        };
        let kelvin = |bounds, most| shown(Kind::TemperatureDifference, bounds, most);
        assert_eq!(
            shown(Kind::Resistance, [10.03062, 10.05762, 10.08462], 9),
            "10.058 Ω (10.031 .. 10.085 Ω)"
        );
        assert_eq!(kelvin([1.187, 1.71, 2.233], 4), "1.71 K (1.19 .. 2.23 K)");
        assert_eq!(kelvin([39.71, 39.75, 39.796], 9), "39.750 K (39.710 .. 39.796 K)");
        assert_eq!(kelvin([39.71, 39.75, 39.796], 4), "39.75 K (39.71 .. 39.80 K)");
        assert_eq!(kelvin([0.516, 0.5307, 0.5461], 4), "0.531 K (0.516 .. 0.546 K)");
        assert_eq!(kelvin([0.0516, 0.0531, 0.0546], 4), "53.1 mK (51.6 .. 54.6 mK)");
        // A nominal that is small in a wide interval takes the unit of the interval.
        assert_eq!(kelvin([-0.143, -0.00097, 0.141], 9), "0.00 K (-0.14 .. 0.14 K)");
        assert_eq!(kelvin([-0.0004, 0.0, 0.0004], 4), "0.0 mK (-0.4 .. 0.4 mK)");
        assert_eq!(
            shown(Kind::Temperature, [554.6, 638.05, 752.35], 4),
            "365 °C (281 .. 479 °C)"
        );
        let nominal = |low, nominal, high| {
            show_nominal(&AnyValue {
                kind: Kind::TemperatureDifference,
                nominal,
                low,
                high,
            })
        };
        assert_eq!(nominal(24.8332, 24.8351, 24.8370), "24.8351 K");
        assert_eq!(nominal(20.0, 24.8351, 30.0), "24.8 K");
        assert_eq!(nominal(0.5, 0.5, 0.5), "0.5 K");
        assert_eq!(
            [0.031_26, 26.46, 1234.0, 0.0].map(rounded),
            ["0.0313", "26.5", "1234", "0"]
        );
        // Nothing to follow.
        assert_eq!(shown(Kind::Voltage, [24.0, 24.0, 24.0], 4), "24 V");
        assert_eq!(shown(Kind::Voltage, [24.0, 24.0, 24.001], 4), "24 V");
        assert_eq!(
            shown(Kind::Voltage, [f64::NEG_INFINITY, 1.0, 2.0], 4),
            "1 V (unbounded .. 2 V)"
        );
    }

    proptest! {
        /// What is read is what is meant, to a twentieth of the wider half of the interval.
        #[test]
        fn the_interval_that_is_read_is_the_interval(
            nominal in -1e4..1e4_f64, down in 1e-4..1e3_f64, up in 1e-4..1e3_f64,
        ) {
            let value = AnyValue { kind: Kind::Ratio, nominal, low: nominal - down, high: nominal + up };
            let text = show_interval_bare(&value, Digits::new(15));
            let numbers: Vec<f64> = text.split([' ', '(', ')']).filter_map(|part| part.parse().ok()).collect();
            prop_assert_eq!(numbers.len(), 3, "{}", text);
            for (read, meant) in numbers.into_iter().zip([value.nominal, value.low, value.high]) {
                prop_assert!((read - meant).abs() <= 0.05001 * down.max(up), "{text}");
            }
        }

        /// The quick way writes what the standard library's formatting does.
        #[test]
        fn rounding_is_that_of_the_standard_library(
            mantissa in prop_oneof![-1e4..1e4_f64, (-20_000..20_000_i32).prop_map(|number| f64::from(number) / 16.0)],
            exponent in -20..20_i32,
            digits in 1..=15_u8,
        ) {
            for number in [mantissa, mantissa * 10_f64.powi(exponent)] {
                let before_point = number.abs().log10().floor() + 1.0;
                let decimals = (f64::from(digits) - before_point).clamp(0.0, 15.0);
                let plain = format!("{number:.*}", decimals as usize);
                let short = if plain.contains('.') { plain.trim_end_matches('0').trim_end_matches('.') } else { &plain };
                let wanted = if matches!(short, "-0" | "") { "0" } else { short };
                prop_assert_eq!(Rounded::of(number, Digits::new(digits)).to_string(), wanted);
            }
        }
    }

    #[test]
    fn an_even_interval_is_a_half_and_an_uneven_one_stays() {
        let of = |low, nominal, high| AnyValue {
            kind: Kind::TemperatureDifference,
            nominal,
            low,
            high,
        };
        let digits = Digits::new(9);
        assert_eq!(show_half(&of(0.47, 0.90, 1.33), digits), "0.90 ± 0.43 K");
        assert_eq!(show_half(&of(0.50, 0.90, 1.33), digits), "0.90 ± 0.43 K");
        assert_eq!(
            show_half(&of(0.0, 0.1, 4.8), digits),
            show_interval(&of(0.0, 0.1, 4.8), digits)
        );
        assert_eq!(show_half(&of(0.9, 0.9, 0.9), digits), "0.9 K");
    }
}

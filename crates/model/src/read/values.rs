//! Single values: names, numbers, words of memory and money, quantities with their tolerance, points.

use quantity::{Kind, Memory, Number, Price, Quantity, Range, Value, WireSize};
use serde_json::{Value as Json, json};
use toml::de::DeValue;

use super::bounds::{Beyond, beyond, beyond_numbers, keeps};
use super::{Field, Node, Reader, Shape};
use crate::diagnostic::Diagnostic;
use crate::source::{Located, Name, Place};

/// Up to 200 characters of one line.
impl Field for Name {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let text = reader.string(node, "a name in quotes")?;
        let place = reader.place(node.span());
        let fault = if text.trim().is_empty() {
            Some("an empty name")
        } else if text.chars().count() > 200 {
            Some("a name of more than 200 characters")
        } else if text.chars().any(|c| c.is_control() || writing::is_hidden(c)) {
            Some("a name with a character that hides, or acts on what is shown")
        } else {
            None
        };
        if let Some(fault) = fault {
            reader.faults.push(
                Diagnostic::new("bad-name", place, fault, fault).expected("one line of visible characters"),
            );
            return None;
        }
        Some(Located {
            value: text.trim().to_owned(),
            place,
        })
    }
    fn schema() -> Json {
        json!({ "type": "string", "minLength": 1, "maxLength": 200 })
    }
}

impl Field for Located<bool> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let DeValue::Boolean(value) = node.get_ref() else {
            reader.wrong_type(node, "true or false");
            return None;
        };
        Some(Located {
            value: *value,
            place: reader.place(node.span()),
        })
    }
    fn schema() -> Json {
        json!({ "type": "boolean" })
    }
}

/// A whole number that is not negative, decimal or hexadecimal.
impl Field for Located<u32> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let DeValue::Integer(integer) = node.get_ref() else {
            reader.wrong_type(node, "a whole number");
            return None;
        };
        let place = reader.place(node.span());
        let digits: String = integer.as_str().chars().filter(|c| *c != '_').collect();
        match u32::from_str_radix(&digits, integer.radix()) {
            Ok(value) => {
                keeps(reader, place, |bound| beyond_numbers(bound, f64::from(value)))?;
                Some(Located { value, place })
            }
            Err(_) => {
                reader.faults.push(
                    Diagnostic::new("bad-value", place, "the number is out of range", "out of range")
                        .expected("a whole number from 0 to 4294967295"),
                );
                None
            }
        }
    }
    fn schema() -> Json {
        json!({ "type": "integer", "minimum": 0, "maximum": u32::MAX })
    }
}

/// What a kind may be in a file of this trade, in base units: (smallest, largest, how it is said).
fn plausible(kind: Kind) -> (f64, f64, &'static str) {
    const TINY: f64 = f64::MIN_POSITIVE;
    match kind {
        Kind::Voltage => (TINY, 400.0, "above 0 V and at most 400 V"),
        Kind::Current => (TINY, 100.0, "above 0 A and at most 100 A"),
        Kind::Resistance => (TINY, 1e8, "above 0 Ω and at most 100 MΩ"),
        Kind::Power => (TINY, 5e3, "above 0 W and at most 5 kW"),
        Kind::Inductance => (TINY, 1.0, "above 0 H and at most 1 H"),
        Kind::Capacitance => (TINY, 1.0, "above 0 F and at most 1 F"),
        Kind::Frequency => (TINY, 1e9, "above 0 Hz and at most 1 GHz"),
        Kind::Length => (0.0, 10.0, "from 0 mm to 10 m"),
        Kind::Area => (TINY, 1.0, "above 0 and at most 1 m²"),
        Kind::Mass => (TINY, 500.0, "above 0 and at most 500 kg"),
        Kind::Time => (0.0, 1e6, "from 0 s to 11 days"),
        Kind::Velocity => (TINY, 5.0, "above 0 and at most 5000 mm/s"),
        Kind::Acceleration => (TINY, 200.0, "above 0 and at most 200 m/s²"),
        Kind::Force => (0.0, 1e4, "from 0 N to 10 kN"),
        Kind::Torque => (TINY, 100.0, "above 0 and at most 100 N m"),
        Kind::MomentOfInertia => (0.0, 0.01, "from 0 g cm² to 100 kg cm²"),
        Kind::Angle => (0.0, 7.0, "from 0° to 360°"),
        Kind::AngularVelocity => (TINY, 1e4, "above 0"),
        Kind::Temperature => (203.15, 873.15, "from -70 °C to 600 °C"),
        Kind::TemperatureDifference => (0.0, 600.0, "from 0 K to 600 K"),
        Kind::ThermalResistance => (TINY, 1e4, "above 0 K/W"),
        Kind::ThermalConductance => (TINY, 1e4, "above 0 W/K"),
        Kind::HeatCapacity => (TINY, 1e6, "above 0 J/K"),
        Kind::TemperatureCoefficient => (0.0, 1.0, "from 0 to 100 %/K"),
        Kind::StepDensity => (TINY, 1e8, "above 0 step/mm"),
        Kind::ResistancePerLength => (TINY, 1e4, "above 0 Ω/m"),
        Kind::VolumeRate => (TINY, 1e-6, "above 0 and at most 1000 mm³/s"),
        Kind::Density => (TINY, 3e4, "above 0 and at most 30 g/cm³"),
        Kind::SpecificHeat => (TINY, 2e4, "above 0 and at most 20 kJ/kg/K"),
        Kind::Ratio => (0.0, 1e6, "not negative"),
        Kind::Energy => (0.0, 1e9, "not negative"),
    }
}

/// Checks the bounds (low, nominal, high) of a value against what is plausible, and says how.
fn within_reason(
    reader: &mut Reader<'_>,
    place: Place,
    kind: Kind,
    (low, nominal, high): (f64, f64, f64),
) -> Option<()> {
    let (smallest, largest, allowed) = plausible(kind);
    let slip = "check the decimal point and the unit's prefix";
    let (problem, help) = if nominal < 0.0 && smallest >= 0.0 {
        ("a negative value makes no sense here", "remove the sign")
    } else if nominal > 0.0 && low < smallest && smallest < 1e-9 {
        (
            "the tolerance reaches down to zero",
            "state a smaller tolerance, or both bounds in brackets",
        )
    } else if low < smallest {
        ("the value is too small", slip)
    } else if high > largest {
        ("the value is too large", slip)
    } else {
        return Some(());
    };
    let name = kind.name();
    reader.faults.push(
        Diagnostic::new(
            "implausible-value",
            place,
            format!("{problem}: a {name} of this trade is {allowed}"),
            problem,
        )
        .expected(format!("a {name}, {allowed}"))
        .help(help.to_owned()),
    );
    None
}

/// Which end of a bound of a quantity a value lies beyond.
fn beyond_range<Q: Quantity>(bound: &str, low: f64, high: f64) -> Option<Beyond> {
    let range = quantity::parse_range::<Q>(bound).ok()?;
    beyond(low, high, range.low().base(), range.high().base())
}

#[expect(clippy::cast_precision_loss, reason = "memory of controllers is far below")]
fn beyond_memory(bound: &str, value: Memory) -> Option<Beyond> {
    let (low, high) = bound.split_once(" .. ")?;
    let bytes = |text: &str| Some(quantity::parse_memory(text).ok()?.bytes() as f64);
    let value = value.bytes() as f64;
    beyond(value, value, bytes(low)?, bytes(high)?)
}

#[expect(clippy::cast_precision_loss, reason = "prices of parts are far below")]
fn beyond_price(bound: &str, value: Price) -> Option<Beyond> {
    beyond_numbers(bound, value.hundredths() as f64 / 100.0)
}

fn beyond_wire(bound: &str, value: WireSize) -> Option<Beyond> {
    let area = value.area().base();
    beyond_range::<quantity::si::Area>(bound, area, area)
}

macro_rules! text_field {
    ($(($type:ty, $parse:path, $beyond:path, $expected:expr, $schema:expr);)*) => { $(
        impl Field for Located<$type> {
            fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
                let text = reader.string(node, $expected)?;
                match $parse(text) {
                    Ok(value) => {
                        let place = reader.place(node.span());
                        keeps(reader, place, |bound| $beyond(bound, value))?;
                        Some(Located { value, place })
                    }
                    Err(error) => {
                        let text = text.to_owned();
                        reader.text_fault(node, &text, error);
                        None
                    }
                }
            }
            fn schema() -> Json {
                $schema
            }
        }
    )* };
}

text_field! {
    (Price, quantity::parse_price, beyond_price, "a price in quotes, such as \"12.50 EUR\"", json!({ "type": "string", "examples": ["12.50 EUR"] }));
    (Memory, quantity::parse_memory, beyond_memory, "memory in quotes, such as \"512 KiB\"", json!({ "type": "string", "examples": ["512 KiB"] }));
    (WireSize, quantity::parse_wire_size, beyond_wire, "a wire size in quotes, such as \"20 AWG\"", json!({ "type": "string", "examples": ["20 AWG", "0.5 mm²"] }));
}

/// The unit that a bare number has. Quantities that the trade writes with one prefix here and another there have none: current, resistance,
/// inductance, capacitance, frequency.
fn bare_unit(kind: Kind) -> Option<&'static str> {
    match kind {
        Kind::Voltage => Some("V"),
        Kind::Power => Some("W"),
        Kind::Length => Some("mm"),
        Kind::Velocity => Some("mm/s"),
        Kind::Temperature => Some("°C"),
        Kind::Ratio => Some(""),
        _ => None,
    }
}

impl Reader<'_> {
    /// A number without quotes as text with the unit that its key fixes; a length in the unit of its drawing.
    fn bare(&self, node: &Node<'_>, kind: Kind) -> Option<String> {
        let unit = match (kind, self.drawing) {
            (Kind::Length, Some(unit)) => unit,
            _ => bare_unit(kind)?,
        };
        match node.get_ref() {
            DeValue::Integer(number) if number.radix() == 10 => {
                Some(format!("{} {unit}", plain(number.as_str())))
            }
            DeValue::Float(number) => Some(format!("{} {unit}", plain(number.as_str()))),
            _ => None,
        }
    }
}

/// Digits without the marks between them that TOML allows.
fn plain(number: &str) -> String {
    number.chars().filter(|letter| *letter != '_').collect()
}

fn expected_quantity<Q: Quantity>() -> String {
    format!("a {} in quotes ({})", Q::KIND.name(), Q::KIND.examples())
}

impl<Q: Quantity> Field for Located<Value<Q>> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let text = match reader.bare(node, Q::KIND) {
            Some(text) => text,
            None => reader.string(node, &expected_quantity::<Q>())?.to_owned(),
        };
        let place = reader.place(node.span());
        match quantity::parse_value::<Q>(&text) {
            Ok(value) => {
                let bounds = (value.low().base(), value.nominal().base(), value.high().base());
                within_reason(reader, place, Q::KIND, bounds)?;
                keeps(reader, place, |bound| {
                    beyond_range::<Q>(bound, bounds.0, bounds.2)
                })?;
                let value = reader.end.map_or(value, |end| Value::exact(value.at(end)));
                Some(Located { value, place })
            }
            Err(error) => {
                reader.text_fault(node, &text, error);
                None
            }
        }
    }
    fn schema() -> Json {
        let kind = Q::KIND;
        // A temperature has no per cent.
        let tolerance = if kind == Kind::Temperature {
            "± 2 K"
        } else {
            "± 5 %"
        };
        json!({
            "type": "string",
            "pattern": "[0-9]",
            "description": format!("A {} with its unit ({}), optionally with a tolerance such as {tolerance}.", kind.name(), kind.examples()),
        })
    }
}

impl<Q: Quantity> Field for Located<Range<Q>> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let text = reader.string(node, &expected_quantity::<Q>())?.to_owned();
        let place = reader.place(node.span());
        match quantity::parse_range::<Q>(&text) {
            Ok(value) => {
                let bounds = (value.low().base(), value.low().base(), value.high().base());
                within_reason(reader, place, Q::KIND, bounds)?;
                keeps(reader, place, |bound| {
                    beyond_range::<Q>(bound, bounds.0, bounds.2)
                })?;
                Some(Located { value, place })
            }
            Err(error) => {
                reader.text_fault(node, &text, error);
                None
            }
        }
    }
    fn schema() -> Json {
        let kind = Q::KIND;
        json!({
            "type": "string",
            "pattern": "[0-9]",
            "description": format!("A range of {} with its unit ({}), such as \"a .. b\".", kind.name(), kind.examples()),
        })
    }
}

/// A point of the plane in millimetres from the lower left corner, x to the right, y up; may be negative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: quantity::si::Length,
    /// Up.
    pub y: quantity::si::Length,
}

impl Field for Located<Point> {
    const CROSSED: bool = true;
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let expected = "two lengths, such as [\"12 mm\", \"70 mm\"]";
        let place = reader.place(node.span());
        let DeValue::Array(items) = node.get_ref() else {
            reader.wrong_type(node, expected);
            return None;
        };
        let mut both = Vec::with_capacity(2);
        for item in items.iter() {
            let text = match reader.bare(item, Kind::Length) {
                Some(text) => text,
                None => reader.string(item, "a length in quotes (mm)")?.to_owned(),
            };
            match quantity::parse_value::<quantity::si::Length>(&text) {
                Ok(value) if value.nominal().base().abs() <= 10.0 => {
                    let place = reader.place(item.span());
                    let base = value.nominal().base();
                    keeps(reader, place, |bound| {
                        beyond_range::<quantity::si::Length>(bound, base, base)
                    })?;
                    both.push(value.nominal());
                }
                Ok(_) => {
                    let place = reader.place(item.span());
                    let problem = "further than 10 m away";
                    reader.faults.push(
                        Diagnostic::new("implausible-value", place, problem, problem).expected(expected),
                    );
                    return None;
                }
                Err(error) => {
                    reader.text_fault(item, &text, error);
                    return None;
                }
            }
        }
        if let [x, y] = both[..] {
            return Some(Located {
                value: Point { x, y },
                place,
            });
        }
        let found = match both.len() {
            1 => "one value".to_owned(),
            more => format!("{more} values"),
        };
        let problem = format!("expected {expected}, found {found}");
        reader
            .faults
            .push(Diagnostic::new("wrong-type", place, problem, "not a pair").expected(expected));
        None
    }
    fn shape() -> Shape {
        Shape::List
    }
    fn schema() -> Json {
        json!({ "type": "array", "items": { "type": "string" }, "minItems": 2, "maxItems": 2, "examples": [["12 mm", "70 mm"]] })
    }
}

/// The largest error that is allowed: what it is stated in depends on the kind of measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// To both sides of a temperature.
    Temperature(Value<quantity::si::TemperatureInterval>),
    /// To both sides of a length, as a share of it.
    Share(Value<quantity::si::Ratio>),
}

impl Field for Located<Tolerance> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let text = reader
            .string(node, "a temperature difference or a share in quotes")?
            .to_owned();
        let share = quantity::parse_value::<quantity::si::Ratio>(&text).is_ok();
        if share {
            let Located { value, place } = Located::<Value<quantity::si::Ratio>>::read(node, reader)?;
            return Some(Located {
                value: Tolerance::Share(value),
                place,
            });
        }
        if let Err(mut error) = quantity::parse_value::<quantity::si::TemperatureInterval>(&text) {
            error.expected = "a temperature difference (1 K) or a share (1 %)".to_owned();
            reader.text_fault(node, &text, error);
            return None;
        }
        let Located { value, place } =
            Located::<Value<quantity::si::TemperatureInterval>>::read(node, reader)?;
        Some(Located {
            value: Tolerance::Temperature(value),
            place,
        })
    }
    fn schema() -> Json {
        json!({
            "type": "string",
            "pattern": "[0-9]",
            "description": "A temperature difference, or a share.",
            "examples": ["1 K", "1 %"],
        })
    }
}

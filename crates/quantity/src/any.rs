//! A value whose kind is known only at run time: for findings, tables and JSON.

use serde::ser::{Serialize, SerializeStruct, Serializer};

use crate::number::Quantity;
use crate::show::{Digits, write_shown};
use crate::unit::Kind;
use crate::value::{Range, Value};

/// A value with its kind beside it, in SI base units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AnyValue {
    /// What is measured.
    pub kind: Kind,
    /// The nominal value, in the coherent SI unit of the kind.
    pub nominal: f64,
    /// The lower bound.
    pub low: f64,
    /// The upper bound.
    pub high: f64,
}

impl AnyValue {
    /// The largest value of the tolerance, without tolerance.
    #[must_use]
    pub fn at_high(self) -> Self {
        Self {
            nominal: self.high,
            low: self.high,
            high: self.high,
            ..self
        }
    }
    /// The smallest value of the tolerance, without tolerance.
    #[must_use]
    pub fn at_low(self) -> Self {
        Self {
            nominal: self.low,
            low: self.low,
            high: self.low,
            ..self
        }
    }
    /// An exact value from a number of a unit, such as 80 of "step/mm"; `None` where the kind has no such unit.
    #[must_use]
    pub fn in_unit(kind: Kind, number: f64, unit: &str) -> Option<Self> {
        let (factor, offset) = kind.find(unit)?;
        let nominal = number * factor + offset;
        Some(Self {
            kind,
            nominal,
            low: nominal,
            high: nominal,
        })
    }
    /// The nominal as a number of a unit; `None` where the kind has no such unit.
    #[must_use]
    pub fn number_of(&self, unit: &str) -> Option<f64> {
        let (factor, offset) = self.kind.find(unit)?;
        Some((self.nominal - offset) / factor)
    }
    /// The typed value again.
    ///
    /// # Errors
    /// `None` where `Q` is of another kind.
    #[must_use]
    pub fn typed<Q: Quantity>(self) -> Option<Value<Q>> {
        (self.kind == Q::KIND).then(|| {
            Value::between(
                Q::from_base(self.low),
                Q::from_base(self.nominal),
                Q::from_base(self.high),
            )
        })
    }
}

impl<Q: Quantity> From<Value<Q>> for AnyValue {
    fn from(value: Value<Q>) -> Self {
        Self {
            kind: Q::KIND,
            nominal: value.nominal().base(),
            low: value.low().base(),
            high: value.high().base(),
        }
    }
}

impl<Q: Quantity> From<Range<Q>> for AnyValue {
    fn from(range: Range<Q>) -> Self {
        let (low, high) = (range.low().base(), range.high().base());
        Self {
            kind: Q::KIND,
            nominal: f64::midpoint(low, high),
            low,
            high,
        }
    }
}

impl core::fmt::Display for AnyValue {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write_shown(formatter, self, Digits::default())
    }
}

impl<Q: Quantity> core::fmt::Display for Value<Q> {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        AnyValue::from(*self).fmt(formatter)
    }
}

impl<Q: Quantity> core::fmt::Display for Range<Q> {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        AnyValue::from(Value::exact(self.low())).fmt(formatter)?;
        formatter.write_str(" .. ")?;
        AnyValue::from(Value::exact(self.high())).fmt(formatter)
    }
}

/// As JSON: the text for people beside the numbers in SI base units.
impl Serialize for AnyValue {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.serialize_as(&self.to_string(), serializer)
    }
}

impl AnyValue {
    /// As JSON with another text for people, such as that of [`show_bare`](crate::show_bare).
    ///
    /// # Errors
    /// Those of the serializer.
    pub fn serialize_as<S: Serializer>(&self, text: &str, serializer: S) -> Result<S::Ok, S::Error> {
        let mut out = serializer.serialize_struct("AnyValue", 6)?;
        out.serialize_field("text", text)?;
        out.serialize_field("kind", &self.kind)?;
        out.serialize_field("nominal", &self.nominal)?;
        out.serialize_field("low", &self.low)?;
        out.serialize_field("high", &self.high)?;
        out.serialize_field("unit", self.kind.base_symbol())?;
        out.end()
    }
}

impl<Q: Quantity> Serialize for Value<Q> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        AnyValue::from(*self).serialize(serializer)
    }
}

impl<Q: Quantity> Serialize for Range<Q> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        AnyValue::from(*self).serialize(serializer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_of_a_unit_comes_back() {
        for (kind, number, unit) in [
            (Kind::StepDensity, 80.0, "step/mm"),
            (Kind::Temperature, 60.0, "°C"),
            (Kind::Acceleration, 1500.0, "mm/s²"),
            (Kind::Ratio, 19.62, ""),
            (Kind::Current, 800.0, "mA"),
        ] {
            let value = AnyValue::in_unit(kind, number, unit).unwrap();
            let back = value.number_of(unit).unwrap();
            assert!((back - number).abs() < 1e-9, "{kind:?}: {back}");
        }
        assert_eq!(AnyValue::in_unit(Kind::Length, 1.0, "V"), None);
    }
}

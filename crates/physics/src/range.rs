//! The error of a formula that is asked outside the range of its law.

use quantity::{AnyValue, Quantity, Range, Value};
use serde::Serialize;

/// An input outside the range in which a law holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutOfRange {
    /// Which input, in the words of the formula's page.
    pub what: &'static str,
    /// Its value.
    pub value: AnyValue,
    /// The range of the law; an end may be infinite, and no number at all means that no value of this kind applies.
    pub range: AnyValue,
}

impl OutOfRange {
    /// `quantity` itself where the range holds it, ends included; a value that is no number is outside.
    ///
    /// # Errors
    /// [`OutOfRange`] with `what` as the name of the input.
    pub fn check<Q: Quantity>(what: &'static str, quantity: Q, range: Range<Q>) -> Result<Q, Self> {
        if range.low() <= quantity && quantity <= range.high() {
            return Ok(quantity);
        }
        Err(Self {
            what,
            value: Value::exact(quantity).into(),
            range: range.into(),
        })
    }

    /// `quantity` where it is greater than zero.
    ///
    /// # Errors
    /// [`OutOfRange`] with the range from zero up.
    pub fn check_positive<Q: Quantity>(what: &'static str, quantity: Q) -> Result<Q, Self> {
        let positive = Range::new(Q::from_base(f64::MIN_POSITIVE), Q::from_base(f64::INFINITY));
        Self::check(what, quantity, positive)
    }
}

impl core::fmt::Display for OutOfRange {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        if self.range.low.is_nan() {
            return write!(
                formatter,
                "{} is {}, which has no meaning here",
                self.what, self.value
            );
        }
        let (low, high) = (self.range.at_low(), self.range.at_high());
        write!(formatter, "{} is {}, outside ", self.what, self.value)?;
        match (self.range.low.is_finite(), self.range.high.is_finite()) {
            (true, false) if self.range.low > 0.0 && self.range.low < 1e-300 => {
                formatter.write_str("what is above zero")
            }
            (true, false) => write!(formatter, "{low} and above"),
            (false, true) => write!(formatter, "{high} and below"),
            _ => write!(formatter, "{low} .. {high}"),
        }
    }
}

impl core::error::Error for OutOfRange {}

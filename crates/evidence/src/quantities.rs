//! Between quantities and the plain numbers of an analysis.

use quantity::si::ThermodynamicTemperature;
use quantity::{Number, Value};
use statistics::Estimate;

/// An estimate in plain numbers whose unit the analysis knows.
pub(crate) trait InUnit {
    /// As a quantity, from the constructor of the unit that the numbers are in.
    fn of<Q: Number>(&self, unit: impl Fn(f64) -> Q) -> Value<Q>;
}

impl InUnit for Estimate {
    fn of<Q: Number>(&self, unit: impl Fn(f64) -> Q) -> Value<Q> {
        Value::between(unit(self.low), unit(self.value), unit(self.high))
    }
}

/// Degrees Celsius.
pub(crate) fn in_celsius(temperature: ThermodynamicTemperature) -> f64 {
    temperature.base() - 273.15
}

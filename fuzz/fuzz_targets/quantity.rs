//! Any text as a value, a range, a price, memory, a wire: read or refused with a place inside it, and what is read has an exact text.
#![no_main]

use libfuzzer_sys::fuzz_target;
use quantity::si::{
    Angle, Area, Capacitance, ElectricPotential, ElectricalResistance, Frequency, Length, Power, Ratio, StepDensity,
    TemperatureInterval, ThermodynamicTemperature, Time, Torque,
};
use quantity::{Quantity, TextError, parse_memory, parse_price, parse_range, parse_value, parse_wire_size};

fuzz_target!(|text: &str| {
    value::<ElectricPotential>(text);
    value::<ElectricalResistance>(text);
    value::<Power>(text);
    value::<Length>(text);
    value::<Area>(text);
    value::<Time>(text);
    value::<Torque>(text);
    value::<Angle>(text);
    value::<Capacitance>(text);
    value::<Frequency>(text);
    value::<StepDensity>(text);
    value::<ThermodynamicTemperature>(text);
    value::<TemperatureInterval>(text);
    value::<Ratio>(text);
    if let Some(price) = told(text, parse_price(text)) {
        assert_eq!(parse_price(&price.to_string()), Ok(price));
    }
    if let Some(memory) = told(text, parse_memory(text)) {
        assert_eq!(parse_memory(&memory.to_string()), Ok(memory));
    }
    if let Some(wire) = told(text, parse_wire_size(text)) {
        assert!(wire.area().value > 0.0 && wire.gauge() <= 40);
    }
});

fn value<Q: Quantity>(text: &str) {
    if let Some(value) = told(text, parse_value::<Q>(text)) {
        assert!(value.low() <= value.nominal() && value.nominal() <= value.high());
        let exact = value.to_text();
        assert_eq!(parse_value::<Q>(&exact), Ok(value), "{exact}");
        assert!(!value.to_string().contains("unbounded"), "{exact}");
    }
    if let Some(range) = told(text, parse_range::<Q>(text)) {
        assert!(range.low() <= range.high());
    }
}

/// The value, or nothing after the error was seen to keep its promises.
fn told<T>(text: &str, result: Result<T, TextError>) -> Option<T> {
    match result {
        Ok(value) => Some(value),
        Err(error) => {
            assert!(text.get(error.span.clone()).is_some(), "{error:?}");
            assert!(!error.problem.is_empty() && !error.expected.is_empty(), "{error:?}");
            assert!(error.to_string().chars().count() < 1000, "{error:?}");
            None
        }
    }
}

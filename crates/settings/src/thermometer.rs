//! A thermometer at an input: its curve from the catalogue, and the table that a controller can be built with.

use catalogue::Thermometer;
use model::board::ThermometerInput;
use physics::sensing::{DividerInput, RtCurve};
use quantity::si::{ElectricalResistance, ThermodynamicTemperature};
use quantity::{AnyValue, Number, Value, si};
use serde::Serialize;

/// What the controller must assume so that a divider with an amplifier looks like one without: the pull-up alone counts.
#[must_use]
pub fn divider(input: &ThermometerInput) -> DividerInput {
    DividerInput::ratiometric(
        input.reference.nominal(),
        input.pull_up.nominal(),
        u8::try_from(input.adc_bits.value).unwrap_or(u8::MAX),
    )
}

/// One row of a thermometer table.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TableRow {
    /// The temperature.
    pub temperature: AnyValue,
    /// The resistance there.
    pub resistance: AnyValue,
    /// What the converter reads there; `None` where the amplifier is at its stop.
    pub code: Option<f64>,
}

/// A table for the build: what the converter reads at each temperature.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ThermometerTable {
    /// The heated part.
    pub of: String,
    /// The tag of the thermometer.
    pub tag: String,
    /// Its kind.
    pub sensor: String,
    /// The port.
    pub port: String,
    /// The processor pin of the port.
    pub pin: Option<String>,
    /// The pull-up.
    pub pull_up: AnyValue,
    /// Amplification before the converter.
    pub amplification: f64,
    /// Bits of the converter.
    pub bits: u32,
    /// The rows, coldest first.
    pub rows: Vec<TableRow>,
    /// Key of the bibliography for the curve.
    pub source: String,
}

/// Rows every 10 K over what the thermometer is published for.
#[must_use]
pub fn rows(kind: &Thermometer, curve: &RtCurve, input: &ThermometerInput) -> Vec<TableRow> {
    let (low, high) = (
        kind.usable.low(),
        kind.usable.high().smaller(curve.range().high()),
    );
    let divider = divider(input);
    let full = f64::from(input.adc_bits.value).exp2();
    let amplification = input.amplification.nominal().base();
    let row = |celsius: i32| {
        let temperature = si::celsius(f64::from(celsius));
        if temperature < low || temperature > high {
            return None;
        }
        let resistance: ElectricalResistance = curve.resistance(temperature).ok()?;
        let code = divider.code(resistance).base() * amplification;
        Some(TableRow {
            temperature: exact(temperature),
            resistance: Value::exact(resistance).into(),
            code: (code < full).then_some(code),
        })
    };
    (-20..=50).filter_map(|tens| row(tens * 10)).collect()
}

fn exact(temperature: ThermodynamicTemperature) -> AnyValue {
    Value::exact(temperature).into()
}

//! A thermometer at an input: its curve from the catalogue, and the table that a controller can be built with.

use catalogue::Thermometer;
use model::board::ThermometerInput;
use physics::sensing::{CodeRow, CodeTable, DividerInput, RtCurve, WorstError};
use quantity::si::{ElectricalResistance, ThermodynamicTemperature};
use quantity::{AnyValue, Digits, Number, Value, show, si};
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
    /// The largest error of straight lines between the rows, against the curve; `None` where the rows are too few.
    pub between_rows: Option<TableError>,
    /// The largest error of the table at the points that the maker publishes; `None` where the catalogue has none of them.
    pub at_points: Option<TableError>,
    /// Key of the bibliography for the curve.
    pub source: String,
}

/// The largest error of a table.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TableError {
    /// Read minus true.
    pub error: AnyValue,
    /// The true temperature there.
    pub at: AnyValue,
}

impl From<WorstError> for TableError {
    fn from(worst: WorstError) -> Self {
        Self {
            error: Value::exact(worst.error).into(),
            at: exact(worst.temperature),
        }
    }
}

impl ThermometerTable {
    /// How far the table is off, in a sentence.
    #[must_use]
    pub fn error_words(&self) -> Option<String> {
        let of = |error: &TableError| {
            format!(
                "{} at {}",
                show(&error.error, Digits::new(2)),
                show(&error.at, Digits::new(3))
            )
        };
        let between = self.between_rows.as_ref().map(of)?;
        Some(match &self.at_points {
            Some(points) => format!(
                "Straight lines between its rows are off by {between} at the most, and by {} at the maker's own points.",
                of(points)
            ),
            None => format!(
                "Straight lines between its rows are off by {between} at the most; the maker's own points are not at hand."
            ),
        })
    }
}

/// The errors of rows: between them against the curve, and at the maker's points.
#[must_use]
pub fn errors(
    kind: &Thermometer,
    curve: &RtCurve,
    input: &ThermometerInput,
    rows: &[TableRow],
) -> (Option<TableError>, Option<TableError>) {
    // The amplification cancels: a controller that counts it in sees the divider.
    let amplification = input.amplification.nominal().base();
    let codes = rows.iter().filter_map(|row| {
        Some(CodeRow {
            code: si::ratio(row.code? / amplification),
            temperature: row.temperature.typed::<ThermodynamicTemperature>()?.nominal(),
        })
    });
    let Ok(table) = CodeTable::new(codes.collect()) else {
        return (None, None);
    };
    let divider = divider(input);
    let points: Vec<_> = kind
        .points
        .iter()
        .map(|point| (point.temperature, point.resistance))
        .collect();
    (
        table.worst_error(curve, &divider).ok().map(TableError::from),
        table.points_error(&divider, &points).ok().map(TableError::from),
    )
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

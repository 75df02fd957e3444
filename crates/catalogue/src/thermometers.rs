//! Thermometers by kind: law, table of resistance against temperature, limits, tolerance classes.

use quantity::si::{
    ElectricalResistance, Ratio, TemperatureCoefficient, TemperatureInterval, ThermalConductance,
    ThermodynamicTemperature, Time, celsius, ohm,
};
use quantity::{Number, Range, Value, parse_value};
use serde::Deserialize;

use crate::field;
use crate::table::{Sure, own_statement, row};

/// One kind of thermometer.
#[derive(Clone, Debug, Deserialize)]
#[serde(try_from = "Written")]
pub struct Thermometer {
    /// The name by which files call it, such as `NTC 100 kΩ glass B3950`.
    pub name: String,
    /// How to recognise it.
    pub what: String,
    /// What kind of resistor it is, and its constants.
    pub law: Law,
    /// Resistance against temperature, coldest first; empty where no table is known.
    pub points: Vec<Point>,
    /// Coefficients a, b, c of the law of Steinhart and Hart, `1/T = a + b · ln(R/Ω) + c · ln³(R/Ω)`, as some makers state them in
    /// place of a table; a table goes before them.
    pub coefficients: Option<[TemperatureCoefficient; 3]>,
    /// Published tolerance classes, best first; empty for thermistors (theirs is in the law).
    pub classes: Vec<ToleranceClass>,
    /// Whether the row stands for several kinds that are not told apart: what is read when hot is then not known.
    pub kind_unknown: bool,
    /// The temperatures that the element itself bears.
    pub usable: Range<ThermodynamicTemperature>,
    /// Heat that its own current may shed per kelvin of self-heating, in still air.
    pub dissipation: Option<Value<ThermalConductance>>,
    /// Thermal time constant, in still air.
    pub time_constant: Option<Value<Time>>,
    /// Key of the source.
    pub source: String,
    /// How far to trust the row.
    pub sure: Sure,
    /// What else to know; empty where there is nothing to say.
    pub note: String,
}

/// The law of a thermometer. The formulas are in `physics`; here are their constants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// A thermistor whose resistance falls with temperature.
    Thermistor {
        /// Resistance at the reference temperature, with its tolerance.
        resistance: Value<ElectricalResistance>,
        /// The reference temperature, mostly 25 °C.
        reference: ThermodynamicTemperature,
        /// The constant B of the two-point law, with its tolerance.
        beta: Value<TemperatureInterval>,
        /// The two temperatures between which B is stated; outside them the law errs by kelvins.
        beta_between: Range<ThermodynamicTemperature>,
    },
    /// A platinum resistor of the standard curve (IEC 60751).
    Platinum {
        /// Resistance at 0 °C.
        resistance: Value<ElectricalResistance>,
    },
}

/// One row of a table of resistance against temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// The temperature.
    pub temperature: ThermodynamicTemperature,
    /// The resistance there.
    pub resistance: ElectricalResistance,
}

/// A tolerance class: `± (at_zero + share · |t|)`, t in degrees Celsius.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ToleranceClass {
    /// The name of the class, such as `A`.
    pub name: String,
    /// The part that does not depend on temperature.
    #[serde(deserialize_with = "field::value")]
    pub at_zero: Value<TemperatureInterval>,
    /// The part that grows with the distance from 0 °C.
    #[serde(deserialize_with = "field::value")]
    pub share: Value<Ratio>,
}

row!(Thermometer, "thermometer", name, contradictions);

fn contradictions(row: &Thermometer) -> Vec<String> {
    let mut out = Vec::new();
    let rising = matches!(row.law, Law::Platinum { .. });
    for pair in row.points.windows(2) {
        let (cold, warm) = (pair[0], pair[1]);
        if cold.temperature >= warm.temperature {
            out.push("the points are not in the order of temperature".to_owned());
        }
        if (cold.resistance < warm.resistance) != rising || cold.resistance == warm.resistance {
            let goes = if rising { "rise" } else { "fall" };
            out.push(format!("the resistance must {goes} with temperature"));
        }
    }
    out.dedup();
    out.extend(row.coefficients.and_then(|abc| wrong_coefficients(&row.law, abc)));
    if row.points.iter().any(|point| point.resistance <= ohm(0.0)) {
        out.push("a resistance is not positive".to_owned());
    }
    out
}

/// Coefficients that do not give the stated resistance at its temperature were copied wrongly, or are for another unit.
fn wrong_coefficients(law: &Law, abc: [TemperatureCoefficient; 3]) -> Option<String> {
    let Law::Thermistor {
        resistance,
        reference,
        ..
    } = law
    else {
        return Some("`coefficients` are for thermistors".to_owned());
    };
    let [a, b, c] = abc.map(|coefficient| coefficient.base());
    let log = resistance.nominal().base().ln();
    let found = 1.0 / (a + b * log + c * log.powi(3));
    let off = (found - reference.base()).abs();
    if b > 0.0 && off <= MOST_OFF {
        return None;
    }
    Some(format!(
        "the coefficients give {:.1} °C for {}, which is stated at {:.1} °C (they are for the natural logarithm of the resistance in Ω)",
        found - 273.15,
        Value::exact(resistance.nominal()),
        reference.base() - 273.15
    ))
}

/// What rounding of coefficients makes of a temperature at most, in kelvin.
const MOST_OFF: f64 = 2.0;

/// The row as it is written: one law, and a table by file name or in the row itself.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    name: String,
    what: String,
    thermistor: Option<WrittenThermistor>,
    platinum: Option<WrittenPlatinum>,
    /// A table of the catalogue.
    table: Option<String>,
    /// Rows of a user's own table: `[["25 °C", "100 kΩ"], ...]`.
    points: Option<Vec<(String, String)>>,
    /// Coefficients a, b, c of the law of Steinhart and Hart: `["8.5e-4 1/K", "2.1e-4 1/K", "9e-8 1/K"]`.
    #[serde(default, deserialize_with = "field::values")]
    coefficients: Vec<Value<TemperatureCoefficient>>,
    #[serde(default)]
    classes: Vec<ToleranceClass>,
    #[serde(default)]
    kind_unknown: bool,
    #[serde(deserialize_with = "field::range")]
    usable: Range<ThermodynamicTemperature>,
    #[serde(default, deserialize_with = "field::some_value")]
    dissipation: Option<Value<ThermalConductance>>,
    #[serde(default, deserialize_with = "field::some_value")]
    time_constant: Option<Value<Time>>,
    #[serde(default = "own_statement")]
    source: String,
    #[serde(default)]
    sure: Sure,
    #[serde(default)]
    note: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenThermistor {
    #[serde(deserialize_with = "field::value")]
    resistance: Value<ElectricalResistance>,
    #[serde(deserialize_with = "field::value")]
    reference: Value<ThermodynamicTemperature>,
    #[serde(deserialize_with = "field::value")]
    beta: Value<TemperatureInterval>,
    #[serde(deserialize_with = "field::range")]
    beta_between: Range<ThermodynamicTemperature>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenPlatinum {
    #[serde(deserialize_with = "field::value")]
    resistance: Value<ElectricalResistance>,
}

impl TryFrom<Written> for Thermometer {
    type Error = String;
    fn try_from(written: Written) -> Result<Self, String> {
        let law = match (written.thermistor, written.platinum) {
            (Some(law), None) => Law::Thermistor {
                resistance: law.resistance,
                reference: law.reference.nominal(),
                beta: law.beta,
                beta_between: law.beta_between,
            },
            (None, Some(law)) => Law::Platinum {
                resistance: law.resistance,
            },
            _ => return Err("expected either `thermistor` or `platinum`".to_owned()),
        };
        let points = match (written.table, written.points) {
            (Some(_), Some(_)) => return Err("expected either `table` or `points`".to_owned()),
            (Some(file), None) => shipped_points(&file)?,
            (None, Some(points)) => points.iter().map(own_point).collect::<Result<_, _>>()?,
            (None, None) => Vec::new(),
        };
        let coefficients = match *written.coefficients {
            [] => None,
            [a, b, c] => Some([a, b, c].map(|value| value.nominal())),
            _ => return Err("expected three `coefficients`: a, b and c".to_owned()),
        };
        Ok(Self {
            name: written.name,
            what: written.what,
            law,
            points,
            coefficients,
            classes: written.classes,
            usable: written.usable,
            kind_unknown: written.kind_unknown,
            dissipation: written.dissipation,
            time_constant: written.time_constant,
            source: written.source,
            sure: written.sure,
            note: written.note,
        })
    }
}

fn own_point((temperature, resistance): &(String, String)) -> Result<Point, String> {
    let temperature = parse_value(temperature).map_err(|error| error.to_string())?;
    let resistance = parse_value(resistance).map_err(|error| error.to_string())?;
    Ok(Point {
        temperature: temperature.nominal(),
        resistance: resistance.nominal(),
    })
}

macro_rules! shipped {
    ($($file:literal),* $(,)?) => {
        [$(($file, include_str!(concat!("../../../data/thermometers/", $file)))),*]
    };
}

/// The tables that come with the catalogue.
const SHIPPED: [(&str, &str); 7] = shipped![
    "ntc-100k-glass-b3950.csv",
    "ntc-100k-glass-b4200.csv",
    "ntc-10k-bead-b3950.csv",
    "ntc-3k3-at-100-bead-b3970.csv",
    "ntc-50k-bead-b3950.csv",
    "platinum-100.csv",
    "platinum-1000.csv",
];

fn shipped_points(file: &str) -> Result<Vec<Point>, String> {
    let (_, text) = SHIPPED
        .iter()
        .find(|(name, _)| *name == file)
        .ok_or_else(|| format!("`{file}` is no table of the catalogue; write your own as `points`"))?;
    read_points(text)
}

/// Lines of `temperature_c,resistance_ohm` below that heading; `#` begins a comment.
fn read_points(text: &str) -> Result<Vec<Point>, String> {
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    if lines.next() != Some("temperature_c,resistance_ohm") {
        return Err("expected the heading `temperature_c,resistance_ohm`".to_owned());
    }
    lines
        .map(|line| {
            let (temperature, resistance) = line.split_once(',')?;
            Some(Point {
                temperature: celsius(temperature.parse().ok()?),
                resistance: ohm(resistance.parse().ok()?),
            })
        })
        .collect::<Option<_>>()
        .ok_or_else(|| "expected a temperature and a resistance on each line".to_owned())
}

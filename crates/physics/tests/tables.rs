//! Published tables of thermometers, turned into rows and curves.

use physics::sensing::RtTable;
use quantity::si::{ElectricalResistance, ThermodynamicTemperature, celsius, ohm};

use crate::driver::{Row, lines};

const PLATINUM: &str = include_str!("data/iec60751.csv");
const THERMISTORS: &str = include_str!("data/ntc-rt-tables.csv");
const COLUMNS: [&str; 6] = [
    "t_c",
    "a100k_b3950",
    "a100k_b4200",
    "b10k_b3950_300c",
    "c50k6_r100_3300_300c",
    "b50k_b3950_300c",
];

/// One row for each temperature of the platinum table: as printed to two decimals, and back from four decimals.
pub fn rows() -> Vec<Row> {
    let mut rows = Vec::new();
    for (line, text) in lines(PLATINUM) {
        let fields: Vec<&str> = text.split(',').collect();
        let [degrees, exact, printed, _slope] = fields.try_into().expect("four fields");
        let row = |formula: &str, given: String, expect: String, within: &str, sure: &str| Row {
            file: "iec60751.csv",
            line,
            formula: formula.to_owned(),
            given,
            expect,
            within: within.to_owned(),
            source: "iec-60751".to_owned(),
            sure: sure.to_owned(),
        };
        let there = format!("R₀ = 100 Ω, ϑ = {degrees} °C");
        rows.push(row(
            "platinum-resistance",
            there,
            format!("{printed} Ω"),
            "5.001 mΩ",
            "L R",
        ));
        let back = format!("R₀ = 100 Ω, R = {exact} Ω");
        rows.push(row(
            "platinum-temperature",
            back,
            format!("{degrees} °C"),
            "0.0002 K",
            "R",
        ));
    }
    rows
}

/// The points of one published thermistor, coldest first.
pub fn thermistor(column: &str) -> Vec<(ThermodynamicTemperature, ElectricalResistance)> {
    let index = COLUMNS
        .iter()
        .position(|name| *name == column)
        .unwrap_or_else(|| panic!("no column {column}"));
    let point = |(_, line): (usize, &str)| {
        let fields: Vec<&str> = line.split(',').collect();
        let resistance: f64 = fields[index].parse().ok()?;
        Some((celsius(fields[0].parse().ok()?), ohm(resistance)))
    };
    lines(THERMISTORS).filter_map(point).collect()
}

pub fn thermistor_table(column: &str) -> RtTable {
    RtTable::new(&thermistor(column)).expect("a published table")
}

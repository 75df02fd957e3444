//! Temperatures in tables: the columns that hold them, their scales, and which numbers are believed.

use quantity::si::{ThermodynamicTemperature, celsius};

use super::columns::Columns;
use crate::Refused;
use crate::read::{Cell, Column, Record, Records, TemperatureScale};

impl Columns<'_> {
    /// The scale that the head of a column names; a unit of another kind is refused.
    pub(super) fn scale(&self, at: usize) -> Result<Option<TemperatureScale>, Refused> {
        let Some(unit) = &self.table.columns[at].unit else {
            return Ok(None);
        };
        let unknown = || {
            Refused::new(
                format!(
                    "`{unit}` in the head of `{}` is no unit of a temperature",
                    self.name(at)
                ),
                "units are °C, °F, K",
            )
        };
        TemperatureScale::of_unit(unit).map(Some).ok_or_else(unknown)
    }
}

/// Colder than this is nothing, hotter than this no part of the machine.
const BELIEVED: core::ops::Range<f64> = -273.15..2000.0;

/// The temperature of a row, or what is wrong with its cell.
pub(super) fn temperature(
    row: &Record<'_>,
    at: usize,
    scale: TemperatureScale,
) -> Result<ThermodynamicTemperature, &'static str> {
    let number = row.cells.get(at).and_then(Cell::number).ok_or("no temperature")?;
    let degrees = scale.to_celsius(number);
    if BELIEVED.contains(&degrees) {
        Ok(celsius(degrees))
    } else {
        Err(
            "a temperature below absolute zero, or above 2000 °C: look at its digits, and at the unit in the head",
        )
    }
}

/// Words for a temperature.
pub(super) const WARM: [&str; 3] = ["temperature", "temp", "case"];

/// The columns that hold temperatures, by their names or units.
#[must_use]
pub fn warmth_columns(table: &Records) -> Vec<&str> {
    let of_warmth = |column: &&Column| {
        let unit = column.unit.as_deref();
        unit.is_some_and(|unit| TemperatureScale::of_unit(unit).is_some())
            || WARM.iter().any(|word| column.has_word(word))
    };
    let columns = table.columns.iter().filter(of_warmth);
    columns.map(|column| column.name.as_str()).collect()
}

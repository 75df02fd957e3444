//! Voltages of a supply over time.

use quantity::Number as _;
use quantity::si::{ElectricCurrent, ElectricPotential, Time};

use super::Rows;
use super::columns::Columns;
use super::order::{Rule, Timed, in_order};
use crate::read::Records;
use crate::simple::Voltage;

/// `time` in seconds and `voltage` in volt; `current` in ampere where it was measured; or their symbols (ISO 80000-6) and units.
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn voltages(table: &Records, channel: Option<&str>) -> Rows<Voltage> {
    let mut columns = Columns::of(table, &["time", "voltage", "current"])?;
    let time = columns.needed::<Time>(&["time", "t"], 0, "s")?;
    let at = columns.chosen(channel, &["voltage", "volts", "u", "v"], 1)?;
    let voltage = columns.quantities::<ElectricPotential>(at, "V")?;
    let current = columns.optional::<ElectricCurrent>(&["current", "amps", "i"], 2, "A")?;
    let mut out = Vec::new();
    for row in table.rows() {
        if let (Some(time), Some(voltage)) = (columns.time(&row, &time), columns.value(&row, &voltage)) {
            out.push(Voltage {
                time,
                voltage,
                current: columns.beside(&row, current.as_ref()),
                line: row.line,
            });
        }
    }
    // A low reading is a low reading, whatever its time says.
    let rule = Rule {
        backward_counts: true,
        gap: "how low the voltage was meanwhile is not known",
        anew: "the clock starts anew here; all readings count. Was the log started again, or the board that keeps the clock, as it is when its supply sags?",
    };
    let out = in_order(&mut columns, out, &rule);
    Ok((out, columns.troubles))
}

impl Timed for Voltage {
    fn seconds(&self) -> f64 {
        self.time.base()
    }
    fn line(&self) -> u64 {
        self.line
    }
    fn says_the_same(&self, other: &Self) -> bool {
        (self.voltage, self.current) == (other.voltage, other.current)
    }
}

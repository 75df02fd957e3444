//! Homings at several thresholds, each with how it ended.

use quantity::Number as _;
use quantity::si::{ElectricCurrent, Ratio, Velocity};

use super::Rows;
use super::axis::Axis;
use super::columns::Columns;
use crate::read::Records;
use crate::stall::{Ending, Trial};

/// How a homing may be said to have ended.
const ENDINGS: [(&str, Ending); 11] = [
    ("false trigger", Ending::FalseTrigger),
    ("false", Ending::FalseTrigger),
    ("early", Ending::FalseTrigger),
    ("clean", Ending::Clean),
    ("ok", Ending::Clean),
    ("missed", Ending::Missed),
    ("late", Ending::Missed),
    ("miss", Ending::Missed),
    ("good", Ending::Clean),
    ("pass", Ending::Clean),
    ("trigger", Ending::FalseTrigger),
];

/// `axis`, `threshold`, `outcome` (`false trigger`, `clean`, `missed`); `speed` in mm/s and `current` in mA where they were noted.
/// Without a column `axis` all trials are of the axis given.
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn stalls(table: &Records, axis: Option<&str>) -> Rows<Trial> {
    let mut columns = Columns::of(table, &["threshold", "outcome", "speed", "current"])?;
    let unknown = "neither the file nor the entry says which axis was homed";
    let mut axis = Axis::of(&columns, axis, unknown)?;
    let threshold = columns.needed::<Ratio>(&["threshold", "value", "setting", "sensitivity"], 0, "")?;
    let outcome = columns.need(&["outcome", "ending", "result"], 1)?;
    let speed = columns.optional::<Velocity>(&["speed"], 2, "mm/s")?;
    let current = columns.optional::<ElectricCurrent>(&["current"], 3, "mA")?;
    let out = columns.each(|columns, row| {
        let threshold = columns.value::<Ratio>(row, &threshold)?;
        let ending = columns.word(row, outcome, &ENDINGS)?;
        Some(Trial {
            axis: axis.own(columns, row, "of")?,
            speed: columns.beside(row, speed.as_ref()),
            current: columns.beside(row, current.as_ref()),
            threshold: threshold.base(),
            ending,
            line: row.line,
        })
    });
    axis.refuse_others(&out, &columns)?;
    Ok((out, columns.troubles))
}

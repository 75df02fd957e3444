//! One thing measured again and again.

use quantity::si::{Length, Time};

use super::Rows;
use super::columns::{Columns, label};
use super::temperature::temperature;
use crate::read::Records;
use crate::repeatability::Trial;

/// `position` in millimetres; `run`, `homing`, `time` in seconds and `temperature` in degrees Celsius where there are any.
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn repeated(table: &Records, channel: Option<&str>) -> Rows<Trial> {
    let mut columns = Columns::of(table, &["position"])?;
    let at = columns.chosen(channel, &["position", "trigger", "height", "z"], 0)?;
    let position = columns.quantities::<Length>(at, "mm")?;
    let run = columns.find(&["run", "day", "start"], usize::MAX);
    let homing = columns.find(&["homing", "series"], usize::MAX);
    let time = columns.optional::<Time>(&["time"], usize::MAX, "s")?;
    let warmth = columns.find(&["temperature"], usize::MAX);
    let scale = warmth.map(|at| columns.scale(at)).transpose()?.flatten();
    columns.rows(|columns, row| {
        let at = columns.value(row, &position)?;
        let temperature = warmth.and_then(|at| {
            let found = temperature(row, at, scale.unwrap_or_default());
            found
                .map_err(|what| columns.tell(row.line, format!("{what}; the row counts without it")))
                .ok()
        });
        Some(Trial {
            at,
            run: label(row, run),
            homing: label(row, homing),
            time: time.as_ref().and_then(|time| columns.time(row, time)),
            temperature,
            line: row.line,
        })
    })
}

//! Temperatures of a motor or driver over time.

use quantity::Number as _;
use quantity::si::Time;

use super::Rows;
use super::columns::Columns;
use super::order::{Rule, Timed, in_order};
use super::temperature::{WARM, temperature, warmth_columns};
use crate::quantities::in_celsius;
use crate::read::{Records, TemperatureScale, listed};
use crate::simple::Warm;
use crate::{Refused, Trouble};

/// `time` in seconds, and a column of temperatures: the one named, or the first after the time. `scale` is that of a column that names
/// none, where it was said.
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn warmth(table: &Records, channel: Option<&str>, scale: Option<TemperatureScale>) -> Rows<Warm> {
    let mut columns = Columns::of(table, &["time", "temperature"])?;
    let time = columns.needed::<Time>(&["time"], 0, "s")?;
    let at = chosen(&mut columns, channel)?;
    let stated = columns.scale(at)?.or(scale);
    let mut out = Vec::new();
    for row in table.rows() {
        let Some(time) = columns.time(&row, &time) else {
            continue;
        };
        match temperature(&row, at, stated.unwrap_or_default()) {
            Ok(temperature) => out.push(Warm {
                time,
                temperature,
                line: row.line,
            }),
            Err(what) => columns.tell(row.line, format!("{what}; the row is left out")),
        }
    }
    if stated.is_none() {
        columns.troubles.extend(out.first().and_then(asked_for_its_scale));
    }
    let rule = Rule {
        backward_counts: false,
        gap: "the curve is drawn over it",
        anew: "the clock starts anew here: a reset, or two logs in one file",
    };
    let out = in_order(&mut columns, out, &rule);
    Ok((out, columns.troubles))
}

/// The column of temperatures.
fn chosen(columns: &mut Columns<'_>, channel: Option<&str>) -> Result<usize, Refused> {
    let table = columns.table;
    match (channel, &warmth_columns(table)[..]) {
        // A unit alone tells a temperature too.
        (None, [only]) if !only.is_empty() => columns.need(&[only], 1),
        (None, names @ [_, _, ..]) if table.column(&WARM).is_none() => Err(Refused::new(
            format!(
                "{} hold temperatures, and nothing says which is meant",
                listed(names.iter().copied())
            ),
            "name one of them as `channel`",
        )),
        _ => columns.chosen(channel, &WARM, 1),
    }
}

/// A log begins near the temperature of a room. One that does only in another scale is asked for its scale.
fn asked_for_its_scale(first: &Warm) -> Option<Trouble> {
    let number = in_celsius(first.temperature);
    let room = 0.0..42.0;
    let is_room = |degrees: f64| room.contains(&degrees);
    if is_room(number) {
        return None;
    }
    let scale = TemperatureScale::in_which(number, is_room)?;
    Some(Trouble::of_all(format!(
        "the log begins at {number:.0} and names no unit: degrees Celsius were taken, but it would begin near the room in {}; write `({})` \
         in the head, or `scale` in the entry",
        scale.word(),
        scale.unit()
    )))
}

impl Timed for Warm {
    fn seconds(&self) -> f64 {
        self.time.base()
    }
    fn line(&self) -> u64 {
        self.line
    }
    fn says_the_same(&self, other: &Self) -> bool {
        self.temperature == other.temperature
    }
}

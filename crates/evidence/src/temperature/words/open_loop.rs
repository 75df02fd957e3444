//! A log whose duty does not react, told: what it says of the process, and that nothing was held.

use quantity::Number as _;

use super::text;
use crate::temperature::Analysis;

pub(super) fn sentence(analysis: &Analysis) -> String {
    let held = "Open loop: the duty does not follow the reading, so nothing was held and nothing is judged.";
    let Ok(process) = &analysis.process else {
        return held.to_owned();
    };
    let rise = process.gain.nominal();
    let per_watt = process.full_power.map_or_else(String::new, |power| {
        format!(" ({:.2} K/W)", rise.base() / power.base())
    });
    format!(
        "{held} In this log, full power raises it by {}{per_watt} with a time constant of {:.0} s.",
        text(rise),
        process.lag.nominal().base()
    )
}

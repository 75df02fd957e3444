//! A log whose duty does not react, told: what it says of the process, and that nothing was held.

use quantity::{Number as _, rounded};

use super::told;
use crate::temperature::Analysis;

pub(super) fn sentence(analysis: &Analysis) -> String {
    let held = "Open loop: the duty does not follow the reading, so nothing was held and nothing is judged.";
    let Ok(process) = &analysis.process else {
        return held.to_owned();
    };
    let rise = &process.gain;
    let per_watt = process.full_power.map_or_else(String::new, |power| {
        format!(" ({} K/W)", rounded(rise.nominal().base() / power.base()))
    });
    format!(
        "{held} In this log, full power raises it by {}{per_watt} with a time constant of {}.",
        told(rise),
        told(&process.lag)
    )
}

//! Repeatability of a probe, a limit switch, homing by stall detection.

use evidence::repeatability::{Ask, repeatability};
use evidence::{Outcome, read, tables};

use super::Job;

pub(super) fn reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let keys = job.keys;
    let channel = keys.channel.as_ref().map(|name| name.value.as_str());
    let (trials, troubles) = tables::repeated(&read::table(bytes)?, channel)?;
    if let Some(refused) = super::belongs::height_slip(job, trials.iter().map(|trial| trial.at)) {
        return Err(super::with(refused, &troubles));
    }
    let ask = Ask {
        what: job.subject("position"),
        reference: keys.reference.map(|r| r.value.nominal()),
        allowed: keys
            .allowed_error
            .map_or(job.limits().measured_offset_error.value.nominal(), |a| {
                a.value.nominal()
            }),
        warming: keys.temperature_change.map(|w| w.value.high()),
    };
    let found = repeatability(&trials, &ask).map_err(|refused| super::with(refused, &troubles))?;
    Ok(vec![super::told(found.report(), troubles)])
}

//! Sweep of the threshold of homing by stall detection.

use evidence::stall::{Ask, stall_sweep};
use evidence::{Outcome, read, tables};

use super::Job;

pub(super) fn reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let axis = job.keys.axis.as_ref().map(|name| name.value.as_str());
    let (trials, troubles) = tables::stalls(&read::table(bytes)?, axis)?;
    let ask = Ask {
        allowed: job.max_failure_rate(job.limits().measured_failure_chance.value),
        confidence: job.keys.confidence.map_or_else(
            || job.limits().measured_confidence.value.nominal(),
            |share| share.value.nominal(),
        ),
    };
    let found = stall_sweep(&trials, ask).map_err(|refused| super::with(refused, &troubles))?;
    Ok(super::told_once(found.iter().map(|axis| axis.report()), troubles))
}

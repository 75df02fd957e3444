//! Sweep of the threshold of homing by stall detection.

use evidence::stall::{Ask, stall_sweep};
use evidence::{Outcome, Refused, read, tables};
use model::board::Driver;

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
    if let Some(refused) = without_load(job, trials.iter().map(|trial| trial.axis.as_str())) {
        return Err(super::with(refused, &troubles));
    }
    if let Some(refused) = super::belongs::too_fast(job, &trials) {
        return Err(super::with(refused, &troubles));
    }
    let found = stall_sweep(&trials, ask).map_err(|refused| super::with(refused, &troubles))?;
    Ok(super::told_once(found.iter().map(|axis| axis.report()), troubles))
}

/// Why a sweep cannot be of this machine: no driver of its axis measures the load. Nothing where one does, or the files do not tell.
fn without_load<'t>(job: &Job<'_>, axes: impl Iterator<Item = &'t str>) -> Option<Refused> {
    let context = job.context?;
    let on_old = job.on_old_board();
    if let Some(model::MeasuredOn::Candidate(at)) = context.entry.board {
        let board = &context.swap.candidates[at];
        if board.name.value != context.plan.board.name.value {
            let lacks =
                !board.drivers.is_empty() && !board.drivers.iter().any(|driver| driver.stall_detection);
            return lacks.then(|| no_load("every axis"));
        }
    }
    let (swap, facts) = (context.swap, context.plan.facts());
    // Where nobody said which board it was, both may have been it.
    let drivers_of = |device: &model::machine::Device| -> Vec<&Driver> {
        let old = || plan::driver(&swap.old, plan::old_port(swap, device)?);
        let new = || {
            facts
                .pairs()
                .find(|pair| std::ptr::eq(pair.device(), device))?
                .driver()
        };
        let old = (on_old != Some(false)).then(old).flatten();
        let new = (on_old != Some(true)).then(new).flatten();
        old.into_iter().chain(new).collect()
    };
    let mut seen: Vec<&str> = Vec::new();
    for axis in axes {
        if seen.contains(&axis) {
            continue;
        }
        seen.push(axis);
        let of_axis = swap.machine.devices.iter().filter(|device| {
            let own = plan::axis_of(&device.detail).map(|own| &swap.machine.axis(own).name.value);
            own.is_some_and(|own| own.eq_ignore_ascii_case(axis))
        });
        let drivers: Vec<&Driver> = of_axis.flat_map(drivers_of).collect();
        if !drivers.is_empty() && !drivers.iter().any(|driver| driver.stall_detection) {
            return Some(no_load(axis));
        }
    }
    None
}

fn no_load(axis: &str) -> Refused {
    Refused::new(
        format!(
            "the driver of {axis} measures no load on this board: nothing was there that could stop a homing"
        ),
        "check which board and axis were swept, or correct the driver in the board's file",
    )
}

//! Height map: screws of the machine, the grid of the entry, limits of the catalogue.

use evidence::height_map::{Ask, Screw, Sense, height_map};
use evidence::{Outcome, read, tables};
use quantity::Number;
use quantity::si::Length;

use super::Job;

pub(super) fn reports(job: &Job<'_>, bytes: &[u8]) -> Outcome {
    let (touches, troubles) = tables::touches(&read::table(bytes)?)?;
    if let Some(refused) = super::belongs::height_slip(job, touches.iter().map(|touch| touch.height)) {
        return Err(super::with(refused, &troubles));
    }
    let keys = job.keys;
    let limits = job.limits();
    let layer = keys
        .first_layer
        .map_or(limits.measured_first_layer.value.nominal(), |l| l.value.nominal());
    let share = limits.measured_bed_error_share.value.nominal().base();
    let allowed = keys
        .allowed_error
        .map_or(Length::from_base(layer.base() * share), |a| a.value.nominal());
    let bed = job.context.and_then(|context| context.swap.machine.bed.as_ref());
    let screws = bed.into_iter().flat_map(|bed| &bed.screw).map(|screw| Screw {
        name: screw.name.value.clone(),
        at: physics::mechanics::Point::new(screw.at.x, screw.at.y),
        pitch: screw.pitch.nominal(),
        raises: match screw.raises.value {
            model::Sense::Clockwise => Sense::Clockwise,
            model::Sense::CounterClockwise => Sense::CounterClockwise,
        },
        fixed: screw.fixed.is_some_and(|fixed| fixed.value),
    });
    let ask = Ask {
        screws: screws.collect(),
        grid: match keys.grid[..] {
            [columns, rows] => Some([columns.value, rows.value]),
            _ => None,
        },
        layer,
        allowed,
    };
    let found = height_map(&touches, &ask).map_err(|refused| super::with(refused, &troubles))?;
    Ok(vec![super::told(found.report(), troubles)])
}

//! The bed probe: its distance from the nozzle, and the height map that was measured with the old one.

use crate::job::{Draft, Job, List};
use crate::setting::Fate;
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    offsets(job, list);
    map(job, list);
}

/// Sideways the probe sits where it sat; its height is measured anew on each new electronics, since the zero point is told anew.
fn offsets(job: &Job<'_>, list: &mut List<'_>) {
    let probe = job.probe();
    for axis in ["X", "Y", "Z"] {
        let old = job.old(Topic::ProbeOffset, axis);
        let value = old.as_ref().map(|old| old.value.clone());
        let draft = |fate, reason| Draft::new(Topic::ProbeOffset, axis, fate, reason).old(old.clone());
        match &probe {
            None if old.is_some() => list.push(draft(Fate::Dropped, "No bed probe is connected on this board.")),
            None => {}
            Some(pair) if pair.device().is_new() => list.push(draft(
                Fate::New,
                if axis == "Z" {
                    "The probe is new: find the height with a sheet of paper under the nozzle, from above, and let it be too high rather than too low."
                } else {
                    "The probe is new: measure how far it sits from the nozzle."
                },
            )),
            Some(_) if axis == "Z" => list.push(
                draft(
                    Fate::MeasureAgain,
                    "The probe stays, but a hundredth of a millimetre counts and its trigger level may differ at the new input; the old value is a start, 1 mm higher.",
                )
                .maybe(value.map(raised)),
            ),
            Some(_) => list.push(draft(Fate::Carried, "The probe sits where it sat.").maybe(value)),
        }
    }
}

/// A start that cannot drive the nozzle into the bed: the probe's distance is negative, and nearer to zero is higher.
fn raised(value: crate::setting::SettingValue) -> crate::setting::SettingValue {
    let Some(mut length) = value.any() else {
        return value;
    };
    for end in [&mut length.nominal, &mut length.low, &mut length.high] {
        *end += 1e-3;
    }
    crate::setting::SettingValue::Quantity(length)
}

fn map(job: &Job<'_>, list: &mut List<'_>) {
    let old = job.old(Topic::LevellingMesh, "bed");
    if old.is_none() && job.probe().is_none() {
        return;
    }
    let known = old.is_some();
    list.push(
        Draft::new(
            Topic::LevellingMesh,
            "bed",
            if known { Fate::Dropped } else { Fate::New },
            if known {
                "Its heights count from the old zero point: measure the bed anew, warm, after the distance of the probe is set."
            } else {
                "Measure the bed, warm, after the distance of the probe is set."
            },
        )
        .old(old),
    );
}

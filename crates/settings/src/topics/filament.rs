//! What was tuned for the filament: carried as a start where the control of the motor may change it.

use crate::job::{Draft, Job, List};
use crate::setting::Fate;
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    let rows = [
        (Topic::FilamentDiameter, Fate::Carried, "The filament stays."),
        (
            Topic::Flow,
            Fate::MeasureAgain,
            "It hid whatever the steps of the extruder were off by: measure a wall again once they are set.",
        ),
        (
            Topic::PressureCompensation,
            Fate::MeasureAgain,
            "It depends on how the controller times the extruder: print the test again; the value is a start.",
        ),
    ];
    for (topic, fate, reason) in rows {
        if let Some(old) = job.old(topic, "machine") {
            let new = old.value.clone();
            list.push(
                Draft::new(topic, "machine", fate, reason)
                    .old(Some(old))
                    .value(new),
            );
        }
    }
}

//! Whatever was captured and no other translator took: nothing in the swap changes it.

use crate::job::{Draft, Job, List};
use crate::setting::Fate;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for value in job.reports.iter().flat_map(|report| &report.values) {
        if list.find(value.topic, &value.of).is_some() {
            continue;
        }
        let Some(old) = job.old(value.topic, &value.of) else {
            continue;
        };
        let new = old.value.clone();
        let known = job
            .setup
            .swap
            .machine
            .axes
            .iter()
            .any(|axis| axis.name.value == value.of)
            || value.of.chars().count() > 1;
        let draft = if known {
            Draft::new(
                value.topic,
                value.of.clone(),
                Fate::Carried,
                "Nothing in this swap changes it.",
            )
            .value(new)
        } else {
            Draft::new(
                value.topic,
                value.of.clone(),
                Fate::Dropped,
                "The machine file knows no axis of this letter.",
            )
        };
        list.push(draft.old(Some(old)));
    }
}

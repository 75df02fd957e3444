//! Panels, and the rate of the serial line.

use model::machine::Detail;

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use model::Topic;

/// A rate that every computer offers and every board makes.
const USUAL_RATE: f64 = 115_200.0;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for pair in job.setup.pairs() {
        if let Detail::Panel(panel) = &pair.device().detail {
            let new = SettingValue::words(panel.interface.value.clone());
            let old = (!pair.device().is_new()).then(|| job.written(&panel.interface, new.clone()));
            let fate = if old.is_some() { Fate::Carried } else { Fate::New };
            list.push(
                Draft::new(
                    Topic::PanelInterface,
                    pair.device().tag.value.clone(),
                    fate,
                    "The panel speaks it; the build must hold the matching part.",
                )
                .old(old)
                .value(new)
                .at(&pair),
            );
        }
    }
    let old = job.old(Topic::SerialRate, "machine");
    let draft = match &old {
        Some(old) => Draft::new(
            Topic::SerialRate,
            "machine",
            Fate::Carried,
            "The computer is set to it.",
        )
        .value(old.value.clone()),
        None => Draft::new(
            Topic::SerialRate,
            "machine",
            Fate::New,
            "Nothing was captured; every computer offers this rate.",
        )
        .value(SettingValue::Number(USUAL_RATE)),
    };
    list.push(draft.old(old));
}

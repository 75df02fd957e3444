//! Addressed lights: how many, and in which order the data line sends their colours.

use model::machine::Detail;

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for pair in job.setup.pairs() {
        let Detail::LightStrip(strip) = &pair.device().detail else {
            continue;
        };
        let Some(lights) = &strip.led_count else { continue };
        let tag = pair.device().tag.value.clone();
        let count = SettingValue::Number(f64::from(lights.value));
        let old = (!pair.device().is_new()).then(|| job.written(lights, count.clone()));
        let fate = if old.is_some() { Fate::Carried } else { Fate::New };
        list.push(
            Draft::new(
                Topic::Lights,
                tag.clone(),
                fate,
                "As the machine file counts them.",
            )
            .old(old)
            .value(count)
            .at(&pair),
        );
        list.push(
            Draft::new(
                Topic::LightOrder,
                tag,
                Fate::New,
                "The usual order; where red shows as green, the strip has another one.",
            )
            .value(SettingValue::words("green, red, blue"))
            .source("addressable-light-sheet")
            .at(&pair),
        );
    }
}

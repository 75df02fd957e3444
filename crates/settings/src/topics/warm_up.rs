//! Warm-up values: what the old controller showed, put right where it read its thermometers wrongly.

use model::Zone;
use quantity::si::ThermodynamicTemperature;
use quantity::{Number, Value, si};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, Old, SettingValue};
use crate::topics::thermometers::{Sensed, sensed, table_error_caution, truly};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    let thermometers = sensed(job);
    let of_zone = |zone| thermometers.iter().find(|sensed| sensed.detail.zone == zone);
    for (topic, zone) in [(Topic::WarmUpHotEnd, Zone::HotEnd), (Topic::WarmUpBed, Zone::Bed)] {
        for of in parts(job, topic) {
            let Some(old) = job.old(topic, &of) else { continue };
            list.push(temperature(job, topic, of, old, of_zone(zone)));
        }
    }
}

/// The presets that were reported, each once, in order.
fn parts(job: &Job<'_>, topic: Topic) -> Vec<String> {
    let all = job.reports.iter().flat_map(|report| &report.values);
    let mut out: Vec<String> = all
        .filter(|value| value.topic == topic)
        .map(|value| value.of.clone())
        .collect();
    out.sort();
    out.dedup();
    out
}

fn temperature(job: &Job<'_>, topic: Topic, of: String, old: Old, sensed: Option<&Sensed<'_>>) -> Draft {
    let limit = table_error_caution(job);
    let shown = old
        .value
        .any()
        .and_then(|value| value.typed::<ThermodynamicTemperature>())
        .map(|value| value.nominal());
    let truth = sensed
        .zip(shown)
        .and_then(|(sensed, shown)| Some((shown, truly(job, sensed, shown)?)));
    let value = old.value.clone();
    let off = shown.is_some_and(|shown| (shown.base() - si::celsius(0.0).base()).abs() < 1e-9);
    match truth.filter(|_| !off) {
        Some((shown, truth)) if (truth.base() - shown.base()).abs() > limit => {
            let whole = si::celsius((truth.base() - si::celsius(0.0).base()).round());
            let reason = format!(
                "When the old controller showed {}, the thermometer was at {} by its own curve: that is what the filament had.",
                Value::exact(shown),
                Value::exact(whole)
            );
            Draft::new(topic, of, Fate::Recomputed, reason)
                .value(SettingValue::exact(whole))
                .caution(true)
                .old(Some(old))
        }
        _ => {
            let reason = match truth {
                _ if off => "Zero is off.",
                Some(_) => "The old controller read its thermometer rightly.",
                None => {
                    "How the old controller read its thermometer is not known: compare the temperature with an independent thermometer."
                }
            };
            Draft::new(topic, of, Fate::Carried, reason)
                .value(value)
                .caution(truth.is_none() && !off)
                .old(Some(old))
        }
    }
}

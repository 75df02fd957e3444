//! The port of each device, by the name and the processor pin that a build asks for.

use model::board::PortKind;
use model::machine::Detail;

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, Old, SettingValue};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for pair in job.setup.pairs() {
        let port = pair.port();
        // A supply and a permanent output are wired, not told.
        if matches!(pair.device().detail, Detail::Supply(_)) || matches!(port.kind, PortKind::Permanent) {
            continue;
        }
        let words = match &port.processor_pin {
            Some(pin) => format!("{}, pin {pin}", port.name),
            None => port.name.value.clone(),
        };
        let old = pair.old_port().map(|old| Old {
            value: SettingValue::words(match &old.processor_pin {
                Some(pin) => format!("{}, pin {pin}", old.name),
                None => old.name.value.clone(),
            }),
            from: format!("its old port {}", old.name),
        });
        let fate = if old.is_some() {
            Fate::Recomputed
        } else {
            Fate::New
        };
        let reason = if pair.way.second {
            "It shares the driver of another motor and needs no setting of its own.".to_owned()
        } else {
            format!("The lead of {} goes there.", pair.device_name())
        };
        list.push(
            Draft::new(Topic::Port, pair.device().tag.value.clone(), fate, reason)
                .old(old)
                .value(SettingValue::words(words))
                .at(&pair),
        );
    }
}

//! The port of each device, by the name and the processor pin that a build asks for.

use model::board::{Port, PortKind};
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
        let words = called(port);
        let old = pair.old_port().map(|old| Old {
            value: SettingValue::words(called(old)),
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

/// The names of a port: its own, the one in the settings of its controller, its processor pin.
fn called(port: &Port) -> String {
    let number = port.number.as_ref().map(|number| format!(", number {number}"));
    let pin = port.processor_pin.as_ref().map(|pin| format!(", pin {pin}"));
    let [number, pin] = [number, pin].map(Option::unwrap_or_default);
    format!("{}{number}{pin}", port.name)
}

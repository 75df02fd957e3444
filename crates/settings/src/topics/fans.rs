//! Fans: on which output, and when each runs.

use model::Cooled;
use model::board::PortKind;
use model::machine::{Detail, Fan};
use plan::Pair;
use quantity::Value;

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, Old, SettingValue};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for pair in job.setup.pairs() {
        if let Detail::Fan(fan) = &pair.device().detail {
            control(&pair, fan, list);
        }
    }
}

const ALWAYS: &str = "always, with the supply";
const SWITCHED: &str = "switched by the controller";

/// Whether a fan runs whenever the board has power.
fn always(kind: &PortKind) -> bool {
    matches!(kind, PortKind::Permanent)
}

fn control(pair: &Pair<'_>, fan: &Fan, list: &mut List<'_>) {
    let start = pair.limits().fan_switch_on_temperature.value.nominal();
    let tag = pair.device().tag.value.clone();
    let now_always = always(&pair.port().kind);
    let before = pair.old_port().map(|port| Old {
        value: SettingValue::words(if always(&port.kind) { ALWAYS } else { SWITCHED }),
        from: format!("its old port {}", port.name),
    });
    let changed = pair
        .old_port()
        .is_some_and(|port| always(&port.kind) != now_always);
    let (words, reason, caution) = match (now_always, fan.cools) {
        (true, Cooled::Part) => (
            ALWAYS.to_owned(),
            "The port cannot switch it: it cools the print also where it should not.",
            true,
        ),
        (true, _) => (
            ALWAYS.to_owned(),
            "The port cannot switch it; nothing has to be set.",
            false,
        ),
        (false, Cooled::Part) => (
            "as the print asks".to_owned(),
            "The word of the trade for a fan sets it.",
            false,
        ),
        (false, Cooled::HeatSink) => (
            format!("from {} of the hot end on", Value::exact(start)),
            "It must run before the hot end is warm and until it is cold again: a setting that is forgotten melts the filament in the heat sink.",
            true,
        ),
        (false, Cooled::Board) => (
            "while drivers or heaters are on".to_owned(),
            "Drivers and switches need it whenever they carry current.",
            false,
        ),
        (false, Cooled::Case) => (
            "while the bed is warm".to_owned(),
            "It carries warm air and fumes away.",
            false,
        ),
    };
    // A switched fan that stays switched was told the same: the board does not decide what it cools.
    let before = before.map(|old| Old {
        value: if changed {
            old.value
        } else {
            SettingValue::words(words.clone())
        },
        ..old
    });
    let fate = match (&before, changed) {
        (None, _) => Fate::New,
        (Some(_), true) => Fate::Recomputed,
        (Some(_), false) => Fate::Carried,
    };
    list.push(
        Draft::new(Topic::FanControl, tag.clone(), fate, reason)
            .old(before)
            .value(SettingValue::words(words))
            .caution(caution && (changed || fate == Fate::New))
            .at(pair),
    );
    if !now_always && fan.cools == Cooled::HeatSink {
        let limit = &pair.limits().fan_switch_on_temperature;
        list.push(
            Draft::new(
                Topic::FanStart,
                tag,
                if changed { Fate::New } else { fate },
                limit.reason,
            )
            .value(SettingValue::exact(start))
            .at(pair),
        );
    }
}

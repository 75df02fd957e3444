//! What each switch reads when it is met, and what holds its input: from the contact and the pull of the new port.

use model::board::{Port, PortKind, SwitchInput};
use model::machine::{Detail, Sensor};
use model::{Output, Pull};
use plan::Pair;
use quantity::Value;

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, Old, SettingValue};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for pair in job.setup.pairs() {
        let Some(sensor) = pair.device().signal() else {
            continue;
        };
        let Some(input) = input(pair.port()) else { continue };
        // Pulses are counted: no level of them means anything.
        if !matches!(pair.device().detail.share(), Detail::Tachometer(_)) {
            sense(&pair, sensor, input, list);
        }
        pull(&pair, sensor, input, list);
    }
}

/// The input of a port that reads a switch.
pub(crate) fn input(port: &Port) -> Option<&SwitchInput> {
    match &port.kind {
        PortKind::Switch(input) => Some(input),
        PortKind::Probe { input, .. } => input.as_ref(),
        _ => None,
    }
}

/// What the input reads when the switch is met; `None` where the sensor itself decides it.
///
/// A contact at a port without resistor gets the pull-up inside the processor, as [`pull`] says.
fn level_when_met(sensor: &Sensor, input: &SwitchInput) -> Option<&'static str> {
    let (open, closed) = match input.pull.value {
        Pull::Up | Pull::None => ("high", "low"),
        Pull::Down => ("low", "high"),
    };
    match sensor.output.value {
        Output::NormallyClosed => Some(open),
        Output::NormallyOpen => Some(closed),
        Output::OpenCollector | Output::Pnp | Output::PushPull => None,
    }
}

fn sense(pair: &Pair<'_>, sensor: &Sensor, port_input: &SwitchInput, list: &mut List<'_>) {
    let tag = pair.device().tag.value.clone();
    let before = pair
        .old_port()
        .and_then(input)
        .and_then(|old| level_when_met(sensor, old))
        .map(|level| Old {
            value: SettingValue::words(level),
            from: format!(
                "the pull of {}",
                pair.old_port().map_or("", |port| &port.name.value)
            ),
        });
    let met = match pair.device().detail.share() {
        Detail::FilamentSwitch(_) => "when filament is there",
        Detail::BedProbe(_) => "when the probe is triggered",
        _ => "when it is pressed",
    };
    let draft = match level_when_met(sensor, port_input) {
        Some(level) => {
            let contact = if sensor.output.value == Output::NormallyClosed {
                "The contact opens when it is met, so that the pull of the input decides; a broken wire reads as met."
            } else {
                "The contact closes when it is met; a broken wire reads as not met, so press it by hand before each bring-up."
            };
            let fate = match &before {
                None => Fate::New,
                Some(old) if old.value == SettingValue::words(level) => Fate::Carried,
                Some(_) => Fate::Recomputed,
            };
            Draft::new(Topic::SwitchSense, tag, fate, contact)
                .value(SettingValue::words(format!("{level} {met}")))
        }
        None => Draft::new(
            Topic::SwitchSense,
            tag,
            if pair.device().is_new() {
                Fate::New
            } else {
                Fate::MeasureAgain
            },
            format!(
                "The sensor ({}) decides by itself what it drives {met}: read it by hand at the bring-up.",
                sensor.output.value
            ),
        ),
    };
    let before = before.map(|old| Old {
        value: SettingValue::words(format!("{} {met}", old.value)),
        ..old
    });
    list.push(draft.old(before).at(pair));
}

fn pull(pair: &Pair<'_>, sensor: &Sensor, input: &SwitchInput, list: &mut List<'_>) {
    let words = pull_words(sensor, input);
    let old = pair
        .old_port()
        .zip(pair.old_port().and_then(self::input))
        .map(|(port, input)| Old {
            value: SettingValue::words(pull_words(sensor, input)),
            from: format!("its old port {}", port.name),
        });
    let needs = input.pull.value == Pull::None && sensor.output.value != Output::PushPull;
    let reason = if needs {
        "The port has no resistor, and the contact or transistor needs one: switch on the one inside the processor, or add one."
    } else if input.pull.value == Pull::None {
        "The port has no pull and the sensor drives both levels."
    } else {
        "The board has the resistor; the one inside the processor is not needed."
    };
    let fate = match &old {
        None => Fate::New,
        Some(old) if old.value == SettingValue::words(words.clone()) => Fate::Carried,
        Some(_) => Fate::Recomputed,
    };
    list.push(
        Draft::new(Topic::SwitchPull, pair.device().tag.value.clone(), fate, reason)
            .old(old)
            .value(SettingValue::words(words))
            .caution(needs)
            .at(pair),
    );
}

/// "up by 10 kΩ on the board".
fn pull_words(sensor: &Sensor, input: &SwitchInput) -> String {
    match (input.pull.value, &input.pull_resistor) {
        (Pull::None, _) if sensor.output.value == Output::PushPull => "off".to_owned(),
        (Pull::None, _) => "up, inside the processor".to_owned(),
        (pull, Some(resistor)) => format!(
            "{} by {} on the board",
            pull.word(),
            Value::exact(resistor.nominal())
        ),
        (pull, None) => format!("{} on the board", pull.word()),
    }
}

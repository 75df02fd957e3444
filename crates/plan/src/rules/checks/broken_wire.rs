//! What the controller sees when a wire of a switch breaks or a plug comes off.

use model::machine::{Detail, Sensor};
use model::{Output, Pull};

use crate::facts::{PairFacts, signals};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "broken-wire";

/// Safe where a broken wire looks like a switch that is met. A run-out that goes unnoticed costs a print, not a machine: a note.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (Some(sensor), Some(input)) = (pair.device().signal(), signals::input(&pair.port().kind)) else {
        return;
    };
    // Pulses of a tachometer stop nothing, and have no level at rest.
    if matches!(pair.device().detail.share(), Detail::Tachometer(_)) {
        return;
    }
    let stops = matches!(
        pair.device().detail.share(),
        Detail::LimitSwitch { .. } | Detail::BedProbe(_)
    );
    let unseen = if stops { Verdict::Caution } else { Verdict::Note };
    match (sensor.output.value, input.pull.value) {
        (Output::NormallyClosed, _) => judge.say(Verdict::Pass, || {
            let headline = format!(
                "a broken wire of {} looks as if {}: the machine stops",
                pair.device_name(),
                met(pair)
            );
            at(headline, sensor)
        }),
        (Output::NormallyOpen, _) => judge.say(unseen, || {
            let headline = format!(
                "a broken wire of {} reads as not operated: {}",
                pair.device_name(),
                consequence(pair)
            );
            at(headline, sensor).remedy(
                "move one wire to the normally closed contact, where there is one, and invert the setting. Else press the switch by hand before the first move of each day, and watch its state",
            )
        }),
        (Output::OpenCollector | Output::Pnp | Output::PushPull, pull) => judge.say(unseen, || {
            let reads = match pull {
                Pull::Up => "high",
                Pull::Down => "low",
                Pull::None => "anything",
            };
            let headline = format!(
                "a broken signal wire of {} reads as {reads} at {}. Whether that looks like rest depends on the sensor",
                pair.device_name(),
                pair.port_name()
            );
            // Fed by another plug, it may be dead with its signal still plugged in.
            let plug = if pair.device().plug().is_some() { "each of its plugs in turn" } else { "the plug" };
            at(headline, sensor).remedy(format!(
                "pull {plug} with the axes still, and read the state. If it reads as at rest, {}. Then trigger the sensor by hand before the first move of each day, and watch its state",
                consequence(pair)
            ))
        }),
    }
}

fn at(headline: String, sensor: &Sensor) -> Finding {
    Finding::new(headline, "common-practice").at(sensor.output.place)
}

fn met(pair: &PairFacts<'_>) -> &'static str {
    match pair.device().detail.share() {
        Detail::FilamentSwitch(_) => "the filament had run out",
        Detail::BedProbe(_) => "the bed were touched",
        _ => "the end were reached",
    }
}

fn consequence(pair: &PairFacts<'_>) -> String {
    match pair.device().detail.share() {
        Detail::LimitSwitch { axis, .. } => {
            let axis = &pair.swap.machine.axis(*axis).name;
            format!("{axis} runs on into its end")
        }
        Detail::BedProbe(_) => "the nozzle runs on into the bed".to_owned(),
        _ => "a print goes on without filament".to_owned(),
    }
}

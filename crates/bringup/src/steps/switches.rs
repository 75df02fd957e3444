//! The state of every switch by hand, before anything looks for it by moving.

use model::machine::{Detail, Sensor};
use model::{DeviceKind, Output, Pin};
use plan::Pair;

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    for pair in job.of_kind(DeviceKind::LimitSwitch) {
        if let Detail::LimitSwitch { axis, end, sensor } = &pair.device().detail {
            let axis = job.setup.swap.machine.axis(*axis).name.value.clone();
            let words = format!("{} ({end} of {axis})", pair.device().tag);
            push(
                job,
                &pair,
                sensor,
                &words,
                "An axis that does not see its switch runs into its end.",
            );
        }
    }
    for pair in job.of_kind(DeviceKind::FilamentSwitch) {
        if let Detail::FilamentSwitch(sensor) = &pair.device().detail {
            let words = pair.device_name();
            push(
                job,
                &pair,
                sensor,
                &words,
                "It must tell filament from no filament, and not the other way round.",
            );
        }
    }
}

fn push(job: &mut Job<'_>, pair: &Pair<'_>, sensor: &Sensor, words: &str, why: &str) {
    let tag = &pair.device().tag.value;
    let filament = pair.device().kind() == DeviceKind::FilamentSwitch;
    let (rest, met) = if filament {
        ("without filament", "with filament")
    } else {
        ("at rest", "pressed")
    };
    let step = Step::new(
        format!("switch:{tag}"),
        Phase::Senses,
        Needs::Power,
        format!("Work {words} by hand"),
        why,
    );
    let step = if fed(pair) { job.supplied(step, pair) } else { step };
    let step = step.act(format!(
        "Switch off. Plug {tag} into {}. Switch on.",
        pair.port_name()
    ))
    .act("Ask the controller for the state of its switches, work the switch by hand, ask again, three times.")
    .expect(Expected::seen(
        format!("state {rest}"),
        if filament { "no filament" } else { "open (not met)" },
    ))
    .expect(Expected::seen(
        format!("state {met}"),
        if filament { "filament" } else { "met" },
    ))
    .act("Switch off, pull its plug, switch on, ask once more. Switch off, plug it in again.")
    .expect(Expected::seen("state with the plug pulled", broken(sensor)))
    .otherwise("the two states are exchanged: the sense of the switch is set wrongly (see the settings)")
    .otherwise("the state never changes: wrong port, no pull-up, or the wire")
    .otherwise("another switch changes: two leads are exchanged")
    .at(pair)
    .setting(format!("switch-sense:{tag}"))
    .setting(format!("switch-pull:{tag}"));
    let step = job.following(step, &format!("contact:{tag}"));
    let step = job.following(step, &format!("poles:{tag}"));
    let step = job.power_gate(step);
    job.push(step);
}

/// What a broken wire looks like: the reason to pull the plug.
fn broken(sensor: &Sensor) -> &'static str {
    match sensor.output.value {
        Output::NormallyClosed => "met: a broken wire stops the axis, which is what one wants",
        Output::NormallyOpen => "as at rest: a broken wire is not noticed; remember it",
        Output::OpenCollector | Output::PushPull => "note which; a broken wire will look like this",
    }
}

/// Whether the switch has a supply of its own on its cable.
fn fed(pair: &Pair<'_>) -> bool {
    let pins = &pair.device().cable.pins;
    pins.iter().any(|pin| pin.value == Pin::Plus)
}

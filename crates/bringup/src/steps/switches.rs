//! The state of every switch by hand, before anything looks for it by moving.

use model::machine::{Detail, Sensor};
use model::{DeviceKind, Output, Pin};
use plan::Pair;

use crate::job::Job;
use crate::step::{Expected, Needs, Part, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    let limits = job
        .of_kind(DeviceKind::LimitSwitch)
        .into_iter()
        .filter_map(|pair| {
            let Detail::LimitSwitch { axis, end, sensor } = &pair.device().detail else {
                return None;
            };
            let axis = &job.setup.swap.machine.axis(*axis).name;
            Some(part(
                job,
                &pair,
                sensor,
                format!("{} ({end} of {axis})", pair.device().tag),
            ))
        });
    let filament = job
        .of_kind(DeviceKind::FilamentSwitch)
        .into_iter()
        .filter_map(|pair| {
            let Detail::FilamentSwitch(sensor) = &pair.device().detail else {
                return None;
            };
            Some(part(job, &pair, sensor, pair.device_name()))
        });
    // What a pulled plug reads as is read before the plugs are in: the same state, and no switch-off more.
    let step = Step::new(
        "switches",
        Phase::Senses,
        Needs::Power,
        "Operate each switch by hand",
        "An axis that does not see its switch runs into its end; filament must not read as no filament.",
    )
    .parts(limits.chain(filament))
    .act("With none of these plugs in, ask the controller for the state of its inputs. A broken wire will read like this. Measure the supply of those that the table names.")
    .act("Switch off. Plug each into its port. Switch on.")
    .act("At each: ask for the state, operate it by hand, ask again, three times.")
    .otherwise("the two states are interchanged: the active level is set wrongly (see the settings)")
    .otherwise("the state never changes: wrong port, no pull-up, or the wire")
    .otherwise("another switch changes: two cables are interchanged")
    .takes(3, 2);
    let step = job.power_gate(step);
    job.push_parted(step);
}

fn part(job: &Job<'_>, pair: &Pair<'_>, sensor: &Sensor, what: String) -> Part {
    let tag = &pair.device().tag.value;
    let signal = job.signal_tag(pair);
    let filament = pair.device().kind() == DeviceKind::FilamentSwitch;
    let [unplugged, rest, operated] = [
        "state before it is plugged in",
        "state at rest",
        "state when operated",
    ];
    let [no, yes] = if filament {
        ["no filament", "filament"]
    } else {
        ["not operated", "operated"]
    };
    let part = Part::new(format!("switch:{tag}"), what).at(pair);
    let part = if fed(pair) { job.supplied(part, pair) } else { part };
    let part = part
        .expect(Expected::seen(unplugged, broken(sensor)))
        .expect(Expected::seen(rest, no))
        .expect(Expected::seen(operated, yes))
        .setting(format!("switch-sense:{signal}"))
        .setting(format!("switch-pull:{signal}"));
    let part = job.part_following(part, &format!("contact:{tag}"));
    job.part_following(part, &format!("poles:{tag}"))
}

/// What a broken wire looks like: the reason to pull the plug.
fn broken(sensor: &Sensor) -> &'static str {
    match sensor.output.value {
        Output::NormallyClosed => "operated: a broken wire stops the axis, as it should",
        Output::NormallyOpen => "not operated: a broken wire is not detected; remember it",
        Output::OpenCollector | Output::Pnp | Output::PushPull => {
            "note which; a broken wire will look like this"
        }
    }
}

/// Whether the switch has a supply of its own on its cable.
fn fed(pair: &Pair<'_>) -> bool {
    let pins = &pair.device().cable.pins;
    pins.iter().any(|pin| pin.value == Pin::Plus)
}

//! Speeds and accelerations: carried, unless the new steps would ask more of the processor than it makes.

use model::machine::{Axis, AxisId};
use physics::{Worked, motion, named, work};
use quantity::si::{Frequency, StepDensity, Velocity};
use quantity::{Number, Value};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use crate::topic::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for (at, axis) in job.setup.swap.machine.axes.iter().enumerate() {
        if job.motors(AxisId(at)).next().is_some() {
            list.push(top_speed(job, axis, list));
        }
    }
    for (at, axis) in job.setup.swap.machine.axes.iter().enumerate() {
        if job.motors(AxisId(at)).next().is_some() {
            acceleration(job, axis, list);
        }
    }
    for topic in [
        Topic::PrintAcceleration,
        Topic::RetractAcceleration,
        Topic::TravelAcceleration,
    ] {
        carried(job, topic, "machine", list);
    }
    for axis in &job.setup.swap.machine.axes {
        carried(job, Topic::CornerSpeed, &axis.name.value, list);
    }
}

/// The reported value, where there is one: nothing in the swap changes it.
fn carried(job: &Job<'_>, topic: Topic, of: &str, list: &mut List<'_>) {
    if let Some(old) = job.old(topic, of) {
        let new = old.value.clone();
        list.push(
            Draft::new(topic, of, Fate::Carried, "Mass, motor and mechanics stay.")
                .old(Some(old))
                .value(new),
        );
    }
}

/// The highest speed at which the processor still makes the steps of one axis.
fn processor_limit(job: &Job<'_>, steps: StepDensity) -> Worked<Velocity> {
    let share = job
        .setup
        .limits()
        .processor_step_rate_share
        .value
        .nominal()
        .base();
    let rate: Value<Frequency> = job.setup.board.processor.step_rate.value.scale(share);
    let inputs = (
        named(
            "f",
            "step rate that the processor may be asked for",
            Value::exact(rate.low()),
        ),
        named("s", "steps per length", Value::exact(steps)),
    );
    work(&motion::SPEED_OF_STEP_RATE, "v", inputs, |(f, s)| {
        motion::speed_of_step_rate(f, s)
    })
}

fn top_speed(job: &Job<'_>, axis: &Axis, list: &List<'_>) -> Draft {
    let name = &axis.name.value;
    let old = job.old(Topic::TopSpeed, name);
    let asked = axis.top_speed.nominal();
    let before: Velocity = old
        .as_ref()
        .and_then(|old| old.value.any()?.typed::<Velocity>())
        .map_or(asked, |value| value.nominal());
    let steps = list
        .find(Topic::StepsPerLength, name)
        .and_then(|setting| setting.new.as_ref()?.any()?.typed::<StepDensity>());
    let limit = steps.map(|steps| processor_limit(job, steps.nominal()));
    if let Some(limit) = limit.filter(|limit| limit.value.nominal() < before) {
        let value = Velocity::from_base((limit.value.nominal().base() * 1e5).floor() / 1e5);
        let reason = format!(
            "At {} the processor would have to make more steps than it can beside its other work; take fewer microsteps to go faster.",
            Value::exact(before)
        );
        return Draft::new(Topic::TopSpeed, name.clone(), Fate::Recomputed, reason)
            .old(old)
            .value(SettingValue::exact(value))
            .caution(true)
            .working([limit.working]);
    }
    let (fate, mut reason) = match &old {
        Some(_) => (Fate::Carried, "The processor makes the steps of it.".to_owned()),
        None => (
            Fate::New,
            "Nothing was captured; the machine file asks for it.".to_owned(),
        ),
    };
    let differs = old.is_some() && (before.base() / asked.base() - 1.0).abs() > 0.01;
    if differs {
        reason = format!("{reason} The machine file asks for {}.", axis.top_speed.value);
    }
    Draft::new(Topic::TopSpeed, name.clone(), fate, reason)
        .old(old)
        .value(SettingValue::exact(before))
        .caution(differs)
}

fn acceleration(job: &Job<'_>, axis: &Axis, list: &mut List<'_>) {
    let name = &axis.name.value;
    match (job.old(Topic::Acceleration, name), &axis.acceleration) {
        (Some(_), _) => carried(job, Topic::Acceleration, name, list),
        (None, Some(asked)) => list.push(
            Draft::new(
                Topic::Acceleration,
                name.clone(),
                Fate::New,
                "Nothing was captured; the machine file asks for it.",
            )
            .value(SettingValue::exact(asked.nominal())),
        ),
        (None, None) => {}
    }
}

//! Homing: which end, how fast, how long the travel, and the shift of the zero point.

use model::machine::{Axis, AxisId, Detail, Motor};
use physics::{motion, named, work};
use plan::Pair;
use quantity::si::{AngularVelocity, Velocity};
use quantity::{Value, si};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, Old, SettingValue};
use crate::topics::steps::from_mechanics;
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    let axes = || {
        job.setup
            .swap
            .machine
            .axes
            .iter()
            .enumerate()
            .map(|(at, axis)| (AxisId(at), axis))
    };
    for (id, axis) in axes() {
        end(job, id, axis, list);
    }
    for (id, axis) in axes() {
        speed(job, id, axis, list);
    }
    for (_, axis) in axes() {
        if let Some(travel) = &axis.travel {
            let new = SettingValue::exact(travel.nominal());
            list.push(
                Draft::new(
                    Topic::Travel,
                    axis.name.value.clone(),
                    Fate::Carried,
                    "The mechanics stay.",
                )
                .old(Some(job.written(travel, new.clone())))
                .value(new),
            );
        }
    }
    for (id, axis) in axes() {
        zero_shift(job, id, axis, list);
    }
}

/// Whether an axis homes by the bed probe: the one that moves nozzle and bed apart, where a probe is connected.
fn by_probe(job: &Job<'_>, axis: &Axis) -> bool {
    axis.name.value == "Z" && job.probe().is_some()
}

/// The end at which a described limit switch of an axis stands, connected or not: by load an axis homes where it homed before.
fn described_end(job: &Job<'_>, id: AxisId) -> Option<model::End> {
    let devices = job.setup.swap.machine.devices.iter();
    let mut ends = devices.filter_map(|device| match &device.detail {
        Detail::LimitSwitch { axis, end, .. } if *axis == id => Some(*end),
        _ => None,
    });
    ends.next()
}

fn switch<'a>(job: &Job<'a>, id: AxisId) -> Option<(Pair<'a>, model::End)> {
    job.setup.pairs().find_map(|pair| match &pair.device().detail {
        Detail::LimitSwitch { axis, end, .. } if *axis == id => Some((pair, *end)),
        _ => None,
    })
}

fn end(job: &Job<'_>, id: AxisId, axis: &Axis, list: &mut List<'_>) {
    let name = axis.name.value.clone();
    let switch = switch(job, id);
    let end = switch.as_ref().map_or("min", |(_, end)| end.word());
    let by_switch = switch
        .as_ref()
        .map(|(pair, _)| format!("{end}, limit switch {}", pair.device().tag));
    let was_there = switch.as_ref().is_some_and(|(pair, _)| !pair.device().is_new());
    let old = by_switch.as_ref().filter(|_| was_there).map(|words| Old {
        value: SettingValue::words(words.clone()),
        from: "its limit switch".to_owned(),
    });
    let draft = |fate, words: String, reason: &str| {
        Draft::new(Topic::HomingEnd, name.clone(), fate, reason)
            .old(old.clone())
            .value(SettingValue::words(words))
    };
    if by_probe(job, axis) {
        let new = job.probe().is_some_and(|pair| pair.device().is_new());
        let fate = if new { Fate::Recomputed } else { Fate::Carried };
        // The probe meets the bed, which is where the axis begins, wherever a switch of it stands.
        let other = end != "min";
        let reason = if other {
            "The probe meets the bed, at the min end. The limit switch of this axis stands at the other end: only one of both is the home."
        } else {
            "The probe tells the height; a limit switch of this axis, where it stays connected, is no longer asked."
        };
        list.push(draft(fate, "min, by the bed probe".to_owned(), reason).caution(other));
    } else if job.homes_by_load(id) {
        let end = described_end(job, id).map_or(end, model::End::word);
        list.push(draft(
            Fate::Recomputed,
            format!("{end}, by the load of the motor"),
            "The wish for homing by stall detection is served.",
        ));
    } else if let (Some((pair, _)), Some(words)) = (&switch, by_switch) {
        let fate = if was_there { Fate::Carried } else { Fate::New };
        list.push(draft(fate, words, "The switch tells the end.").at(pair));
    }
}

fn speed(job: &Job<'_>, id: AxisId, axis: &Axis, list: &mut List<'_>) {
    let name = &axis.name.value;
    let by_load = job.homes_by_load(id) && !by_probe(job, axis);
    if let Some(written) = &axis.homing_speed {
        let new = SettingValue::exact(written.nominal());
        let draft = |fate, reason: String| {
            Draft::new(Topic::HomingSpeed, name.clone(), fate, reason)
                .old(Some(job.written(written, new.clone())))
                .value(new.clone())
        };
        if by_load {
            let signal = signal(job, id, axis, written.value);
            list.push(
                draft(
                    Fate::MeasureAgain,
                    "The load shows only in the back-EMF, which grows with speed: sweep it together with the threshold.".to_owned(),
                )
                .working(signal),
            );
        } else {
            list.push(draft(
                Fate::Carried,
                "The switch and the mechanics stay.".to_owned(),
            ));
        }
    }
    if by_load {
        list.push(Draft::new(
            Topic::HomingThreshold,
            name.clone(),
            Fate::MeasureAgain,
            "It depends on motor, current and speed: sweep it at the bring-up and take the middle of what works.",
        ));
    }
}

/// The back-EMF at homing speed, and its share of what the driver can tell from its noise; nothing where a figure is missing.
fn signal(job: &Job<'_>, id: AxisId, axis: &Axis, speed: Value<Velocity>) -> Vec<physics::Working> {
    let found = job.motors(id).find_map(|pair| {
        let Detail::Motor(motor) = &pair.device().detail else {
            return None;
        };
        let floor = pair.driver()?.min_back_emf.as_ref()?.value;
        Some((motor, motor.holding_torque.as_ref()?.value, floor))
    });
    let Some((motor, torque, floor)) = found else {
        return Vec::new();
    };
    let turning = turning(axis, motor, speed);
    let inputs = (
        named("Mₕ", "holding torque", torque),
        named("Iᵣ", "rated current", motor.current.value),
        named("ω", "speed of the motor when homing", turning),
    );
    let emf = work(&motion::BACK_EMF, "E", inputs, |(m, i, w)| {
        motion::back_emf(m, i, w)
    });
    let inputs = (
        named("E", "back-EMF at homing speed", emf.value),
        named("E₀", "least that the driver can use", floor),
    );
    let share = work(&motion::SIGNAL_SHARE, "s", inputs, |(e, floor)| {
        motion::signal_share(e, floor)
    });
    vec![emf.working, share.working]
}

fn turning(axis: &Axis, motor: &Motor, speed: Value<Velocity>) -> Value<AngularVelocity> {
    let full = si::degree(360.0 / f64::from(motor.steps_per_turn));
    let steps = from_mechanics(axis, motor, 1).value;
    speed.map(|speed| motion::turn_rate(speed, steps.nominal(), si::ratio(1.0), full))
}

fn zero_shift(job: &Job<'_>, id: AxisId, axis: &Axis, list: &mut List<'_>) {
    let name = &axis.name.value;
    let Some(old) = job.old(Topic::ZeroShift, name) else {
        return;
    };
    let new = old.value.clone();
    let draft = |fate, reason| Draft::new(Topic::ZeroShift, name.clone(), fate, reason).old(Some(old));
    list.push(if by_probe(job, axis) {
        draft(
            Fate::Dropped,
            "It belonged to the limit switch; the probe tells the zero point now, and its own distance is measured anew.",
        )
    } else if job.homes_by_load(id) {
        draft(
            Fate::MeasureAgain,
            "The axis stops at the end of its travel and no longer at the switch.",
        )
        .value(new)
    } else {
        draft(Fate::Carried, "The switch stays where it is.").value(new)
    });
}

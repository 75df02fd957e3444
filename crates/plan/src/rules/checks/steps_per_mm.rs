//! Steps per length of each axis at its new microsteps.

use model::machine::{Axis, Drive, Motor};
use physics::{Worked, motion, named, work};
use quantity::si::StepDensity;
use quantity::{Value, si};

use crate::facts::{WholeFacts, axes};
use crate::rules::judging::{Finding, Handling, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "steps-per-mm";

/// Kept, changed with the microsteps, or set anew; two drivers of one axis must agree.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for (at, axis) in facts.swap.machine.axes.iter().enumerate() {
        let drivers = || {
            facts.pairs().filter_map(move |pair| {
                let motor = axes::motor(&pair.device().detail).filter(|motor| motor.axis.0 == at)?;
                Some((motor, axes::microsteps(axis, pair.driver()?)))
            })
        };
        let Some((motor, microsteps)) = drivers().next() else {
            continue;
        };
        let subject = || Subject::named(axis.name.value.clone());
        if let Some((_, other)) = drivers().find(|(_, other)| *other != microsteps) {
            judge.say(Verdict::Caution, || {
                let headline = format!(
                    "the motors of {} would make {microsteps} and {other} microsteps: they would not move together",
                    axis.name
                );
                Finding::new(headline, "common-practice").about(subject()).at(axis.place).remedy(format!(
                    "set both drivers to {} microsteps",
                    microsteps.min(other)
                ))
            });
        }
        let old = axis.old_microsteps.map(|old| old.value);
        let verdict = if old == Some(microsteps) {
            Verdict::Pass
        } else {
            Verdict::Note
        };
        judge.say(verdict, || {
            words(axis, motor, microsteps, old)
                .about(subject())
                .handled_by(Handling::setting("steps-per-length", &axis.name.value))
        });
    }
}

fn words(axis: &Axis, motor: &Motor, microsteps: u32, old: Option<u32>) -> Finding {
    let now = steps(axis, motor, microsteps);
    let number = brief(now.value.nominal());
    let headline = match old {
        Some(old) if old != microsteps => format!(
            "{} makes {number} with {microsteps} microsteps; with {old} it made {}",
            axis.name,
            brief(axes::steps_per_length(axis, motor, old).nominal())
        ),
        Some(_) => format!("{} makes {number} as before, by its mechanics", axis.name),
        None => format!(
            "{} makes {number} with {microsteps} microsteps, by its mechanics",
            axis.name
        ),
    };
    let remedy = match (axis.drive, old) {
        (Drive::Extruder { .. }, Some(old)) if old != microsteps => format!(
            "take the old steps per length times {microsteps}/{old}: that keeps its calibration, which the diameter of the wheel does not give so well"
        ),
        (Drive::Extruder { .. }, _) => {
            "measure it: mark the filament, feed 100 mm, and correct by what is left".to_owned()
        }
        (_, Some(old)) if old != microsteps => {
            format!("set it to {number}; a tuned old value times {microsteps}/{old} is as good")
        }
        _ => format!("set it to {number}, and measure a move of 100 mm"),
    };
    let mut finding = Finding::new(headline, "iso-80000-3")
        .at(axis.place)
        .working(now.working)
        .remedy(remedy);
    finding.value = Some(now.value.into());
    finding
}

fn steps(axis: &Axis, motor: &Motor, microsteps: u32) -> Worked<StepDensity> {
    let step = named(
        "φ",
        "full step of the motor",
        Value::exact(axes::full_step(motor)),
    );
    let micro = named("n", "microsteps", Value::exact(si::ratio(f64::from(microsteps))));
    let gear = named("i", "turns of the motor for one of the drive", axis.ratio);
    match axis.drive {
        Drive::Belt { pitch, teeth } => {
            let pitch = named("p", "distance of the belt's teeth", pitch.value);
            let teeth = named(
                "z",
                "teeth of the pulley",
                Value::exact(si::ratio(f64::from(*teeth))),
            );
            work(
                &motion::BELT_STEPS,
                "s",
                (step, micro, gear, pitch, teeth),
                |(step, micro, gear, pitch, teeth)| motion::belt_steps(step, micro, gear, pitch, teeth),
            )
        }
        Drive::Screw { lead } => {
            let lead = named("h", "travel for one turn of the screw", lead.value);
            work(
                &motion::SCREW_STEPS,
                "s",
                (step, micro, gear, lead),
                |(step, micro, gear, lead)| motion::screw_steps(step, micro, gear, lead),
            )
        }
        Drive::Extruder { wheel } => {
            let wheel = named("d", "diameter of the wheel", wheel.value);
            work(
                &motion::ROLLER_STEPS,
                "s",
                (step, micro, gear, wheel),
                |(step, micro, gear, wheel)| motion::roller_steps(step, micro, gear, wheel),
            )
        }
    }
}

//! Steps per length of each axis at its new microsteps.

use model::Place;
use model::board::Driver;
use model::machine::{Axis, AxisId, Drive, Machine, Motor};
use physics::{Worked, motion, named, work};
use quantity::si::StepDensity;
use quantity::{Number, Value, si};

use crate::facts::{PairFacts, WholeFacts, axes, kinematics};
use crate::rules::judging::{Finding, Handling, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "steps-per-mm";

/// Kept, changed with the microsteps, or set anew. Motors that move one axis together must make the same steps per length: those of one axis,
/// and both of crossed belts.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let machine = &facts.swap.machine;
    for (at, axis) in machine.axes.iter().enumerate() {
        let Some(first) = movers(facts).find(|mover| mover.id.0 == at) else {
            continue;
        };
        let (motor, microsteps) = (first.motor, first.microsteps);
        let subject = || Subject::named(axis.name.value.clone());
        let together = movers(facts).filter(|mover| mover.id.0 == at || first.crosses(machine, mover));
        let unlike = together
            .skip_while(|mover| !core::ptr::eq(mover.pair, first.pair))
            .find(|mover| !alike(machine, &first, mover));
        if let Some(other) = unlike {
            judge.say(Verdict::Caution, || {
                Finding::new(unlike_words(machine, &first, &other), "common-practice")
                    .about(subject())
                    .at(other.motor_place())
                    .remedy(make_alike(machine, &first, &other))
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

/// A motor on its driver, with its axis.
#[derive(Clone, Copy)]
struct Mover<'f, 'a> {
    pair: &'f PairFacts<'a>,
    motor: &'f Motor,
    id: AxisId,
    driver: &'a Driver,
    microsteps: u32,
}

fn movers<'f, 'a>(facts: &'f WholeFacts<'a>) -> impl Iterator<Item = Mover<'f, 'a>> {
    facts.pairs().filter_map(|pair| {
        let (motor, id) = axes::motor_of(pair.device())?;
        let driver = pair.driver()?;
        let microsteps = axes::microsteps(facts.swap.machine.axis(id), driver);
        Some(Mover {
            pair,
            motor,
            id,
            driver,
            microsteps,
        })
    })
}

impl Mover<'_, '_> {
    /// Steps per length where its driver makes so many microsteps.
    fn steps(&self, machine: &Machine, microsteps: u32) -> f64 {
        axes::steps_per_length(machine.axis(self.id), self.motor, microsteps)
            .nominal()
            .base()
    }
    /// Whether both move the same pair of crossed belts.
    fn crosses(&self, machine: &Machine, other: &Mover<'_, '_>) -> bool {
        let crosses = |id| kinematics::crosses(machine.kinematics, machine.axis(id));
        self.id != other.id && crosses(self.id) && crosses(other.id)
    }
    fn motor_place(&self) -> Place {
        self.pair.device().place
    }
}

fn alike(machine: &Machine, one: &Mover<'_, '_>, other: &Mover<'_, '_>) -> bool {
    let (one, other) = (
        one.steps(machine, one.microsteps),
        other.steps(machine, other.microsteps),
    );
    (one - other).abs() <= 1e-9 * one.abs()
}

fn unlike_words(machine: &Machine, one: &Mover<'_, '_>, other: &Mover<'_, '_>) -> String {
    let both = format!("{} and {}", one.pair.device_name(), other.pair.device_name());
    let turn = |mover: &Mover<'_, '_>| mover.motor.steps_per_turn;
    let why = if turn(one) != turn(other) {
        format!("{} and {} full steps per turn", turn(one), turn(other))
    } else if one.microsteps != other.microsteps {
        format!("{} and {} microsteps", one.microsteps, other.microsteps)
    } else {
        "other pulleys or gears".to_owned()
    };
    let axis = &machine.axis(one.id).name;
    if one.id == other.id {
        format!("{both} would not move {axis} together: they have {why}")
    } else {
        let second = &machine.axis(other.id).name;
        format!(
            "{both} would not move {axis} and {second} true. They have {why}, and both belts move both axes"
        )
    }
}

/// The finest microsteps of both drivers that make the steps alike, where there are such; else other motors.
fn make_alike(machine: &Machine, one: &Mover<'_, '_>, other: &Mover<'_, '_>) -> String {
    let same_driver = core::ptr::eq(one.driver, other.driver);
    let choices = (0..=8).rev().map(|power| 1_u32 << power);
    let mut pairs = choices
        .clone()
        .flat_map(|own| choices.clone().map(move |theirs| (own, theirs)));
    let fits = |(own, theirs): &(u32, u32)| {
        let most = one.microsteps.max(other.microsteps);
        let steps = (one.steps(machine, *own), other.steps(machine, *theirs));
        *own.max(theirs) <= most
            && one.driver.offers(*own)
            && other.driver.offers(*theirs)
            && (steps.0 - steps.1).abs() <= 1e-9 * steps.0.abs()
    };
    let found = pairs.find(fits).filter(|_| !same_driver);
    match found {
        Some((own, theirs)) if own == theirs => format!("set both drivers to {own} microsteps"),
        Some((own, theirs)) => format!(
            "set the driver of {} to {own} microsteps and that of {} to {theirs}, or use two motors of one kind",
            one.pair.device().tag,
            other.pair.device().tag
        ),
        None => "use two motors with the same full steps per turn, on equal pulleys and gears".to_owned(),
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
            "set the old steps per length times {microsteps}/{old}. That keeps its calibration, which the diameter of the wheel gives less well"
        ),
        (Drive::Extruder { .. }, _) => {
            "mark the filament, feed 100 mm, and correct by what is left".to_owned()
        }
        (_, Some(old)) if old != microsteps => {
            format!("set it to {number}. A tuned old value times {microsteps}/{old} is as good")
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

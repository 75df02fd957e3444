//! The speed up to which the motors of an axis keep their reserve of torque, against the top speed that is asked of it.

use model::machine::AxisId;
use quantity::si::{AngularVelocity, Velocity};
use quantity::{Number, Value};

use crate::facts::axes::motor_of;
use crate::facts::torque;
use crate::facts::{PairFacts, WholeFacts, kinematics};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "max-speed";

/// The weakest motor of an axis counts. Where an acceleration is asked the check `acceleration` already warns of the same lack: then
/// it is a note that turns it into a speed.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let machine = &facts.swap.machine;
    for (at, axis) in machine.axes.iter().enumerate() {
        let id = AxisId(at);
        let subject = || Subject::named(axis.name.value.clone());
        let motors = || {
            facts
                .pairs()
                .filter(move |pair| motor_of(pair.device()).is_some_and(|(_, own)| own == id))
        };
        if motors().next().is_none() {
            continue;
        }
        let missing = kinematics::missing_geometry(machine);
        if !missing.is_empty() && kinematics::tower(machine, id).is_some() {
            judge.say(Verdict::Note, || {
                let headline = format!(
                    "torque, speed and acceleration of {} are not known: the machine's file lacks {}",
                    axis.name,
                    missing.join(", ")
                );
                Finding::new(headline, "iso-80000-4")
                    .about(subject())
                    .at(axis.place)
                    .remedy(format!("add {} to [geometry]", missing.join(", ")))
            });
        }
        let Some(asked) = torque::asked(machine, facts.limits(), id) else {
            continue;
        };
        let needed = asked.torque();
        let wanted = torque::with_reserve(facts.limits(), needed);
        let weakest = motors()
            .filter_map(|pair| pair.motor().map(|given| (pair, given.speed_for(wanted), given)))
            .min_by(|one, other| one.1.low().base().total_cmp(&other.1.low().base()));
        let Some((pair, shaft, given)) = weakest else {
            continue;
        };
        let speed = torque::axis_speed(machine, axis, shaft);
        let broken = if asked.accelerating.is_some() {
            Verdict::Note
        } else {
            Verdict::Caution
        };
        judge.at_least(speed, axis.max_speed.value, broken, || {
            let mut finding = Finding::new(
                words(pair, speed, asked.accelerating.is_some()),
                "electric-machines-textbook",
            )
            .about(subject())
            .at(axis.max_speed.place)
            .remedy(remedy(pair, speed));
            // With an acceleration the check `acceleration` shows how the demand comes about.
            if asked.accelerating.is_none() {
                for working in torque::workings(machine, facts.limits(), id) {
                    finding = finding.working(working);
                }
            }
            // At the speed itself the torque is just what is wanted.
            finding.working(given.working(Value::exact(shaft.low().larger(AngularVelocity::from_base(0.0)))))
        });
    }
}

fn words(pair: &PairFacts<'_>, speed: Value<Velocity>, accelerating: bool) -> String {
    let axis = motor_of(pair.device()).map(|(_, id)| pair.swap.machine.axis(id));
    let (name, top) = axis.map_or(("", String::new()), |axis| {
        (axis.name.value.as_str(), brief(axis.max_speed.nominal()))
    });
    let doing = if accelerating {
        "with the acceleration that is asked"
    } else {
        "at even speed"
    };
    if speed.low().base() <= 0.0 {
        return format!("{name} does not keep its reserve of torque at any speed {doing}; {top} are asked");
    }
    format!(
        "{name} keeps its reserve of torque up to {} {doing}; {top} are asked",
        brief(speed.low())
    )
}

fn remedy(pair: &PairFacts<'_>, speed: Value<Velocity>) -> String {
    if speed.low().base() <= 0.0 {
        return format!(
            "ask for less acceleration, or run {} at more current, as far as driver and motor bear it",
            pair.device_name()
        );
    }
    format!(
        "set the top speed to {} at the most, ask for less acceleration, or run {} at more current, as far as driver and motor bear it",
        brief(speed.low()),
        pair.device_name()
    )
}

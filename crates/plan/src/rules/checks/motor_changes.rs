//! What another driver, another supply or a driver of its own change for a motor against the old board.

use quantity::si::Torque;
use quantity::{Number, Value};

use crate::facts::axes::{self, motor_of};
use crate::facts::rails::old_supply_voltage;
use crate::facts::torque::Given;
use crate::facts::{PairFacts, WholeFacts, kinematics};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "motor-changes";

/// Nothing to mend: weaker axes are the business of the checks of torque. A note where the torque differs by more than motors of one kind.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let machine = &facts.swap.machine;
    let told = facts.limits().motor_torque_change.value.nominal().base();
    for pair in facts.pairs() {
        let Some((_, id)) = motor_of(pair.device()) else {
            continue;
        };
        let (Some(new), Some(old)) = (pair.motor(), Given::on_old_board(pair)) else {
            continue;
        };
        let axis = machine.axis(id);
        let speed = axes::shaft_speed(axis, kinematics::max_speed(machine, axis)).nominal();
        let both = |given: &Given| [given.at_rest().nominal(), given.nominal().torque(speed)];
        let (before, after) = (both(&old), both(new));
        let change = |at: usize| (after[at] / before[at]).base() - 1.0;
        let differs = change(0).abs() > told || change(1).abs() > told;
        judge.say(if differs { Verdict::Note } else { Verdict::Pass }, || {
            let headline = if differs {
                format!(
                    "{0} gives {1} at low speed, was {4}. At the maximum speed of {3} it gives {2}, was {5}. {6}",
                    pair.device_name(),
                    brief(after[0]),
                    brief(after[1]),
                    axis.name,
                    brief(before[0]),
                    brief(before[1]),
                    reasons(pair, &old, new).join(". ")
                )
            } else {
                format!(
                    "{} has the same torque as on the old board. It is {} at low speed, {} at the maximum speed of {}",
                    pair.device_name(),
                    brief(after[0]),
                    brief(after[1]),
                    axis.name
                )
            };
            let place = pair.driver().map_or(pair.port().place, |driver| driver.place);
            let finding = Finding::new(headline, "electric-machines-textbook")
                .about(Subject::device(pair.device().tag.value.clone()))
                .at(place)
                .remedy(remedy(after, before));
            if differs {
                finding.working(new.working(Value::exact(speed)))
            } else {
                finding
            }
        });
    }
}

fn reasons(pair: &PairFacts<'_>, old: &Given, new: &Given) -> Vec<String> {
    let mut out = Vec::new();
    let differ = |one: f64, other: f64| (one / other - 1.0).abs() > 1e-3;
    let rms = |given: &Given| physics::motion::rms_of_peak(given.current().nominal());
    if differ(rms(old).base(), rms(new).base()) {
        out.push(format!(
            "It gets {} in place of {}",
            brief(rms(new)),
            brief(rms(old))
        ));
    }
    let (before, after) = (old_supply_voltage(pair.swap), pair.supply_voltage());
    if differ(before.nominal().base(), after.nominal().base()) {
        out.push(format!(
            "The supply gives {} in place of {}",
            brief(after.nominal()),
            brief(before.nominal())
        ));
    }
    let share = |given: &Given, whole: Value<quantity::si::ElectricPotential>| {
        given.supply().nominal().base() / whole.nominal().base()
    };
    if differ(share(old, before), share(new, after)) {
        let words = if share(new, after) < share(old, before) {
            "It is in series with a second motor"
        } else {
            "It is no longer in series with a second motor"
        };
        out.push(words.to_owned());
    }
    if differ(
        old.resistance().nominal().base(),
        new.resistance().nominal().base(),
    ) {
        out.push(format!(
            "Winding and driver have {} in place of {}",
            brief(new.resistance().nominal()),
            brief(old.resistance().nominal())
        ));
    }
    out
}

fn remedy(after: [Torque; 2], before: [Torque; 2]) -> &'static str {
    if after[0] < before[0] || after[1] < before[1] {
        "start with the speeds and accelerations of the checks of this axis. The old ones were set on another driver"
    } else {
        "nothing has to be done: more torque leaves more reserve, and a little more noise"
    }
}

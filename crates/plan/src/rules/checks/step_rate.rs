//! Steps per second with every axis at its top speed at once, against what the processor makes.

use physics::{motion, named, work};
use quantity::si::Frequency;
use quantity::{Number, Value};

use crate::facts::{WholeFacts, axes, kinematics};
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "step-rate";

/// More than the processor makes is never refused: slower moves or fewer microsteps are a way out.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    // A second motor on a driver steps with the first.
    let rates = || {
        facts
            .pairs()
            .filter(|pair| !pair.way.second)
            .filter_map(move |pair| {
                let motor = axes::motor(&pair.device().detail)?;
                let (axis, driver) = (facts.swap.machine.axis(motor.axis), pair.driver()?);
                let steps = axes::steps_per_length(axis, motor, axes::microsteps(axis, driver));
                let speed = kinematics::stepping_speed(&facts.swap.machine, axis);
                let rate = Value::corners(|end| motion::step_rate(speed.at(end), steps.at(end)));
                Some((axis, steps, rate))
            })
    };
    let total: Value<Frequency> = rates().map(|(_, _, rate)| rate).sum();
    if total.nominal().base() <= 0.0 {
        return;
    }
    let makes = facts.board.processor.step_rate;
    let limit = makes.value * facts.limits().processor_step_rate_share.value;
    judge.at_most(total, limit, Verdict::Caution, || {
        let largest = rates().max_by(|one, other| one.2.high().base().total_cmp(&other.2.high().base()));
        let most = largest.map_or_else(String::new, |(axis, _, rate)| {
            format!("; most of it for {}: {}", axis.name, brief(rate.high()))
        });
        let headline = format!(
            "with all axes at top speed {} of steps are made; the processor makes {}, and {} of that may be used{most}",
            brief(total.high()),
            brief(makes.nominal()),
            brief(limit.low())
        );
        let mut finding = Finding::new(headline, "common-practice").at(makes.place);
        for (axis, steps, _) in rates() {
            let inputs = (
                named("v", format!("top speed of {}", axis.name), kinematics::stepping_speed(&facts.swap.machine, axis)),
                named("s", "its steps per length", steps),
            );
            finding = finding.working(work(&motion::STEP_RATE, "f", inputs, |(speed, steps)| motion::step_rate(speed, steps)).working);
        }
        finding.remedy("set fewer microsteps on the axis that takes most, or lower its top speed; drivers often smooth 16 microsteps by themselves")
    });
}

//! Whether a motor gives the acceleration that is asked of its axis, at the top speed.

use quantity::{Number, Value};

use crate::facts::axes::{self, motor_of};
use crate::facts::torque;
use crate::facts::{PairFacts, kinematics};
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "acceleration";

/// A torque that is used up beyond its reserve loses steps now and then: a caution.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some((_, id)) = motor_of(pair.device()) else {
        return;
    };
    let machine = &pair.swap.machine;
    let axis = machine.axis(id);
    let Some(given) = pair.motor() else {
        return;
    };
    let Some(asked) = torque::asked(machine, pair.limits(), id).filter(|asked| asked.accelerating.is_some())
    else {
        return;
    };
    let needed = asked.torque();
    let speed = axes::shaft_speed(axis, kinematics::max_speed(machine, axis));
    let least = given.least(speed.high());
    let limit = torque::usable(pair.limits(), Value::exact(least)).low();
    judge.at_most(needed, Value::exact(limit), Verdict::Caution, || {
        let holds = asked
            .acceleration_from(Value::exact(limit))
            .map(|holds| holds.low())
            .filter(|holds| holds.base() > 0.0);
        let headline = format!(
            "{0} needs {2} from {1} while accelerating. At maximum speed {3} of its {4} may be used, which {5}",
            axis.name,
            pair.device_name(),
            brief(needed.high()),
            brief(limit),
            brief(least),
            holds.map_or_else(
                || "leaves nothing to accelerate with".to_owned(),
                |holds| format!("is enough for {}", brief(holds))
            ),
        );
        let remedy = holds.map_or_else(
            || "lower the maximum speed, or run the motor at more current. It may stall at that speed".to_owned(),
            |holds| {
                format!(
                    "set at most {}, run the motor at more current, or lower the maximum speed",
                    brief(holds)
                )
            },
        );
        let mut finding = Finding::new(headline, "iso-80000-4")
            .at(axis.acceleration.as_ref().map_or(axis.place, |asked| asked.place))
            .remedy(remedy);
        for working in torque::workings(machine, pair.limits(), id) {
            finding = finding.working(working);
        }
        finding.working(given.working(speed))
    });
}

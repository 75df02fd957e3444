//! The sudden change of speed, as at a corner, that the motors of an axis can follow.

use model::machine::AxisId;
use quantity::Number;
use quantity::si::Velocity;

use crate::facts::WholeFacts;
use crate::facts::torque::{self, On};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "corner-speed";

/// Where the file asks for none, what can be followed is told all the same: it is a setting of every controller.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let machine = &facts.swap.machine;
    for (at, axis) in machine.axes.iter().enumerate() {
        let id = AxisId(at);
        let Some(corners) = torque::corners(facts, id, On::New) else {
            continue;
        };
        let speed = corners.speed;
        let stated = axis.corner_speed;
        if stated.is_none() && speed.low().base() <= 0.0 {
            judge.say(Verdict::Note, || {
                let headline = format!(
                    "{} can follow no instantaneous speed change. Its load may take all torque of its motors",
                    axis.name
                );
                Finding::new(headline, "iso-80000-3")
                    .about(Subject::named(axis.name.value.clone()))
                    .at(axis.place)
                    .working(corners.working())
                    .remedy("run its motors at more current or lighten the axis. Check its acceleration too")
            });
            continue;
        }
        let words = || {
            let headline = match stated {
                Some(stated) => format!(
                    "{} can follow an instantaneous speed change of {}. The file asks for {}",
                    axis.name,
                    brief(speed.low()),
                    brief(stated.nominal())
                ),
                None => format!(
                    "{} can follow an instantaneous speed change of {}, as at a corner",
                    axis.name,
                    brief(speed.low())
                ),
            };
            Finding::new(headline, "iso-80000-3")
                .about(Subject::named(axis.name.value.clone()))
                .at(stated.map_or(axis.place, |stated| stated.place))
                .working(corners.working())
                .remedy(format!(
                    "set the instantaneous speed change of {} to at most {}",
                    axis.name,
                    brief(Velocity::from_base(speed.low().base()))
                ))
        };
        match stated {
            Some(stated) => judge.at_least(speed, stated.value, Verdict::Caution, words),
            None => judge.say(Verdict::Pass, words),
        }
    }
}

//! The sudden change of speed, as at a corner, that the motors of an axis can follow.

use model::machine::AxisId;
use physics::{motion, named, work};
use quantity::si::Velocity;
use quantity::{Number, Value};

use crate::axes;
use crate::effort::{self, Given};
use crate::finding::{Finding, Subject, Verdict, brief};
use crate::judge::Judge;
use crate::setup::Setup;

pub(crate) const ID: &str = "corner-speed";

/// Where the file asks for none, what can be followed is told all the same: it is a setting of every controller.
pub(crate) fn check(setup: &Setup<'_>, judge: &mut Judge) {
    let machine = &setup.swap.machine;
    for (at, axis) in machine.axes.iter().enumerate() {
        let id = AxisId(at);
        let Some(asked) = effort::asked(machine, setup.limits(), id) else {
            continue;
        };
        let weakest = setup
            .pairs()
            .filter_map(|pair| {
                effort::motor_of(pair.device())
                    .filter(|(_, own)| *own == id)
                    .map(|(motor, _)| (pair, motor))
            })
            .filter_map(|(pair, motor)| Given::in_setup(setup, &pair).map(|given| (motor, given)))
            .min_by(|one, other| {
                one.1
                    .at_rest()
                    .low()
                    .base()
                    .total_cmp(&other.1.at_rest().low().base())
            });
        let Some((motor, given)) = weakest else { continue };
        let torque = effort::usable(setup.limits(), given.at_rest());
        let Some(acceleration) = asked.acceleration_from(torque) else {
            continue;
        };
        let share = axes::full_step(motor).base() / core::f64::consts::TAU;
        let step = asked.travel.scale(share);
        let speed = Value::between(
            motion::corner_speed(acceleration.low(), step.low()),
            motion::corner_speed(acceleration.nominal(), step.nominal()),
            motion::corner_speed(acceleration.high(), step.high()),
        );
        let stated = axis.corner_speed;
        let words = || {
            let headline = match stated {
                Some(stated) => format!(
                    "{} can follow a sudden change of speed of {}; {} are asked",
                    axis.name,
                    brief(speed.low()),
                    brief(stated.nominal())
                ),
                None => format!(
                    "{} can follow a sudden change of speed of {}, as at a corner",
                    axis.name,
                    brief(speed.low())
                ),
            };
            let inputs = (
                named(
                    "a",
                    "acceleration from slow speed, with the reserve kept",
                    acceleration,
                ),
                named("δ", "travel of one full step", step),
            );
            let worked = work(&motion::CORNER_SPEED, "v", inputs, |(acceleration, step)| {
                motion::corner_speed(acceleration, step)
            });
            Finding::new(headline, "iso-80000-3")
                .about(Subject::named(axis.name.value.clone()))
                .at(stated.map_or(axis.place, |stated| stated.place))
                .working(worked.working)
                .remedy(format!(
                    "set the change of speed at corners of {} to {} at the most",
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

//! How far an axis lags behind its motor under friction, against the microstep that it is told to make.

use model::machine::{AxisId, Drive};
use physics::{motion, named, try_work};
use quantity::si::Length;
use quantity::{Number, Value};

use crate::facts::WholeFacts;
use crate::facts::axes::{self, motor_of};
use crate::facts::torque;
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "axis-lag";

/// Friction turns round with the direction, so that the axis comes to stand on one side or the other: finer microsteps than that
/// make it quieter, not truer. A note.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let machine = &facts.swap.machine;
    for (at, axis) in machine.axes.iter().enumerate() {
        let id = AxisId(at);
        if matches!(axis.drive, Drive::Extruder { .. }) {
            continue;
        }
        let Some(asked) = torque::asked(machine, facts.limits(), id) else {
            continue;
        };
        let pair = facts
            .pairs()
            .find(|pair| motor_of(pair.device()).is_some_and(|(_, own)| own == id));
        let Some(pair) = pair else { continue };
        let (Some((motor, _)), Some(driver)) = (motor_of(pair.device()), pair.driver()) else {
            continue;
        };
        let Some(given) = pair.motor() else {
            continue;
        };
        // A screw holds its friction in its efficiency: what is lost of the force that it is given.
        let lost = match axis.drive {
            Drive::Screw { .. } => asked.weight,
            _ => asked.friction,
        };
        let load = asked.torque_of(lost);
        let (travel, teeth, holding) = (asked.travel, given.rotor_teeth(), given.at_rest());
        let lag = |travel: Length, load: quantity::si::Torque, holding: quantity::si::Torque| {
            // A load above the holding torque loses its step: the whole step is lagged at the least.
            let load = load.smaller(holding);
            motion::load_lag(travel, load, holding, teeth).unwrap_or(Length::from_base(f64::NAN))
        };
        let value = Value::corners(|end| lag(travel.at(end), load.at(end), holding.at(end.other())));
        if value.high().base() <= 0.0 {
            continue;
        }
        let microsteps = axes::microsteps(axis, driver);
        let step = axes::steps_per_length(axis, motor, microsteps).map(motion::travel_per_step);
        judge.at_most(value, step, Verdict::Note, || {
            let headline = format!(
                "{} lags up to {} behind its motor under {}. One of its {microsteps} microsteps is {}",
                axis.name,
                brief(value.high()),
                if matches!(axis.drive, Drive::Screw { .. }) { "its weight" } else { "friction" },
                brief(step.nominal())
            );
            let inputs = (
                named("h", "travel in one turn of the motor", travel),
                named("M", "torque of that load at the motor", load),
                named("Mₕ", "torque at the set current", holding),
                named("Nᵣ", "teeth of the rotor", Value::exact(teeth)),
            );
            let finding = Finding::new(headline, "stepping-motors-book")
                .about(Subject::named(axis.name.value.clone()))
                .at(axis.friction.as_ref().map_or(axis.place, |stated| stated.place))
                .remedy("lower the friction, or use a motor with 400 steps or more torque. Finer microsteps add no accuracy");
            match try_work(&motion::LOAD_LAG, "δ", inputs, |(travel, load, holding, teeth)| motion::load_lag(travel, load, holding, teeth)) {
                Ok(worked) => finding.working(worked.working),
                Err(_) => finding,
            }
        });
    }
}

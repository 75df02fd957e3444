//! Whether the supply still drives the run current through the windings at the top speed of the axis.

use model::Connection;
use model::machine::{Axis, Machine};
use quantity::si::AngularVelocity;
use quantity::{Number, Value};

use crate::facts::torque::{self, Given};
use crate::facts::{PairFacts, axes, kinematics};
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "torque-at-speed";

/// Where the supply is too low the current falls, and with it the torque: a caution that names what is left and the speed that holds.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(motor) = axes::motor(&pair.device().detail) else {
        return;
    };
    if pair.driver().is_none() {
        return;
    }
    let Some(given) = pair.motor() else {
        judge.say(Verdict::Note, || {
            let headline = format!(
                "the torque of {} at speed is open: its file lacks resistance, inductance or holding torque",
                pair.device_name()
            );
            Finding::new(headline, "electric-machines-textbook")
                .at(pair.device().place)
                .remedy("look the figures up by the motor's label, or measure the resistance of one coil with a meter")
        });
        return;
    };
    let machine = &pair.swap.machine;
    let axis = machine.axis(motor.axis);
    if kinematics::tower(machine, motor.axis)
        .is_some_and(|tower| kinematics::tower_share(machine, tower).is_none())
    {
        judge.say(Verdict::Note, || {
            let headline = format!(
                "how fast {} turns at the maximum speed of the nozzle is open without arm, radius and reach",
                pair.device_name()
            );
            Finding::new(headline, "electric-machines-textbook")
                .at(axis.max_speed.place)
                .remedy("add [geometry] with arm, radius and reach: near the rim a carriage is faster than the nozzle")
        });
        return;
    }
    let speed = axes::shaft_speed(axis, kinematics::max_speed(&pair.swap.machine, axis));
    let peak = given.current();
    let (needed, supply) = (given.voltage_for(peak, speed), given.supply());
    judge.at_most(needed, supply, Verdict::Caution, || {
        let fits = needed.high() <= supply.low();
        let left = || {
            let at_rest = given.least(AngularVelocity::from_base(0.0));
            let share = (given.least(speed.high()) / at_rest).base() * 100.0;
            format!(". {share:.0} % of its torque is left")
        };
        let headline = format!(
            "{2} needs {3} of {4} at the maximum speed of {0} ({1}){5}{6}",
            axis.name,
            brief(speed.nominal()),
            pair.device_name(),
            brief(needed.high()),
            brief(supply.low()),
            if given.joint() == Some(Connection::Series) {
                " (half of the supply, two in series)"
            } else {
                ""
            },
            if fits { String::new() } else { left() }
        );
        let [emf, voltage] = given.voltage_workings(peak, speed);
        let finding = Finding::new(headline, "electric-machines-textbook")
            .at(axis.max_speed.place)
            .working(emf)
            .working(voltage);
        if fits {
            finding
        } else {
            finding.remedy(holds(&pair.swap.machine, axis, given))
        }
    });
}

/// The speed at which half of the torque is still there.
fn holds(machine: &Machine, axis: &Axis, given: &Given) -> String {
    let half = given.least(AngularVelocity::from_base(0.0)) / 2.0;
    let speed = torque::axis_speed(machine, axis, given.speed_for(Value::exact(half)));
    format!(
        "lower the maximum speed of {}, or use a motor with less inductance. Half of the torque is left at {:.0} mm/s",
        axis.name,
        speed.low().base() * 1e3
    )
}

//! Steps per second with every axis at its top speed at once, against what the processor makes.

use model::machine::{Axis, AxisId};
use physics::motion::{Kinematics, Place};
use physics::{motion, named, work};
use quantity::si::{Frequency, StepDensity, Velocity};
use quantity::{Number, Value};

use crate::facts::{WholeFacts, axes, kinematics};
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "step-rate";

/// Steps of one driver while its axis or tower is fastest.
struct Rate<'a> {
    id: AxisId,
    axis: &'a Axis,
    steps: Value<StepDensity>,
    speed: Value<Velocity>,
    rate: Value<Frequency>,
}

fn rate(speed: Value<Velocity>, steps: Value<StepDensity>) -> Value<Frequency> {
    Value::corners(|end| motion::step_rate(speed.at(end), steps.at(end)))
}

/// A second motor on a driver steps with the first.
fn rates<'f>(facts: &'f WholeFacts<'_>) -> impl Iterator<Item = Rate<'f>> {
    let machine = &facts.swap.machine;
    facts
        .pairs()
        .filter(|pair| !pair.way.second)
        .filter_map(move |pair| {
            let (motor, id) = axes::motor_of(pair.device())?;
            let (axis, driver) = (machine.axis(id), pair.driver()?);
            let steps = axes::steps_per_length(axis, motor, axes::microsteps(axis, driver));
            let speed = kinematics::stepping_speed(machine, axis);
            Some(Rate {
                id,
                axis,
                steps,
                speed,
                rate: rate(speed, steps),
            })
        })
}

/// The towers of a delta together: none of them is fastest where another one is.
struct Towers {
    /// Of each tower where its carriage is as fast as the nozzle.
    own: [Value<Frequency>; 3],
    kinematics: Kinematics,
    place: Place,
}

impl Towers {
    /// `None` for other machines, and where arm, radius or reach is not stated.
    fn of(facts: &WholeFacts<'_>) -> Option<Self> {
        let machine = &facts.swap.machine;
        let mut own = [Value::exact(Frequency::from_base(0.0)); 3];
        for one in rates(facts) {
            if let Some(tower) = kinematics::tower(machine, one.id) {
                own[tower] = own[tower] + rate(one.axis.max_speed.value, one.steps);
            }
        }
        let (kinematics, place) = kinematics::towers_together(machine, own)?;
        Some(Self {
            own,
            kinematics,
            place,
        })
    }
    fn sum(&self, rates: &[Frequency; 3]) -> Frequency {
        self.kinematics
            .largest_sum(self.place, rates)
            .unwrap_or(Frequency::from_base(f64::NAN))
    }
    fn together(&self) -> Value<Frequency> {
        Value::corners(|end| self.sum(&self.own.map(|rate| rate.at(end))))
    }
}

/// More than the processor makes is never refused: slower moves or fewer microsteps are a way out.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let machine = &facts.swap.machine;
    let towers = Towers::of(facts);
    let alone = |one: &Rate<'_>| towers.is_none() || kinematics::tower(machine, one.id).is_none();
    let others: Value<Frequency> = rates(facts).filter(alone).map(|one| one.rate).sum();
    let total = towers
        .as_ref()
        .map_or(others, |towers| others + towers.together());
    if total.nominal().base() <= 0.0 {
        return;
    }
    let missing = kinematics::missing_geometry(machine);
    let unknown = towers.is_none() && !missing.is_empty();
    let makes = facts.board.processor.step_rate;
    let limit = makes.value * facts.limits().processor_step_rate_share.value;
    let words = || {
        let largest =
            rates(facts).max_by(|one, other| one.rate.high().base().total_cmp(&other.rate.high().base()));
        let most = largest.map_or_else(String::new, |one| {
            format!(
                ". Most of it is for {}: {}",
                one.axis.name,
                brief(one.rate.high())
            )
        });
        let headline = if unknown {
            format!(
                "the step rate of the towers is open without {}. The speed of the nozzle alone takes {} of steps",
                missing.join(", "),
                brief(total.high())
            )
        } else {
            format!(
                "all axes at maximum speed take {} of steps. The processor makes {}, of which {} may be used{most}",
                brief(total.high()),
                brief(makes.nominal()),
                brief(limit.low())
            )
        };
        let mut finding = Finding::new(headline, "common-practice").at(makes.place);
        for one in rates(facts) {
            let inputs = (
                named("v", format!("top speed of {}", one.axis.name), one.speed),
                named("s", "its steps per length", one.steps),
            );
            let worked = work(&motion::STEP_RATE, "f", inputs, |(speed, steps)| {
                motion::step_rate(speed, steps)
            });
            finding = finding.working(worked.working);
        }
        if let Some(towers) = &towers {
            let [first, second, third] = towers.own;
            let inputs = (
                named("f₁", "first tower, at the speed of the nozzle", first),
                named("f₂", "second tower, so too", second),
                named("f₃", "third tower, so too", third),
            );
            let worked = work(&motion::LARGEST_SUM, "f", inputs, |(first, second, third)| {
                towers.sum(&[first, second, third])
            });
            finding = finding.working(worked.working);
        }
        finding.remedy(if unknown {
            "add [geometry] with arm, radius and reach: near the rim a carriage is faster than the nozzle"
        } else {
            "set fewer microsteps on the axis that takes most, or lower its maximum speed. Drivers often smooth 16 microsteps by themselves"
        })
    };
    if unknown && total.high() <= limit.low() {
        judge.say(Verdict::Note, words);
    } else {
        judge.at_most(total, limit, Verdict::Caution, words);
    }
}

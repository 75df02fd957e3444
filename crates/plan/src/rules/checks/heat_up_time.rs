//! How long a heater takes from a cold machine to its working temperature.

use model::Zone;
use physics::heat::{self, State};
use physics::{named, work};
use quantity::si::{ThermodynamicTemperature, Time};
use quantity::{Number, Value, si};

use crate::facts::WholeFacts;
use crate::facts::heat_up::FOLLOWED_S;
use crate::facts::heating::{Corner, Heating, body_workings};
use crate::rules::checks::attainable_temperature::about;
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "heat-up-time";

/// Long is no fault: a note. Whether it gets there at all is the matter of `attainable-temperature`.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for heating in facts.heated() {
        let goal = heating.working().nominal();
        let asked = heating.working();
        // The slowest corner is asked for the most, the fastest for the least.
        let time = |corner| {
            let goal = match corner {
                Corner::Slowest => asked.high(),
                Corner::Nominal => goal,
                Corner::Fastest => asked.low(),
            };
            heating.heat_up_time(corner, goal)
        };
        let (Some(fast), Some(nominal)) = (time(Corner::Fastest), time(Corner::Nominal)) else {
            continue;
        };
        let limits = heating.pair.limits();
        let limit = match heating.heater.zone {
            Zone::HotEnd => limits.hotend_heat_up.value,
            Zone::Bed | Zone::Chamber => limits.bed_heat_up.value,
        };
        match time(Corner::Slowest) {
            Some(slow) => {
                let value = Value::between(fast, nominal, slow);
                judge.at_most(value, limit, Verdict::Note, || words(heating, goal, value));
            }
            None => {
                let value = Value::between(fast, nominal, si::second(FOLLOWED_S));
                judge.at_most(value, limit, Verdict::Note, || {
                    let headline = format!(
                        "{} takes {} to {} as it is named; at the slowest corner of its tolerances it never gets there",
                        heating.pair.device_name(),
                        brief(nominal),
                        Value::exact(goal)
                    );
                    finished(heating, goal, nominal, Finding::new(headline, "heat-transfer-textbook"))
                });
            }
        }
    }
}

fn words(heating: &Heating<'_>, goal: ThermodynamicTemperature, time: Value<Time>) -> Finding {
    let headline = format!(
        "{} takes {} from the room to {}, at the slowest corner {}{}",
        heating.pair.device_name(),
        brief(time.nominal()),
        Value::exact(goal),
        brief(time.high()),
        second_lags(heating, goal, time.nominal())
    );
    finished(
        heating,
        goal,
        time.nominal(),
        Finding::new(headline, "heat-transfer-textbook"),
    )
}

/// By how much the second body is behind when the first has arrived.
fn second_lags(heating: &Heating<'_>, goal: ThermodynamicTemperature, time: Time) -> String {
    let behind = || {
        heating.second?;
        let part = heating.corner(Corner::Nominal)?;
        // The power at the mean of the way stands for that of a track that warms up.
        let middle = ThermodynamicTemperature::from_base(f64::midpoint(part.air.base(), goal.base()));
        let power = part.heater.power(part.voltage, middle);
        let state = part
            .bodies
            .after(State::both(part.air), power, part.air, time)
            .ok()?;
        Some(si::kelvin(state.heated.base() - state.other.base()))
    };
    behind().map_or_else(String::new, |behind| {
        format!("; the second body is then {} behind", brief(behind))
    })
}

fn finished(heating: &Heating<'_>, goal: ThermodynamicTemperature, time: Time, finding: Finding) -> Finding {
    let mut finding = finding
        .about(about(heating, None))
        .at(heating.heater.power.place)
        .remedy(
            "wait, insulate, or let the bed go first; where the time was computed from guesses, measure it",
        );
    if heating.heater.heat_capacity.is_none() {
        for working in body_workings(heating.heater, false) {
            finding = finding.working(working);
        }
    }
    if heating.heater.second_capacity.is_none() {
        for working in body_workings(heating.heater, true) {
            finding = finding.working(working);
        }
    }
    match worked(heating, goal, time) {
        Some(working) => finding.working(working),
        None => finding,
    }
}

/// The way of one lumped body in closed form, with every value as it is named; for two bodies the equations that were stepped.
fn worked(heating: &Heating<'_>, goal: ThermodynamicTemperature, time: Time) -> Option<physics::Working> {
    let part = heating.corner(Corner::Nominal)?;
    let middle = ThermodynamicTemperature::from_base(f64::midpoint(part.air.base(), goal.base()));
    let power = named(
        "P",
        "power at the mean of the way",
        Value::exact(part.heater.power(part.voltage, middle)),
    );
    let air = named("ϑₐ", "room", Value::exact(part.air));
    if heating.second.is_some() {
        let inputs = (
            power,
            air,
            named(
                "C₁",
                "heat capacity of the heated body",
                Value::exact(part.bodies.heated.capacity),
            ),
            named("G₁", "its loss", Value::exact(part.bodies.heated.loss)),
            named(
                "K",
                "heat over to the second body",
                Value::exact(part.bodies.coupling),
            ),
            named(
                "C₂",
                "heat capacity of the second body",
                Value::exact(part.bodies.other.capacity),
            ),
            named("G₂", "its loss", Value::exact(part.bodies.other.loss)),
        );
        return Some(work(&heat::TWO_BODIES, "t", inputs, |_| time).working);
    }
    let inputs = (
        named("ϑ", "highest temperature that is asked of it", Value::exact(goal)),
        named("ϑ₀", "start: the room", Value::exact(part.air)),
        air,
        power,
        named(
            "G",
            "heat lost per kelvin above the room",
            Value::exact(part.bodies.heated.loss),
        ),
        named("C", "heat capacity", Value::exact(part.bodies.heated.capacity)),
    );
    let closed = work(
        &heat::TIME_TO,
        "t",
        inputs,
        |(goal, start, air, power, loss, capacity)| heat::time_to(goal, start, air, power, loss, capacity),
    );
    closed
        .value
        .nominal()
        .base()
        .is_finite()
        .then_some(closed.working)
}

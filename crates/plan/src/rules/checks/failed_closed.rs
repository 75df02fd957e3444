//! How hot a part gets if the switch of its heater fails closed, and how long until its weakest parts are past what they bear.

use model::Element;
use physics::heat::{self, HeatedPart, State, Which};
use physics::{Working, named, work};
use quantity::si::{ThermodynamicTemperature, Time};
use quantity::{Number, Value};

use crate::facts::WholeFacts;
use crate::facts::heating::{Corner, Heating, WeakPart, time_to};
use crate::rules::checks::heater_reach::about;
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "failed-closed";

/// No controller opens a switch that failed closed: what does not end below the weakest part by itself needs a cut-out of its own.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for heating in facts.heated() {
        // The whole voltage of the port: a lead only makes it less.
        let Some(end) = heating.end(heating.port_voltage) else {
            if heating.loss.is_none() {
                judge.say(Verdict::Note, || without_loss(heating));
            }
            continue;
        };
        let weak = heating.weak_parts();
        let reached = |part: &WeakPart| at_part(heating, part, end);
        // The part that has the least room, not the one that bears least: the second body stays colder.
        let room = |part: &WeakPart| part.bears.low().base() - reached(part).high().base();
        let Some(worst) = weak.iter().min_by(|one, other| room(one).total_cmp(&room(other))) else {
            judge.say(Verdict::Note, || unknown(heating, end));
            continue;
        };
        let value = reached(worst);
        let words = || {
            let finding =
                words(heating, worst, value, &weak).workings(heating.end_working(heating.port_voltage));
            times(heating, &weak).into_iter().fold(finding, Finding::working)
        };
        match heating.heater.cut_out {
            Some(cut_out) if value.high() > worst.bears.low() => {
                judge.at_most(cut_out.value, worst.bears, Verdict::Caution, || {
                    let mut finding = words();
                    finding.headline =
                        format!("{}; its cut-out opens at {}", finding.headline, cut_out.value);
                    finding
                        .at(cut_out.place)
                        .remedy("fit a cut-out that opens below what the weakest part bears")
                });
            }
            _ => judge.at_most(value, worst.bears, Verdict::Caution, words),
        }
    }
}

/// What a part gets to, from the end of the heated body: the second one ends colder by what it loses.
fn at_part(
    heating: &Heating<'_>,
    part: &WeakPart,
    end: Value<ThermodynamicTemperature>,
) -> Value<ThermodynamicTemperature> {
    let Some(second) = heating.second.filter(|_| part.second) else {
        return end;
    };
    let of = |air: ThermodynamicTemperature, hot: ThermodynamicTemperature, share: f64| {
        ThermodynamicTemperature::from_base(air.base() + (hot.base() - air.base()) * share)
    };
    let share =
        |k: quantity::si::ThermalConductance, g: quantity::si::ThermalConductance| (k / (k + g)).base();
    let (k, g) = (second.coupling, second.loss);
    Value::corners(|at| of(heating.room.at(at), end.at(at), share(k.at(at), g.at(at.other()))))
}

/// From where a fault may begin: the cold machine, and the working temperature.
fn after(heating: &Heating<'_>, part: &HeatedPart, weak: &WeakPart, hot: bool) -> Option<Time> {
    let which = if weak.second { Which::Other } else { Which::Heated };
    let start = if hot {
        let heated = heating.working().high();
        let second = Value::exact(heated);
        let other = heating.second.map_or(heated, |_| {
            at_part(
                heating,
                &WeakPart {
                    second: true,
                    ..weak.clone()
                },
                second,
            )
            .high()
        });
        State { heated, other }
    } else {
        State::both(part.air)
    };
    time_to(part, start, which, weak.bears.low())
}

fn words(
    heating: &Heating<'_>,
    worst: &WeakPart,
    value: Value<ThermodynamicTemperature>,
    weak: &[WeakPart],
) -> Finding {
    let mut said = Vec::new();
    if let Some(part) = heating.corner(Corner::Fastest) {
        for weak in weak.iter().take(4) {
            if let (Some(hot), Some(cold)) = (
                after(heating, &part, weak, true),
                after(heating, &part, weak, false),
            ) {
                let (at_work, cold_start) = match said.len() {
                    0 => (" from hot", " from cold"),
                    _ => ("", ""),
                };
                said.push(format!(
                    "{} ({}) after {}{at_work} and {}{cold_start}",
                    weak.name,
                    brief(weak.bears.low()),
                    brief(hot),
                    brief(cold)
                ));
            }
        }
    }
    let times = if said.is_empty() {
        String::new()
    } else {
        format!("; it passes what parts bear: {}", said.join(", "))
    };
    // The second body ends colder than the heated one: there the part must be named.
    let place = if worst.second {
        format!(" at {}", worst.name)
    } else {
        String::new()
    };
    let headline = format!(
        "if its switch fails closed, {} ends at up to {}{place}{times}",
        heating.pair.device_name(),
        brief(value.high()),
    );
    Finding::new(headline, "heat-transfer-textbook")
        .about(about(heating, "failed closed"))
        .at(heating.heater.temperature_limit.map_or(heating.heater.power.place, |weakest| weakest.place))
        .remedy(
            "no setting helps against a switch that failed closed: a thermal cut-out or fuse on the part, in the heater's lead, that opens \
             below what the weakest part bears (state it as `cut_out`), or a heater that is too weak to do harm; never leave it \
             unattended, with a smoke alarm above it; a mains heater is for a qualified person",
        )
}

/// For the two weakest parts the time from the working temperature to what they bear, at the fastest corner and by the model that the headline tells:
/// in closed form for one body, else the equations that were stepped. What never gets there has no line.
fn times(heating: &Heating<'_>, weak: &[WeakPart]) -> Vec<Working> {
    let Some(part) = heating.corner(Corner::Fastest) else {
        return Vec::new();
    };
    let start = heating.working().high();
    let power = part.heater.power(part.voltage, start);
    let worked = |weak: &WeakPart| {
        let time = after(heating, &part, weak, true)?;
        let goal = named(
            "ϑ",
            format!("what it bears: {}", weak.name),
            Value::exact(weak.bears.low()),
        );
        let start = named(
            "ϑ₀",
            "highest temperature that is asked of it",
            Value::exact(start),
        );
        let air = named("ϑₐ", "room, at its warmest", Value::exact(part.air));
        let track = heating.heater.element == Element::Copper;
        let power = |falls: &str| {
            let what = if track {
                format!("power at the start, at the highest voltage{falls}")
            } else {
                "power, at the highest voltage".to_owned()
            };
            named("P", what, Value::exact(power))
        };
        let (heated, other) = (&part.bodies.heated, &part.bodies.other);
        if heating.second.is_some() {
            let inputs = (
                power("; the track gives less in each step as it warms"),
                named(
                    "G₁",
                    "heat lost by the heated body, at the least",
                    Value::exact(heated.loss),
                ),
                air,
                named(
                    "K",
                    "heat over to the second body, at the least",
                    Value::exact(part.bodies.coupling),
                ),
                named(
                    "C₁",
                    "heat capacity of the heated body, at the least",
                    Value::exact(heated.capacity),
                ),
                named(
                    "C₂",
                    "heat capacity of the second body, at the least",
                    Value::exact(other.capacity),
                ),
                named(
                    "G₂",
                    "heat lost by the second body, at the least",
                    Value::exact(other.loss),
                ),
                start,
                goal,
            );
            return Some(work(&heat::PASSES, "t", inputs, |_| time).working);
        }
        let inputs = (
            goal,
            start,
            air,
            power(
                " and held: the track gives less as it warms, so that the stepped time of the headline is longer",
            ),
            named(
                "G",
                "heat lost per kelvin, at the least",
                Value::exact(heated.loss),
            ),
            named("C", "heat capacity, at the least", Value::exact(heated.capacity)),
        );
        let closed = work(
            &heat::TIME_TO,
            "t",
            inputs,
            |(goal, start, air, power, loss, capacity)| {
                heat::time_to(goal, start, air, power, loss, capacity)
            },
        );
        Some(closed.working)
    };
    weak.iter().filter_map(worked).take(2).collect()
}

/// Where the machine's file does not say what the part sheds, nothing of its heat can be worked out: that is said once, here.
fn without_loss(heating: &Heating<'_>) -> Finding {
    let headline = format!(
        "how hot {} gets if its switch fails closed is not known, nor how long it heats up and what a watch must notice: the machine's \
         file states no `thermal_conductance`",
        heating.pair.device_name()
    );
    Finding::new(headline, "heat-transfer-textbook")
        .about(about(heating, "failed closed"))
        .at(heating.heater.power.place)
        .remedy(
            "log a heat-up with the old board (`temperature log`): it gives heat loss and heat capacity; until then count on a thermal \
             cut-out on the part, and never leave it unattended",
        )
}

fn unknown(heating: &Heating<'_>, end: Value<ThermodynamicTemperature>) -> Finding {
    let headline = format!(
        "if its switch fails closed, {} gets up to {}; what its weakest part bears is not in the machine's file",
        heating.pair.device_name(),
        brief(end.high())
    );
    Finding::new(headline, "heat-transfer-textbook")
        .about(about(heating, "failed closed"))
        .at(heating.pair.device().place)
        .remedy("state `temperature_limit`, or each [[device.part]] with what it bears: liner, block, glue of the bed surface")
}

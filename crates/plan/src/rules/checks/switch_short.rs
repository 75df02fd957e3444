//! How hot a part gets if the switch of its heater fails closed, and how long until its weakest parts are past what they bear.

use model::Element;
use physics::heat::{self, HeatedPart, State, Which};
use physics::{Working, named, work};
use quantity::si::{ThermodynamicTemperature, Time};
use quantity::{Number, Value};

use crate::facts::WholeFacts;
use crate::facts::heating::{Corner, Heating, WeakPart, time_to};
use crate::rules::checks::attainable_temperature::about;
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "switch-short";

/// Of so many parts the headline says when they pass their limits.
const NAMED: usize = 4;

/// No controller opens a switch that failed closed: what does not end below the weakest part by itself needs a cut-out of its own.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for heating in facts.heated() {
        // The whole voltage of the port: a lead only makes it less.
        let Some(end) = heating.end_at_most() else {
            if heating.loss.is_none() {
                judge.say(Verdict::Caution, || without_loss(heating));
            }
            continue;
        };
        let weak = heating.weak_parts();
        // A cut-out that the work itself opens is bridged or blown on the first day: it settles nothing.
        let cut_out = heating
            .heater
            .cut_out
            .filter(|cut_out| cut_out.low() > heating.working().high());
        let opened = cut_out.map_or(end, |cut_out| {
            Value::corners(|at| end.at(at).smaller(cut_out.value.at(at)))
        });
        let reached = |part: &WeakPart| heating.at_part(part, opened);
        // The part that has the least room, not the one that bears least: the second body stays colder.
        let room = |part: &WeakPart| part.bears.low().base() - reached(part).high().base();
        let worst = weak.iter().min_by(|one, other| room(one).total_cmp(&room(other)));
        let Some(worst) = worst else {
            judge.say(Verdict::Caution, || unknown(heating, end, "weakest part"));
            continue;
        };
        // What the thermometer bears, or the other body, says nothing of what nobody stated.
        let open = heating.without_limit();
        if let Some(open) = open.filter(|_| reached(worst).high() <= worst.bears.low()) {
            judge.say(Verdict::Caution, || unknown(heating, end, open));
            continue;
        }
        let words = || {
            let finding = words(heating, worst, heating.at_part(worst, end), &weak)
                .workings(heating.end_at_most_working());
            times(heating, &weak).into_iter().fold(finding, Finding::working)
        };
        judge.at_most(reached(worst), worst.bears, Verdict::Caution, || {
            let mut finding = words();
            if let Some(open) = open {
                finding.headline = format!(
                    "{}. The limit of its {open}, which may be lower, is not in the machine's file",
                    finding.headline
                );
                finding = finding.asking();
            }
            let Some(stated) = heating.heater.cut_out else {
                return finding;
            };
            let (opens, remedy) = if cut_out.is_some() {
                (
                    format!("Its cut-out opens at {}", stated.value),
                    "fit a cut-out that opens below the limit of the weakest part",
                )
            } else {
                (
                    format!(
                        "Its cut-out opens at {}, below the setpoint of up to {}, and counts for nothing",
                        stated.value,
                        brief(heating.working().high())
                    ),
                    "fit a cut-out that opens above the setpoint and below the limit of the weakest part. Or correct `cut_out`",
                )
            };
            finding.headline = format!("{}. {opens}", finding.headline);
            finding.at(stated.place).remedy(remedy)
        });
    }
}

/// The second body beside a heated one that is held at a temperature, at the most.
fn beside(heating: &Heating<'_>, heated: ThermodynamicTemperature) -> ThermodynamicTemperature {
    heating.second.map_or(heated, |second| {
        let (k, g) = (second.coupling.high(), second.loss.low());
        let air = heating.room.high().base();
        ThermodynamicTemperature::from_base(air + (heated.base() - air) * (k / (k + g)).base())
    })
}

/// From where a fault may begin: the cold machine, and the working temperature.
fn after(heating: &Heating<'_>, part: &HeatedPart, weak: &WeakPart, hot: bool) -> Option<Time> {
    let which = if weak.second { Which::Other } else { Which::Heated };
    let start = if hot {
        let heated = heating.working().high();
        let other = beside(heating, heated);
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
    let part = heating.corner(Corner::Fastest);
    let times = part.into_iter().flat_map(|part| {
        let passed = weak.iter().take(NAMED).filter_map(move |weak| {
            let (hot, cold) = (
                after(heating, &part, weak, true)?,
                after(heating, &part, weak, false)?,
            );
            let (limit, hot, cold) = (brief(weak.bears.low()), brief(hot), brief(cold));
            Some(format!(
                ". It passes {limit} ({}) after {hot} from hot and {cold} from cold",
                weak.name
            ))
        });
        passed.collect::<Vec<_>>()
    });
    let times: String = times.collect();
    // The second body ends colder than the heated one: there the part must be named.
    let place = if worst.second {
        format!(" at {}", worst.name)
    } else {
        String::new()
    };
    let headline = format!(
        "{} reaches up to {}{place} if its output switch shorts (fails on){times}",
        heating.name(),
        brief(value.high()),
    );
    Finding::new(headline, "heat-transfer-textbook")
        .about(about(heating, None))
        .at(heating.heater.temperature_limit.map_or(heating.heater.power.place, |weakest| weakest.place))
        .remedy(
            format!(
                "fit a thermal cut-out on the part, in the heater's cable{}. State it as `cut_out`. Or fit a heater that is too weak to do harm. No setting helps here. Never leave it unattended, with a smoke alarm above it. A mains heater is for a qualified person",
                heating.cut_out_window().map_or_else(
                    || ". None fits here: the setpoint is too near to the limit of its weakest part".to_owned(),
                    |(from, to)| format!(", that opens between {} and {}", brief(from), brief(to)),
                )
            ),
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
            format!("temperature limit: {}", weak.name),
            Value::exact(weak.bears.low()),
        );
        let start = named("ϑ₀", "highest setpoint", Value::exact(start));
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
        "how hot {} gets with a shorted output switch is open: its `thermal_conductance` is not stated. So are its heat-up time and its temperature-monitoring limits",
        heating.name()
    );
    Finding::new(headline, "heat-transfer-textbook")
        .about(about(heating, None))
        .at(heating.heater.power.place)
        .asking()
        .remedy(
            "log a heat-up with the old board (`temperature log`). It gives thermal conductance and heat capacity. Until then rely on a thermal cut-out on the part, and never leave it unattended",
        )
}

fn unknown(heating: &Heating<'_>, end: Value<ThermodynamicTemperature>, open: &str) -> Finding {
    let headline = format!(
        "{} reaches up to {} if its output switch shorts (fails on). The limit of its {open} is not in the machine's file",
        heating.name(),
        brief(end.high())
    );
    Finding::new(headline, "heat-transfer-textbook")
        .about(about(heating, None))
        .at(heating.pair.device().place)
        .asking()
        .remedy("state `temperature_limit`, or each [[device.part]] with its limit: liner, block, glue of the bed surface")
}

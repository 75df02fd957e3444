//! Whether a protection can tell a slipped thermometer from a slow but healthy part, and what it is then set to.

use physics::heat::{self, FallWindow, Guarded, RiseWindow, Slip};
use physics::{Named, named, work};
use quantity::si::{HeatCapacity, Power, Ratio, ThermalConductance, ThermodynamicTemperature};
use quantity::{Number, Value};

use crate::facts::WholeFacts;
use crate::facts::control::Model;
use crate::facts::heating::Heating;
use crate::facts::protection::Protection;
use crate::facts::thermometry::kelvin;
use crate::rules::checks::attainable_temperature::about;
use crate::rules::judging::{Finding, Judge, Remedy, Verdict, brief};

pub(crate) const ID: &str = "protection-window";

/// Where no window exists the machine is no worse than on its old board: a caution, and a temperature up to which there is one.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for heating in facts.heated() {
        let Some(protection) = facts.protection(heating) else {
            // Where the loss is missing, or what any part bears, the check of a shorted switch asks for it.
            let asked = heating.loss.is_none() || heating.weak_parts().is_empty();
            let verdict = if asked { Verdict::Note } else { Verdict::Caution };
            judge.say(verdict, || unknown(heating));
            continue;
        };
        // A usual dead time stands in for that of this part: what people depend on does not hold by it.
        let assumed = heating.heater.dead_time.is_none();
        let verdict = |holds: bool| {
            if holds && !assumed {
                Verdict::Pass
            } else {
                Verdict::Caution
            }
        };
        let Some(model) = facts.control(heating) else {
            continue;
        };
        let heated = (heating, model);
        judge.say(verdict(protection.rise_holds()), || rise(heated, protection));
        judge.say(verdict(protection.fall_holds()), || fall(heated, protection));
    }
}

/// A heated part, with its model.
type Heated<'f, 'a> = (&'f Heating<'a>, &'f Model);

fn rise((heating, model): Heated<'_, '_>, protection: &Protection) -> Finding {
    let name = heating.name();
    let Some(window) = protection.rise else {
        let headline = format!(
            "no heat-up monitoring fits {name}. Just below {} the slowest normal heat-up shows no rise above the noise within {}",
            Value::exact(heating.working().high()),
            brief(protection.guarded.longest)
        );
        return finished(
            (heating, model),
            protection,
            "heat-up",
            Finding::new(headline, "common-practice"),
        );
    };
    let headline = format!(
        "heat-up monitoring of {name}: at least {} rise in {}. The slowest normal heat-up rises {} times that. {}",
        kelvin(window.rise),
        brief(window.time),
        tenths(window.healthy_margin()),
        slipped(protection, &window)
    );
    let mut finding = Finding::new(headline, "heat-transfer-textbook");
    finding.margin = Some(room(window.slipped_margin(), protection.margin));
    let finding = healthy(protection, &window, finding);
    finished((heating, model), protection, "heat-up", finding)
}

fn fall((heating, model): Heated<'_, '_>, protection: &Protection) -> Finding {
    let window = protection.fall;
    let headline = format!(
        "{2} switches off {0} below its setpoint for {1}. A sensor that is detached while hot is detected {3}",
        kelvin(window.fall),
        brief(window.time),
        heating.name(),
        noticed(window.caught_after, window.harm_after)
    );
    let mut finding = Finding::new(headline, "heat-transfer-textbook");
    finding.margin = Some(room(window.slipped_margin(), protection.margin));
    finished(
        (heating, model),
        protection,
        "holding",
        falls(protection, &window, finding),
    )
}

/// The moment of the heat-up that leaves the least room, and what it leaves.
fn slipped(protection: &Protection, window: &RiseWindow) -> String {
    let when = if protection.under_way(window) {
        format!("just as it reads {}", Value::exact(window.worst.reading))
    } else {
        "where it was detached before".to_owned()
    };
    let noticed = noticed(window.caught_after, window.harm_after);
    format!("A detached sensor is detected {noticed}. The worst moment is {when}")
}

fn noticed(caught: quantity::si::Time, harm: quantity::si::Time) -> String {
    let harm_words = if harm.base().is_finite() {
        format!("Limits are exceeded after {} at the earliest", brief(harm))
    } else {
        "Nothing that it heats is harmed".to_owned()
    };
    if caught.base().is_finite() {
        format!("within {}. {harm_words}", brief(caught))
    } else {
        format!("never. {harm_words}")
    }
}

/// What is left beyond the room that a window shall keep before harm, as a share of it; at most a hundred times, since a picture has an end.
fn room(slipped: Ratio, margin: Ratio) -> f64 {
    (slipped / margin).base().min(100.0) - 1.0
}

fn tenths(ratio: Ratio) -> String {
    format!("{:.1}", ratio.base())
}

fn finished(
    (heating, model): Heated<'_, '_>,
    protection: &Protection,
    what: &str,
    finding: Finding,
) -> Finding {
    let holds = protection.rise_holds() && protection.fall_holds();
    if holds && heating.heater.dead_time.is_none() {
        let usual = Value::exact(heating.dead_time().high());
        let finding = Finding {
            headline: format!(
                "{}. That is open: `dead_time` of {} is not stated, {usual} is usual",
                finding.headline,
                heating.name()
            ),
            margin: None,
            ..finding
        };
        return finding.about(about(heating, Some(what))).at(heating.heater.power.place).asking().remedy(
            "state `dead_time`: seconds from full power until the reading begins to rise. A `temperature log` of a heat-up gives it",
        );
    }
    let up_to = (!holds).then(|| protection.holds_up_to(heating, model));
    let remedy = Remedy::later(move || {
        match up_to.and_then(|up_to| up_to.temperature()) {
        Some(held) => format!(
            "set no more than {}: up to there both kinds of monitoring keep their margins. Or measure heat capacity, loss and power where they were guessed. Fit a thermal cut-out in the heater's cable. Hold the sensor by a screw or clamp, not by paste",
            Value::exact(held)
        ),
        None => "fit a thermal cut-out in the heater's cable, or a weaker heater. No monitoring limits suit any useful temperature. Hold the sensor by a screw or clamp. Measure heat capacity, loss and power where they were guessed"
            .to_owned(),
    }
    });
    let place = heating
        .heater
        .temperature_limit
        .map_or(heating.heater.power.place, |weakest| weakest.place);
    finding.about(about(heating, Some(what))).at(place).remedy(remedy)
}

/// The slowest healthy rise, at its corner, and the worst slip.
fn healthy(protection: &Protection, window: &RiseWindow, finding: Finding) -> Finding {
    let approach = protection.slowest(window);
    let rise = approach.map(|approach| approach.working(window.time, window.healthy));
    late(protection, window, finding.workings(rise))
}

/// The part at the corner of a slip: room, power, loss and capacity.
fn part(
    guarded: &Guarded,
    slip: &Slip,
) -> (
    Named<ThermodynamicTemperature>,
    Named<Power>,
    Named<ThermalConductance>,
    Named<HeatCapacity>,
) {
    (
        named("ϑₐ", "room, at its warmest", Value::exact(guarded.air.high())),
        named("P", "power of the heater", Value::exact(slip.power)),
        named("G", "heat lost per kelvin", Value::exact(slip.loss)),
        named("C", "heat capacity", Value::exact(slip.capacity)),
    )
}

/// When a slip is noticed, and when harm begins, at the moment of the heat-up and the corner of the tolerances that leave the least room.
fn late(protection: &Protection, window: &RiseWindow, finding: Finding) -> Finding {
    let (guarded, slip) = (&protection.guarded, &window.worst);
    if protection.under_way(window) && slip.reading >= guarded.seen_when_slipped() {
        let (end, constant) = guarded.course(slip);
        let inputs = (
            named("Δϑ", "rise of the watch", Value::exact(window.rise)),
            named("w", "time of the watch", Value::exact(window.time)),
            named(
                "ϑ",
                "what the thermometer reads as it slips",
                Value::exact(slip.reading),
            ),
            named(
                "ϑₑ",
                "where the part would end with the cold heater",
                Value::exact(end),
            ),
            named("τ", "time constant of the part", Value::exact(constant)),
            named(
                "ϑₛ",
                "what it falls to: the room and what it still sees of the part",
                Value::exact(guarded.seen_when_slipped()),
            ),
            named(
                "τₛ",
                "time constant of the thermometer in air, at the most",
                Value::exact(guarded.in_air),
            ),
        );
        let noticed = work(
            &heat::SLIP_NOTICED,
            "t",
            inputs,
            |(rise, time, at, end, constant, seen, in_air)| {
                heat::slip_noticed((rise, time), at, (end, constant), (seen, in_air))
            },
        );
        let finding = ahead(protection, slip, finding.working(noticed.working));
        return harm_from(protection, slip, finding);
    }
    let (air, power, loss, capacity) = part(guarded, slip);
    let inputs = (
        named(
            "s",
            "share that a slipped thermometer still shows",
            Value::exact(guarded.slipped_share),
        ),
        named("Δϑ", "rise of the watch", Value::exact(window.rise)),
        named("w", "time of the watch", Value::exact(window.time)),
        named(
            "ϑ",
            "what the thermometer reads as it slips",
            Value::exact(slip.reading),
        ),
        air,
        power,
        loss,
        capacity,
    );
    let missed = work(
        &heat::MISSED_UNTIL,
        "t",
        inputs,
        |(share, rise, time, from, air, power, loss, capacity)| {
            heat::missed_until(share, (rise, time), from, air, power, loss, capacity)
        },
    );
    let finding = finding.working(missed.working);
    let finding = if protection.under_way(window) {
        ahead(protection, slip, finding)
    } else {
        finding
    };
    harm_from(protection, slip, finding)
}

/// How hot the part is in truth as its thermometer slips.
fn ahead(protection: &Protection, slip: &Slip, finding: Finding) -> Finding {
    let guarded = &protection.guarded;
    let (air, power, loss, capacity) = part(guarded, slip);
    let inputs = (
        named(
            "ϑ₀",
            "what the thermometer reads as it slips",
            Value::exact(slip.reading),
        ),
        air,
        power,
        loss,
        capacity,
        named(
            "t",
            "dead time, by which the part is ahead of its reading",
            Value::exact(guarded.dead_time),
        ),
    );
    let hotter = work(
        &heat::TEMPERATURE_AFTER,
        "ϑ",
        inputs,
        |(start, air, power, loss, capacity, time)| {
            heat::temperature_after(start, air, power, loss, capacity, time)
        },
    );
    finding.working(hotter.working)
}

fn falls(protection: &Protection, window: &FallWindow, finding: Finding) -> Finding {
    let guarded = &protection.guarded;
    let below = Number::from_base(guarded.held.base() - window.fall.base());
    let inputs = (
        named(
            "τ",
            "time constant of the thermometer in air, at the most",
            Value::exact(guarded.in_air),
        ),
        named("ϑ₁", "highest setpoint", Value::exact(guarded.held)),
        named("ϑ₂", "the fall below it", Value::exact(below)),
        named(
            "ϑₐ",
            "where it hangs: the room and what it still sees of the part",
            Value::exact(guarded.seen_when_slipped()),
        ),
    );
    let fall = work(&heat::FALL_TIME, "t", inputs, |(constant, from, to, air)| {
        heat::fall_time(constant, from, to, air)
    });
    let finding = if fall.value.nominal().base().is_finite() {
        finding.working(fall.working)
    } else {
        finding
    };
    let fastest = Slip {
        reading: guarded.held,
        part: guarded.held,
        power: guarded.power.high(),
        loss: guarded.loss.low(),
        capacity: guarded.capacity.low(),
    };
    harm_from(protection, &fastest, finding)
}

/// When the weakest part is past what it bears, from a slip on.
fn harm_from(protection: &Protection, slip: &Slip, finding: Finding) -> Finding {
    let guarded = &protection.guarded;
    let (air, power, loss, capacity) = part(guarded, slip);
    let inputs = (
        named(
            "ϑ",
            "what the weakest part bears, at the least",
            Value::exact(guarded.limit),
        ),
        named(
            "ϑ₀",
            "how hot the part is as the thermometer slips",
            Value::exact(slip.part),
        ),
        air,
        power,
        loss,
        capacity,
    );
    let time = work(
        &heat::TIME_TO,
        "t",
        inputs,
        |(goal, start, air, power, loss, capacity)| heat::time_to(goal, start, air, power, loss, capacity),
    );
    if time.value.nominal().base().is_finite() {
        finding.working(time.working)
    } else {
        finding
    }
}

fn unknown(heating: &Heating<'_>) -> Finding {
    let headline = format!(
        "the temperature-monitoring limits of {} are open. Heat capacity, thermal conductance or the limit of its weakest part is not stated",
        heating.name()
    );
    Finding::new(headline, "own-statement")
        .about(about(heating, Some("windows")))
        .at(heating.pair.device().place)
        .asking()
        .remedy("state `heat_capacity` or bodies, `thermal_conductance` and `temperature_limit`. Until then the settings propose usual values")
}

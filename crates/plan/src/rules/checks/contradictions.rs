//! Two facts of one thing that cannot both be right.

use model::RailSource;
use model::machine::{Detail, DeviceId};
use model::{Place, Swap};
use quantity::si::Power;
use quantity::{Quantity, Value};

use crate::facts::heating::capacity_of;
use crate::facts::rails::rail_voltage;
use crate::facts::{WholeFacts, name_of};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "contradictions";

/// What no other check holds together: each pair that disagrees is a caution that names both; nothing else is said.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let (before, swap) = (judge.cautions(), facts.swap);
    for (id, _) in swap.machine.device_ids() {
        device(facts, id, judge);
    }
    axes(swap, judge);
    surroundings(swap, judge);
    rails(facts, judge);
    if judge.cautions() == before {
        judge.say(Verdict::Pass, || {
            Finding::new(
                "what the files say twice of motors, fans, lights, sensors, heated parts, axes and rails agrees",
                "own-statement",
            )
        });
    }
}

/// One pair that disagrees.
fn say(judge: &mut Judge, subject: Subject, place: Place, headline: impl FnOnce() -> String) {
    judge.say(Verdict::Caution, || {
        Finding::new(headline(), "own-statement")
            .about(subject)
            .at(place)
            .remedy(
                "look at the thing itself and correct the file: what is reckoned from the wrong one is wrong",
            )
    });
}

fn device(facts: &WholeFacts<'_>, id: DeviceId, judge: &mut Judge) {
    let (limits, device) = (facts.limits(), facts.swap.machine.device(id));
    let name = || name_of(device);
    let about = |what: &str| Subject {
        device: Some(device.tag.value.clone()),
        port: None,
        other: Some(what.to_owned()),
    };
    match &device.detail {
        Detail::Motor(motor) => {
            let Some(winding) = motor.resistance else { return };
            let rated = motor.current.value;
            let heat: Value<Power> = (rated * rated * winding.value).scale(2.0);
            let (least, most) = (
                limits.motor_rated_heat_low.value,
                limits.motor_rated_heat_high.value,
            );
            if heat.low() > most.high() || heat.high() < least.low() {
                say(judge, about("winding"), winding.place, || {
                    format!(
                        "{} at its rated current would turn {} into heat; motors of this trade take {} to {}: current or resistance is not of it",
                        name(),
                        brief(heat.nominal()),
                        least,
                        most
                    )
                });
            }
        }
        Detail::Fan(fan) => {
            let power: Value<Power> = fan.voltage.value * fan.current.value;
            let most = limits.fan_power_high.value;
            if power.low() > most.high() {
                say(judge, about("power"), fan.current.place, || {
                    format!(
                        "{} would take {}; fans of this trade take at most {most}: voltage or current is not of it",
                        name(),
                        brief(power.nominal())
                    )
                });
            }
        }
        Detail::LightStrip(strip) => {
            let (Some(count), Some(length)) = (strip.led_count, strip.length) else {
                return;
            };
            let pitch = length.value.scale(1.0 / f64::from(count.value));
            let (least, most) = (limits.light_pitch_low.value, limits.light_pitch_high.value);
            if pitch.high() < least.low() || pitch.low() > most.high() {
                say(judge, about("lights"), count.place, || {
                    format!(
                        "{} has a light every {}; strips have one every {least} to {most}: count or length is not of it",
                        name(),
                        brief(pitch.nominal())
                    )
                });
            }
        }
        Detail::BedProbe(sensor) | Detail::FilamentSwitch(sensor) | Detail::LimitSwitch { sensor, .. } => {
            if let (Some(level), Some(supply)) = (sensor.level, sensor.voltage)
                && level.low() > supply.high()
            {
                above(
                    judge,
                    about("level"),
                    level.place,
                    &name(),
                    ("level", &level.value),
                    ("supply", &supply.value),
                );
            }
            if let (Some(stall), Some(current)) = (sensor.stall_current, sensor.current)
                && stall.high() < current.low()
            {
                above(
                    judge,
                    about("stall"),
                    stall.place,
                    &name(),
                    ("largest current", &current.value),
                    ("current while it is held fast", &stall.value),
                );
            }
        }
        Detail::Heater(heater) => {
            let second = heater.second_capacity;
            for (stated, at_second) in [(heater.heat_capacity, false), (second, true)] {
                let (Some(stated), Some(made)) = (stated, capacity_of(&heater.bodies, at_second)) else {
                    continue;
                };
                if stated.low() > made.high() || stated.high() < made.low() {
                    let what = if at_second { "second body" } else { "body" };
                    say(judge, about(what), stated.place, || {
                        format!(
                            "the {what} of {} is said to hold {}, and its parts as they are described {}",
                            name(),
                            stated.value,
                            made
                        )
                    });
                }
            }
        }
        Detail::Thermometer(_) | Detail::Panel(_) | Detail::Supply(_) => {}
    }
}

/// One quantity of a thing that is above another one of it, and cannot be.
fn above<Q: Quantity>(
    judge: &mut Judge,
    about: Subject,
    place: Place,
    name: &str,
    (more, value): (&str, &Value<Q>),
    (less, bound): (&str, &Value<Q>),
) {
    say(judge, about, place, || {
        format!("the {more} of {name} is {value}, above its {less} of {bound}")
    });
}

fn axes(swap: &Swap, judge: &mut Judge) {
    for axis in &swap.machine.axes {
        let slower = [
            ("homing speed", axis.homing_speed),
            ("corner speed", axis.corner_speed),
        ];
        for (what, speed) in slower {
            let Some(speed) = speed.filter(|speed| speed.low() > axis.max_speed.high()) else {
                continue;
            };
            let about = Subject::named(format!("{} {what}", axis.name));
            above(
                judge,
                about,
                speed.place,
                axis.name.value.as_str(),
                (what, &speed.value),
                ("maximum speed", &axis.max_speed.value),
            );
        }
    }
}

fn surroundings(swap: &Swap, judge: &mut Judge) {
    let room = swap.ambient.temperature.value;
    let Some(air) = swap.machine.case.air.filter(|air| air.high() < room.low()) else {
        return;
    };
    say(judge, Subject::named("air"), air.place, || {
        format!(
            "the air around the board is said to be at {}, colder than the room at {room}",
            air.value
        )
    });
}

/// A linear regulator makes no more than it is fed with.
fn rails(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for rail in &facts.board.rails {
        let Some(made) = &rail.made else { continue };
        let feeder = rail_voltage(facts.swap, facts.board, made.fed_by);
        if made.source.value == RailSource::Linear && made.voltage.low() > feeder.high() {
            let about = Subject::named(format!("rail {}", rail.name));
            let place = made.voltage.place;
            let name = format!("the rail {}", rail.name);
            above(
                judge,
                about,
                place,
                &name,
                ("voltage", &made.voltage.value),
                ("feeder", &feeder),
            );
        }
    }
}

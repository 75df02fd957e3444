//! Two facts of one thing that cannot both be right.

use catalogue::Limits;
use model::board::{Board, MadeRail, Port, PortKind, Rail, RailId};
use model::machine::{Detail, Device, DeviceId, Motor};
use model::{Cooled, Name, Place, RailSource, Swap};
use quantity::si::{ElectricPotential, ElectricalResistance, Power, Time, Torque};
use quantity::{Number, Quantity, Value, si};

use crate::facts::heating::capacity_of;
use crate::facts::loads;
use crate::facts::needs::more_than_before;
use crate::facts::rails::{old_voltages, rail_voltage};
use crate::facts::{PairFacts, WholeFacts, name_of, old_port};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

mod motion;
mod names;
mod plugs;
mod saying;

use saying::say;

pub(crate) const ID: &str = "contradictions";

/// What no other check holds together: each pair that disagrees is a caution that names both; nothing else is said.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let (before, swap) = (judge.cautions(), facts.swap);
    for (id, _) in swap.machine.device_ids() {
        device(facts, id, judge);
        let device = swap.machine.device(id);
        names::check(swap, device, judge);
        plugs::colours(device, judge);
        plugs::serial(swap, device, judge);
        at_old_port(swap, device, judge);
        fed_before(facts, device, judge);
        always_fed_before(swap, device, judge);
    }
    for board in [&swap.old, facts.board] {
        places(board, judge);
        pins(board, judge);
        named_rails(swap, board, facts.limits(), judge);
        references(board, facts.limits(), judge);
    }
    axes(swap, judge);
    motion::check(swap, judge);
    plugs::lengths(swap, judge);
    surroundings(swap, judge);
    rails(facts, judge);
    if judge.cautions() == before {
        judge.say(Verdict::Pass, || {
            Finding::new(
                "what the files say twice of motors, fans, lights, sensors, panels, heated parts, cables, axes, rails and ports agrees",
                "own-statement",
            )
        });
    }
}

fn device(facts: &WholeFacts<'_>, id: DeviceId, judge: &mut Judge) {
    let (limits, device) = (facts.limits(), facts.swap.machine.device(id));
    let name = || name_of(device);
    let about = |what: &str| Subject::aspect(device, what);
    match device.detail.share() {
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
                        "{} would turn {} into heat at its rated current. Such motors take {} to {}: current or resistance is wrong",
                        name(),
                        brief(heat.nominal()),
                        least,
                        most
                    )
                });
            } else {
                windings(facts, device, motor, winding.value, judge);
            }
        }
        Detail::Fan(fan) => {
            let power: Value<Power> = fan.voltage.value * fan.current.value;
            let (least, most) = (limits.fan_power_low.value, limits.fan_power_high.value);
            if power.low() > most.high() || power.high() < least.low() {
                say(judge, about("power"), fan.current.place, || {
                    format!(
                        "{} would take {}. Such fans take {least} to {most}: voltage or current is wrong",
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
                        "{} has an LED every {}. Strips have one every {least} to {most}: count or length is wrong",
                        name(),
                        brief(pitch.nominal())
                    )
                });
            }
        }
        Detail::BedProbe(sensor)
        | Detail::FilamentSwitch(sensor)
        | Detail::LimitSwitch { sensor, .. }
        | Detail::Tachometer(sensor) => {
            // What a further plug sends is fed by the cable of its device.
            let owner = facts.swap.machine.device(facts.swap.machine.owner(id));
            let supply = sensor.voltage.or_else(|| owner.detail.sensor()?.voltage);
            if let (Some(level), Some(supply)) = (sensor.level, supply)
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
                            "the {what} of {} is stated to hold {}. Its parts as described hold {}",
                            name(),
                            stated.value,
                            made
                        )
                    });
                }
            }
        }
        Detail::Panel(panel) => {
            if let Some(level) = panel.level.filter(|level| level.low() > panel.voltage.high()) {
                let (level, supply) = (("level", &level.value), ("supply", &panel.voltage.value));
                above(judge, about("level"), panel.voltage.place, &name(), level, supply);
            }
        }
        Detail::Thermometer(_) | Detail::Supply(_) | Detail::Plug(_) => {}
    }
}

/// Inductance and torque of a motor beside its resistance and its current: each is of the same motor.
fn windings(
    facts: &WholeFacts<'_>,
    device: &Device,
    motor: &Motor,
    winding: Value<ElectricalResistance>,
    judge: &mut Judge,
) {
    let limits = facts.limits();
    let about = |what: &str| Subject::aspect(device, what);
    if let Some(inductance) = motor.inductance {
        let time =
            Value::corners(|end| Time::from_base(inductance.at(end).base() / winding.at(end.other()).base()));
        let (least, most) = (
            limits.motor_winding_time_low.value,
            limits.motor_winding_time_high.value,
        );
        if time.low() > most.high() || time.high() < least.low() {
            say(judge, about("inductance"), inductance.place, || {
                format!(
                    "the current of {} would rise with a time constant of {} (inductance over resistance); windings of this trade take {least} to \
                     {most}: one of the two is not of it",
                    name_of(device),
                    brief(time.nominal())
                )
            });
        }
    }
    if let Some(torque) = motor.holding_torque {
        // Torque goes with the current, heat with its square.
        let at_one_watt = Value::corners(|end| {
            let (rated, winding) = (motor.current.at(end.other()), winding.at(end.other()));
            let heat = 2.0 * rated.base() * rated.base() * winding.base();
            Torque::from_base(torque.at(end).base() / heat.sqrt())
        });
        let least = limits.motor_torque_at_one_watt_low.value;
        let most = limits.motor_torque_at_one_watt_high.value;
        if at_one_watt.low() > most.high() || at_one_watt.high() < least.low() {
            say(judge, about("torque"), torque.place, || {
                format!(
                    "{} would hold {} for a watt of heat; motors of this trade hold {least} to {most}: torque, current or resistance is not of it",
                    name_of(device),
                    brief(at_one_watt.nominal())
                )
            });
        }
    }
}

/// What a device takes is no more than its old port gave, else one of the two is not what was there.
fn at_old_port(swap: &Swap, device: &Device, judge: &mut Judge) {
    let Some((port, given, taken)) = more_than_before(swap, device) else {
        return;
    };
    let about = Subject::aspect(device, "old port");
    let place = device
        .cable
        .old_port
        .as_ref()
        .map_or(device.tag.place, |name| name.place);
    let name = name_of(device);
    let old = format!("old port {}", port.name);
    above(judge, about, place, &name, ("current", &taken), (&old, &given));
}

/// A device ran at what its old port gave: one that is made for another voltage was noted wrongly, or was never well fed.
fn fed_before(facts: &WholeFacts<'_>, device: &Device, judge: &mut Judge) {
    let swap = facts.swap;
    let Some(port) = old_port(swap, device).filter(|_| !matches!(device.detail, Detail::Supply(_))) else {
        return;
    };
    let made_for = loads::voltage_band(&device.detail, facts.limits());
    let Some((rated, made_for)) = loads::rated(&device.detail).zip(made_for) else {
        return;
    };
    let gave = old_voltages(swap, port);
    let fits = |gave: &Value<_>| made_for.low() <= gave.high() && gave.low() <= made_for.high();
    let Some(first) = gave.first().filter(|_| !gave.iter().any(fits)) else {
        return;
    };
    let about = Subject::aspect(device, "old voltage");
    judge.say(Verdict::Caution, || {
        let headline = format!(
            "{} is made for {}, and its old port {} gave {}",
            name_of(device),
            brief(rated.nominal()),
            port.name,
            brief(first.nominal())
        );
        Finding::new(headline, "own-statement")
            .about(about)
            .at(rated.place)
            .remedy("read its label, and measure its old port. Where the supply was another, state `old_voltage` of the supply")
    });
}

/// Two ports of a board are not in one place.
fn places(board: &Board, judge: &mut Judge) {
    for (at, port) in board.ports.iter().enumerate() {
        let same = board.ports[..at]
            .iter()
            .find(|other| other.at.value == port.at.value);
        let Some(other) = same else { continue };
        let about = Subject::named(format!("{} {}", board.name, port.name));
        say(judge, about, port.at.place, || {
            format!(
                "{} and {} of {} are stated to be in the same place",
                other.name, port.name, board.name
            )
        });
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
            "the air around the board is stated as {}, colder than ambient at {room}",
            air.value
        )
    });
}

/// A linear regulator makes no more than it is fed with.
fn rails(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for (at, rail) in facts.board.rails.iter().enumerate() {
        if let Some((made, feeder)) = above_feeder(facts.swap, facts.board, rail) {
            // What hangs on such a rail is judged on a voltage that cannot be there.
            let used = facts.pairs().any(|pair| hangs_on(facts.board, pair, RailId(at)));
            let verdict = if used { Verdict::Blocker } else { Verdict::Caution };
            judge.say(verdict, || {
                let headline = format!(
                    "the rail {} is stated as {}, and a linear regulator makes it from {feeder}. It cannot give more than it gets",
                    rail.name, made.voltage.value
                );
                Finding::new(headline, "own-statement")
                    .about(Subject::named(format!("rail {}", rail.name)))
                    .at(made.voltage.place)
                    .remedy("measure the rail, and state what makes it. Connect nothing to it before that")
            });
        }
    }
}

/// What makes a linear rail, and the voltage that feeds it, where that is less than what it is stated to give.
fn above_feeder<'a>(
    swap: &Swap,
    board: &Board,
    rail: &'a Rail,
) -> Option<(&'a MadeRail, Value<ElectricPotential>)> {
    let made = rail.made.as_ref()?;
    let feeder = rail_voltage(swap, board, made.fed_by);
    let above = made.source.value == RailSource::Linear && made.voltage.low() > feeder.high();
    above.then_some((made, feeder))
}

/// Whether a device draws from a rail, or from one that it feeds.
fn hangs_on(board: &Board, pair: &PairFacts<'_>, rail: RailId) -> bool {
    let mut at = pair.way.rail;
    while let Some(own) = at {
        if own == rail {
            return true;
        }
        at = board.rail(own).made.as_ref().map(|made| made.fed_by);
    }
    false
}

/// A rail whose name is another voltage than the one that is stated of it.
fn named_rails(swap: &Swap, board: &Board, limits: &Limits, judge: &mut Judge) {
    // One that is above its feeder is named already.
    for rail in board
        .rails
        .iter()
        .filter(|rail| above_feeder(swap, board, rail).is_none())
    {
        let Some((made, named)) = rail.made.as_ref().zip(voltage_of(&rail.name.value)) else {
            continue;
        };
        let off = limits.rail_name_tolerance.value.high().base();
        let named = Value::relative(named, off);
        if made.voltage.low() <= named.high() && named.low() <= made.voltage.high() {
            continue;
        }
        let about = Subject::named(format!("{} rail {}", board.name, rail.name));
        say(judge, about, made.voltage.place, || {
            format!(
                "the rail {} of {} is stated as {}. Name or voltage is wrong",
                rail.name, board.name, made.voltage.value
            )
        });
    }
}

/// The voltage that a name states, as `12V`, `3.3V` and `3V3` do.
fn voltage_of(name: &str) -> Option<ElectricPotential> {
    let name = name.trim().trim_start_matches('+').to_ascii_uppercase();
    let (whole, part) = name.split_once('V')?;
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let text = match part {
        "" => whole.trim_end().to_owned(),
        part if digits(part) && digits(whole) => format!("{whole}.{part}"),
        _ => return None,
    };
    let plain = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    let volts: f64 = text.parse().ok().filter(|_| plain)?;
    (volts > 0.0).then(|| si::volt(volts))
}

/// Two ports that name one pin of the processor, where neither says that it excludes the other. A probe port reads its signal on an input of
/// the board, often on one that has a socket of its own; sockets of motors are behind a driver.
fn pins(board: &Board, judge: &mut Judge) {
    fn apart(port: &Port) -> Option<&Name> {
        let pin = port.processor_pin.as_ref();
        pin.filter(|_| !matches!(port.kind, PortKind::Motor { .. }))
    }
    let reads = |one: &Port, other: &Port| {
        matches!(one.kind, PortKind::Probe { .. }) && matches!(other.kind, PortKind::Switch(_))
    };
    for (id, port) in board.port_ids() {
        let Some(pin) = apart(port) else { continue };
        let same = board.port_ids().take(id.0).find(|(other_id, other)| {
            apart(other).is_some_and(|own| own.value == pin.value)
                && !port.excludes.contains(other_id)
                && !other.excludes.contains(&id)
                && !reads(port, other)
                && !reads(other, port)
        });
        let Some((_, other)) = same else { continue };
        let about = Subject::named(format!("{} {} pin", board.name, port.name));
        say(judge, about, pin.place, || {
            format!(
                "{} and {} of {} are both stated to be the processor pin {pin}. Only one of them can be used",
                other.name, port.name, board.name
            )
        });
    }
}

/// An analogue converter whose reference is above the supply of its processor.
fn references(board: &Board, limits: &Limits, judge: &mut Judge) {
    let logic = board.processor.logic;
    // Both are mostly one rail: what tolerances make of it is no contradiction.
    let most = logic.high() * (1.0 + limits.rail_name_tolerance.value.high().base());
    for port in &board.ports {
        let PortKind::Thermometer(input) = &port.kind else {
            continue;
        };
        let reference = input.reference;
        if reference.low() <= most {
            continue;
        }
        let about = Subject::named(format!("{} {} reference", board.name, port.name));
        let name = format!("the input {} of {}", port.name, board.name);
        above(
            judge,
            about,
            reference.place,
            &name,
            ("reference", &reference.value),
            ("processor's logic voltage", &logic.value),
        );
    }
}

/// A heater or the fan of the part at an old port that nobody could switch.
fn always_fed_before(swap: &Swap, device: &Device, judge: &mut Judge) {
    let switched = match &device.detail {
        Detail::Heater(_) => true,
        Detail::Fan(fan) => fan.cools == Cooled::Part,
        _ => false,
    };
    let always = |port: &&Port| matches!(port.kind, PortKind::Permanent);
    let Some(port) = old_port(swap, device).filter(always).filter(|_| switched) else {
        return;
    };
    let place = device
        .cable
        .old_port
        .as_ref()
        .map_or(device.tag.place, |name| name.place);
    say(judge, Subject::aspect(device, "old port"), place, || {
        format!(
            "{} is stated to come from {} of the old board, which is always on. There nothing controlled it",
            name_of(device),
            port.name
        )
    });
}

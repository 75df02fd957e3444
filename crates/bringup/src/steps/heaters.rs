//! Fans, then heaters one by one under watch, with a deadline that follows from power and heat capacity.

use model::machine::{Detail, Heater};
use model::{Cooled, DeviceKind, Zone};
use physics::{heat, named, work};
use plan::Pair;
use quantity::si::{Power, Time};
use quantity::{Number, Value, si};
use settings::Topic;

use crate::job::Job;
use crate::step::{Expected, Needs, Part, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    fans(job);
    let heaters = job.heaters();
    for pair in &heaters {
        if let Detail::Heater(heater) = &pair.device().detail {
            unwatched(job, pair, heater);
            mains(job, pair, heater);
        }
    }
    off(job, &heaters);
    watch(job, &heaters);
    plug(job, &heaters);
    lost(job, &heaters);
    heat_sink_fans(job);
    super::reference::steps(job);
    working(job, &heaters);
}

/// The heaters with their detail.
fn detailed<'p, 'a>(heaters: &'p [Pair<'a>]) -> impl Iterator<Item = (&'p Pair<'a>, &'a Heater)> {
    heaters.iter().filter_map(|pair| match &pair.device().detail {
        Detail::Heater(heater) => Some((pair, heater.as_ref())),
        _ => None,
    })
}

fn fans(job: &mut Job<'_>) {
    let parts = job.of_kind(DeviceKind::Fan).into_iter().filter_map(|pair| {
        let Detail::Fan(fan) = &pair.device().detail else {
            return None;
        };
        let tag = &pair.device().tag.value;
        let part = job.with_plugs(Part::of("fan", &pair), &pair);
        // The port is measured before the fan meets it: a jumper on the wrong rail kills a fan in a moment.
        let part = match pair.way.rail.filter(|_| !pair.way.own_supply) {
            Some(rail) => {
                part.expect(job.metered_voltage(&format!("voltage at {}", pair.port_name()), job.rail(rail)))
            }
            None => job.part_following(part, &format!("converter:{tag}")),
        };
        let always = matches!(pair.port().kind, model::board::PortKind::Permanent);
        let part = if always {
            part.expect(Expected::seen(
                "fan",
                "runs as soon as there is power, blowing the right way",
            ))
        } else if fan.cools == Cooled::Part {
            part.act("set 100 %, 50 %, 0 %")
                .expect(Expected::seen("fan", "fast, slower, still"))
        } else {
            part.act("switch it on, then off, by command")
                .expect(Expected::seen("fan", "runs and stops as commanded"))
        };
        let part = part.setting(format!("fan-control:{tag}"));
        let part = if job.further(&pair).is_empty() {
            part
        } else {
            part.expect(Expected::seen(
                "reported speed",
                "above 0 while the fan runs, 0 when it is held",
            ))
        };
        Some(job.part_following(part, &format!("poles:{tag}")))
    });
    let step = Step::new(
        "fans",
        Phase::Heat,
        Needs::Power,
        "Measure the fan ports, then run the fans",
        "A hot end without its fan jams; a board without its own gets hot. They run before anything heats.",
    )
    .parts(parts)
    .hazard("Blades: fingers and wires away.")
    .act("With no fan plugged in and each port fully on, measure between its pins.")
    .act("Switch off. Plug each fan whose port reads right into it, + to +. Switch on.")
    .act("Run each fan by itself as the table says.")
    .otherwise("another voltage at the port: the jumper; do not plug the fan in")
    .otherwise("another fan answers: two cables are interchanged")
    .otherwise("does not turn: reversed polarity, wrong voltage, or the wrong port")
    .takes(3, 2);
    let step = job.power_gate(step);
    job.push_parted(step);
}

/// The thermometer of a heated part.
fn thermometer(job: &Job<'_>, zone: Zone) -> Option<String> {
    job.of_kind(DeviceKind::Thermometer)
        .iter()
        .find(|pair| matches!(&pair.device().detail, Detail::Thermometer(own) if own.zone == zone))
        .map(|pair| pair.device().tag.value.clone())
}

/// A heater that nothing measures stays off the board: there is no step that heats it.
fn unwatched(job: &mut Job<'_>, pair: &Pair<'_>, heater: &Heater) {
    if thermometer(job, heater.zone).is_some() {
        return;
    }
    let step = Step::new(
        format!("unwatched:{}", pair.device().tag.value),
        Phase::Heat,
        Needs::Unplugged,
        format!("Leave {} disconnected", pair.device_name()),
        "No temperature sensor of its zone is connected: it would heat without end.",
    )
    .hazard("Fire: a heater without sensor is never connected to power.")
    .act(format!(
        "Insulate the ends of its cable and keep them away from {}.",
        pair.port_name()
    ))
    .expect(Expected::seen("cable", "insulated, not at any port"))
    .otherwise("describe the sensor in machine.toml and run Boardswap again")
    .takes(2, 0)
    .at(pair);
    job.push(step);
}

/// The load of a relay is connected by a qualified person before anything drives the relay.
fn mains(job: &mut Job<'_>, pair: &Pair<'_>, heater: &Heater) {
    if heater.relay.is_none() {
        return;
    }
    let tag = &pair.device().tag.value;
    let step = Step::new(
        format!("mains:{tag}"),
        Phase::Heat,
        Needs::Unplugged,
        format!("Have {}, on its load side, checked by a qualified person", plan::heated_name(pair.device())),
        "A fault on the mains side kills without warning; this list covers the control side only.",
    )
    .hazard("Mains: lethal. Nobody else opens the enclosure of the load side, plugged in or not.")
    .act(format!(
        "Let a qualified person check the heater of {} ({}, {}) under local codes: protective earth of all metal, residual-current device, fuse, cut-out, strain relief, cover.",
        plan::heated_name(pair.device()), heater.voltage, heater.power
    ))
    .expect(Expected::seen("record", "dated and signed by the qualified person"))
    .otherwise("stop here: the control side stays unplugged")
    .takes(20, 0)
    .at(pair);
    job.push(step);
}

/// What a closed switch leaks into a meter. Common practice, no source.
const LEAK_V: f64 = 1.0;
/// An open thermometer is seen at the next readings. Common practice, no source.
const SEEN_WITHIN_S: f64 = 5.0;

/// The output of each heater is off before a heater is connected to it.
fn off(job: &mut Job<'_>, heaters: &[Pair<'_>]) {
    let parts = heaters.iter().map(|pair| {
        let mut part = Part::of("heater-off", pair);
        if pair.facts().external_switch().is_some() {
            part = part.act("measure at the output of the external switch");
        }
        let part = part.expect(Expected::at_most(
            "voltage between the terminals",
            Value::exact(si::volt(LEAK_V)),
        ));
        job.part_following(part, &format!("mains:{}", pair.device().tag))
    });
    let mut step = Step::new(
        "heaters-off",
        Phase::Heat,
        Needs::Power,
        "Verify that the heater outputs are off",
        "A shorted output switch, or an inverted pin, heats at full power as soon as a heater is plugged in.",
    )
    .parts(parts)
    .hazard("The supply stands behind these terminals: one hand, the black tip fixed, no slip.")
    .act("With no heater plugged in and all setpoints at zero, measure between the two terminals of each output.")
    .act("Restart the controller at each and watch the reading: it must not jump.")
    .otherwise("the full voltage: the output switch is broken or the output inverted; do not connect the heater")
    .takes(2, 2);
    for id in job.all("ambient:") {
        step = step.after(id);
    }
    let step = job.power_gate(step);
    job.push_parted(step);
}

/// The monitoring of the heat-up, tried with no heater on the port: nothing rises, so that it must trip.
fn watch(job: &mut Job<'_>, heaters: &[Pair<'_>]) {
    let first = job.setup.limits().bringup_first_heat.value;
    if !detailed(heaters).any(|(_, heater)| monitored(job, heater).is_some()) {
        return;
    }
    let parts = detailed(heaters).map(|(pair, heater)| {
        let zone = heater.zone.word();
        let Some(time) = monitored(job, heater) else {
            return Part::heated("protection", pair).expect(Expected::seen(
                "monitoring",
                format!(
                    "none is proposed, and none is tested: {}, and stay with a hand at the switch while it heats",
                    no_hotter(job, pair, heater)
                ),
            ));
        };
        // Ten seconds for the controller to notice; common practice, no source.
        let latest = Value::exact(time.nominal() + si::second(10.0));
        let part = Part::heated("protection", pair)
            .expect(Expected::at_most(
                "time until the controller reports a fault and drops the setpoint",
                latest,
            ))
            .setting(format!("heat-up-time:{}", zone.replace(' ', "-")))
            .setting(format!("heat-up-rise:{}", zone.replace(' ', "-")));
        job.part_following(part, &format!("heater-off:{}", pair.device().tag))
    });
    let step = Step::new(
        "protection",
        Phase::Heat,
        Needs::Power,
        "Test the heat-up monitoring",
        "A detached sensor shows no rise, and the heater must go off by itself. It is tried while no heater can get hot.",
    )
    .parts(parts)
    .hazard("If nothing trips, switch off. No heater that the table tests is connected until it does.")
    .act(format!("With no heater plugged in, set {first} for one part and start a timer: nothing rises."))
    .act("Restart the controller. Go on with the next part.")
    .otherwise("nothing happens: the protection is not in the build, or not set; do not connect the heater")
    .takes(1, 4);
    let step = job.following(step, "thermometer-open");
    let step = job.power_gate(step);
    job.push_parted(step);
}

/// The time of the heat-up monitoring that the settings have for a part; `None` where none fits it, or none could be worked out.
fn monitored(job: &Job<'_>, heater: &Heater) -> Option<Value<Time>> {
    let setting = job.settings.find(Topic::HeatUpTime, heater.zone.word())?;
    setting.new.as_ref()?.any()?.typed::<Time>()
}

/// Up to which temperature monitoring would hold for a part that has none at its working temperature.
fn watched_up_to(job: &Job<'_>, pair: &Pair<'_>, heater: &Heater) -> Option<si::ThermodynamicTemperature> {
    if monitored(job, heater).is_some() {
        return None;
    }
    let facts = job.setup.facts();
    let heating = facts.heating(pair.id)?;
    let protection = facts.protection(heating)?;
    protection
        .holds_up_to(heating, facts.control(heating)?)
        .temperature()
}

/// "set no more than 85 °C"; without a figure where none is known.
fn no_hotter(job: &Job<'_>, pair: &Pair<'_>, heater: &Heater) -> String {
    watched_up_to(job, pair, heater).map_or_else(
        || "set no more than the work needs".to_owned(),
        |most| format!("set no more than {}", Value::exact(most)),
    )
}

/// A sensor that is lost while its part is warm, not hot, must switch the heater off.
fn lost(job: &mut Job<'_>, heaters: &[Pair<'_>]) {
    // Ten kelvin below the first heat, so that what is tried stays below the burn threshold of a minute's touch.
    let first = job.setup.limits().bringup_first_heat.value.nominal();
    let setpoint = Value::exact(si::ThermodynamicTemperature::from_base(first.base() - 10.0));
    let parts = detailed(heaters).filter_map(|(pair, heater)| {
        let sensor = thermometer(job, heater.zone)?;
        let zone = heater.zone.word().replace(' ', "-");
        let part = Part::heated("thermometer-lost", pair)
            .act(format!(
                "unplug {sensor}; afterwards switch off, plug it in again, switch on"
            ))
            .expect(Expected::at_most(
                "time until the heater is off and a fault is reported",
                Value::exact(si::second(SEEN_WITHIN_S)),
            ))
            .expect(Expected::seen(
                "heaters after switching on again",
                "none comes on by itself",
            ))
            .tag(&sensor)
            .setting(format!("highest-temperature:{zone}"))
            .setting(format!("thermometer-table:{zone}"));
        Some(part)
    });
    let mut step = Step::new(
        "thermometer-lost",
        Phase::Heat,
        Needs::Heat,
        "Disconnect each sensor while its part is warm",
        "The heater must go off without its sensor. It is tried warm, before anything gets hot.",
    )
    .parts(parts)
    .hazard("Fire and burns: stay with the machine, one hand on the power switch.")
    .act(format!("One part after the other: set {setpoint} and wait until it holds."))
    .act("Pull the plug of its sensor at the board and start a timer. It carries signal current only: the one plug that may be removed under power.")
    .otherwise("it heats on: pull the mains plug; the limits of the table are not set")
    .otherwise("another heater goes off: two sensors are interchanged")
    .takes(1, 8);
    for id in job.all("heat:") {
        step = step.after(id);
    }
    job.push_parted(step);
}

/// First heat: a low setpoint, watched, with a deadline.
fn plug(job: &mut Job<'_>, heaters: &[Pair<'_>]) {
    let first = job.setup.limits().bringup_first_heat.value;
    let facts = job.setup.facts();
    let parts = detailed(heaters).filter_map(|(pair, heater)| {
        let tag = &pair.device().tag.value;
        let sensor = thermometer(job, heater.zone)?;
        let control = if heater.relay.is_some() {
            "the control side of "
        } else {
            ""
        };
        let mut part = Part::heated("heat", pair)
            .act(format!(
                "switch off, plug {control}{tag} into {}, switch on; watch {sensor}",
                pair.port_name()
            ))
            .expect(Expected::seen(
                format!("{sensor} for one minute, heater off"),
                "stays at ambient temperature",
            ));
        let usual = facts.pair(pair.id).and_then(|heater| {
            let thermometer = heater.heating().and_then(|heating| facts.thermometer(heating));
            plan::protection::Usual::of(heater, thermometer)
        });
        match (time_to_rise(job, pair, heater), usual) {
            (Some(expected), _) => part = part.expect(expected),
            (None, Some(usual)) => {
                let time = Value::exact(usual.rise_time);
                part = part.expect(Expected::at_least(
                    format!("rise of {sensor} within {time} of the first power"),
                    Value::exact(usual.rise),
                ));
            }
            (None, None) => {}
        }
        let part = part
            .expect(Expected::seen(
                format!("{sensor} after the setpoint is dropped"),
                "stops rising within a minute, then falls",
            ))
            .tag(&sensor);
        // A heater on the mains is measured by a qualified person, in a step of its own.
        let part = job.part_following(part, &format!("resistance:{tag}"));
        Some(job.part_following(part, &format!("heater-off:{tag}")))
    });
    let mut step = Step::new(
        "first-heat",
        Phase::Heat,
        Needs::Heat,
        format!("Heat each part to {first}, for the first time"),
        "It verifies that each heater warms its sensor, at a temperature at which a mistake does little.",
    )
    .parts(parts)
    .hazard("Fire and burns: stay with the machine, an extinguisher at hand, nothing that burns on or near the part. Do not touch to feel.")
    .act("One heater after the other: plug it in as the table says. It must stay off by itself.")
    .act(format!("Set {first} and watch its sensor. Cut the power at the deadline if it has not risen."))
    .act("Drop the setpoint to zero.")
    .otherwise("the sensor does not rise: switch off; heater or sensor belongs to another part")
    .otherwise("it goes on rising: pull the mains plug. The output switch has shorted, or the heater is on the wrong port")
    .takes(1, 8)
    .after("thermometers-agree")
    .after("thermometer-open");
    for id in job
        .all("fan:")
        .into_iter()
        .chain(job.all("ambient:"))
        .chain(job.all("protection:"))
    {
        step = step.after(id);
    }
    let step = job.power_gate(step);
    job.push_parted(step);
}

/// The time in which the first rise must show, from power and heat capacity; `None` where the file does not tell the capacity.
fn time_to_rise(job: &Job<'_>, pair: &Pair<'_>, heater: &Heater) -> Option<Expected> {
    let facts = pair.facts();
    let (_, loss, capacity) = facts.heating()?.lumped()?;
    let voltage = facts.heater_voltage()?;
    let cold = plan::loads::resistance_at(heater, job.setup.swap.ambient.temperature.value);
    let power: Value<Power> = voltage * voltage / cold;
    let room = job.setup.swap.ambient.temperature.value;
    let rise = si::kelvin(10.0);
    let inputs = (
        named("ϑₐ", "room", room),
        named("P", "power of the heater", power),
        named("G", "loss", loss),
        named("C", "heat capacity", capacity),
    );
    let after = |air: si::ThermodynamicTemperature, power, loss, capacity| -> Time {
        let goal = Number::from_base(air.base() + rise.base());
        heat::time_to(goal, air, air, power, loss, capacity)
    };
    let worked = work(&heat::TIME_TO, "t", inputs, |(air, power, loss, capacity)| {
        after(air, power, loss, capacity)
    });
    // The lump knows no dead time: a sensor sees the heat later. Twice the time and ten seconds is the deadline; common practice.
    let deadline = Value::exact(worked.value.high() * 2.0 + si::second(10.0));
    let what = format!(
        "time until the sensor has risen by 10 K (computed without dead time: {})",
        worked.value
    );
    Some(Expected::at_most(what, deadline).working(worked.working))
}

fn heat_sink_fans(job: &mut Job<'_>) {
    let on = job.setup.limits().fan_switch_on_temperature.value;
    let fans = job.of_kind(DeviceKind::Fan).into_iter().filter(|pair| {
        let sink = matches!(&pair.device().detail, Detail::Fan(fan) if fan.cools == Cooled::HeatSink);
        sink && !matches!(pair.port().kind, model::board::PortKind::Permanent)
    });
    let parts = fans.map(|pair| {
        let starts = Value::between(
            Number::from_base(on.low().base() - 5.0),
            on.nominal(),
            Number::from_base(on.high().base() + 5.0),
        );
        Part::of("fan-by-heat", &pair)
            .expect(Expected::between("temperature at which the fan starts", starts))
            .expect(Expected::seen(
                "fan while cooling",
                "runs on until the hot end is below that temperature",
            ))
            .setting(format!("fan-start:{}", pair.device().tag))
    });
    let mut step = Step::new(
        "fans-by-heat",
        Phase::Heat,
        Needs::Heat,
        "Verify that the heat-sink fan starts by itself",
        "It is now switched by temperature. If it does not start, the hot end jams and the sink melts its mount.",
    )
    .parts(parts)
    .hazard("Hot parts. Cut the power at once if the fan does not start.")
    .act(format!("Heat the hot end slowly to 20 K above {on}, watching the fan, then let it cool."))
    .otherwise("set the temperature for this output; until then let the fan run always")
    .takes(10, 0);
    for id in job.all("heat:").into_iter().chain(job.all("thermometer-lost:")) {
        step = step.after(id);
    }
    job.push_parted(step);
}

/// What is asked of a part, less the headroom below the temperature at which the settings switch everything off, and no more than monitoring
/// would hold up to where none fits the work.
pub(super) fn work_target(job: &Job<'_>, pair: &Pair<'_>, heater: &Heater) -> si::ThermodynamicTemperature {
    let asked = heater.working_temperature.value.nominal();
    let asked = watched_up_to(job, pair, heater).map_or(asked, |most| asked.smaller(most));
    let headroom = job.setup.limits().thermometer_headroom.value.nominal();
    let highest = job
        .settings
        .find(Topic::HighestTemperature, heater.zone.word())
        .and_then(|setting| {
            setting
                .new
                .as_ref()?
                .any()?
                .typed::<si::ThermodynamicTemperature>()
        });
    highest.map_or(asked, |highest| {
        asked.smaller(si::ThermodynamicTemperature::from_base(
            highest.nominal().base() - headroom.base(),
        ))
    })
}

/// To the working temperature, and the protection verified on the way.
fn working(job: &mut Job<'_>, heaters: &[Pair<'_>]) {
    let liner = job.setup.limits().liner_limit.value;
    let parts = detailed(heaters).filter_map(|(pair, heater)| {
        let sensor = thermometer(job, heater.zone)?;
        let setpoint = Value::exact(work_target(job, pair, heater));
        let mut part = Part::heated("working", pair).act(match monitored(job, heater) {
            Some(_) => format!("set {setpoint}"),
            None => format!("set {setpoint}, no more: no heat-up monitoring is proposed; stay with it"),
        });
        if heater.zone == Zone::HotEnd {
            part = part.act(format!(
                "if a liner of PTFE reaches the nozzle, set nothing above {liner}"
            ));
        }
        let tag = &pair.device().tag;
        let warm = if heater.relay.is_some() {
            part = part.act("keep hands off its load side");
            format!("control cable of {tag}, its plug, output switch")
        } else {
            "cable, plug, output switch".to_owned()
        };
        Some(
            part.expect(Expected::seen(
                sensor,
                "reaches the setpoint, overshoots little, then stays",
            ))
            .expect(Expected::seen(warm, "at most hand-warm"))
            .setting(format!(
                "highest-temperature:{}",
                heater.zone.word().replace(' ', "-")
            ))
            .after(format!("heat:{tag}"))
            .after(format!("thermometer-lost:{tag}")),
        )
    });
    let mut step = Step::new(
        "working",
        Phase::Heat,
        Needs::Heat,
        "Heat each part to its working temperature",
        "Power, supply and cables are under their full load for the first time.",
    )
    .parts(parts)
    .hazard("Fire and burns: stay with the machine. Good ventilation: hot plastic and dust smell, burning does too.")
    .act("Set the temperature of the table and watch the sensor until it is steady for five minutes.")
    .act("Meanwhile hold the back of a hand near, not on, cables, plugs and supply.")
    .otherwise("does not reach it: supply voltage too low, wrong heater, or a fan blowing on it")
    .otherwise("a plug gets hot: a bad crimp; cut the power and re-terminate it")
    .takes(1, 15);
    for id in job.all("fan-by-heat:").into_iter().chain(job.all("reference:")) {
        step = step.after(id);
    }
    job.push_parted(step);
}

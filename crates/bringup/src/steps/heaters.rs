//! Fans, then heaters one by one under watch, with a deadline that follows from power and heat capacity.

use model::machine::{Detail, Heater};
use model::{Cooled, DeviceKind, Zone};
use physics::{heat, named, work};
use plan::Pair;
use quantity::si::{Power, Time};
use quantity::{Number, Value, si};
use settings::Topic;

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    fans(job);
    let heaters = job.heaters();
    for pair in &heaters {
        if let Detail::Heater(heater) = &pair.device().detail {
            unwatched(job, pair, heater);
            mains(job, pair, heater);
        }
    }
    for pair in &heaters {
        off(job, pair);
    }
    for pair in &heaters {
        if let Detail::Heater(heater) = &pair.device().detail {
            watch(job, pair, heater);
        }
    }
    for pair in &heaters {
        if let Detail::Heater(heater) = &pair.device().detail {
            plug(job, pair, heater);
        }
    }
    for pair in &heaters {
        if let Detail::Heater(heater) = &pair.device().detail {
            lost(job, pair, heater);
        }
    }
    heat_sink_fans(job);
    super::reference::steps(job);
    for pair in job.heaters() {
        if let Detail::Heater(heater) = &pair.device().detail {
            working(job, &pair, heater);
        }
    }
}

fn fans(job: &mut Job<'_>) {
    for pair in job.of_kind(DeviceKind::Fan) {
        let Detail::Fan(fan) = &pair.device().detail else {
            continue;
        };
        let tag = &pair.device().tag.value;
        let always = matches!(pair.port().kind, model::board::PortKind::Permanent);
        let step = Step::new(
            format!("fan:{tag}"),
            Phase::Heat,
            Needs::Power,
            format!("Run {}", pair.device_name()),
            "A hot end without its fan jams; a board without its own gets hot. They run before anything heats.",
        )
        .hazard("Blades: fingers and wires away.");
        // The port is measured before the fan meets it: a jumper on the wrong rail kills a fan in a moment.
        let step = match pair.way.rail.filter(|_| !pair.way.own_supply) {
            Some(rail) => step
                .act(format!(
                    "With {tag} not plugged in and {} fully on, measure between its pins.",
                    pair.port_name()
                ))
                .expect(job.metered_voltage(&format!("voltage at {}", pair.port_name()), job.rail(rail))),
            None => job.following(step, &format!("converter:{tag}")),
        };
        let step = step.act(format!(
            "Switch off. Plug {tag} into {}, + to +. Switch on.",
            pair.port_name()
        ));
        let step = if always {
            step.expect(Expected::seen(
                "fan",
                "runs as soon as there is power, blowing the right way",
            ))
        } else if fan.cools == Cooled::Part {
            step.act("Tell the controller 100 %, 50 %, 0 %.")
                .expect(Expected::seen("fan", "fast, slower, still"))
        } else {
            step.act("Tell the controller to run it, then to stop it.")
                .expect(Expected::seen("fan", "runs and stops as told"))
        };
        let step = step
            .otherwise("another fan answers: two leads are exchanged")
            .otherwise("does not turn: poles exchanged, wrong voltage, or the wrong port")
            .otherwise("another voltage at the port: the jumper; do not plug the fan in")
            .at(&pair)
            .setting(format!("fan-control:{tag}"));
        let step = job.following(step, &format!("poles:{tag}"));
        let step = job.power_gate(step);
        job.push(step);
    }
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
        format!("Have the load side of {} checked by a qualified person", pair.device_name()),
        "A fault on the mains side kills without warning; this list covers the control side only.",
    )
    .hazard("Mains: lethal. Nobody else opens the enclosure of the load side, plugged in or not.")
    .act(format!(
        "Let a qualified person check the load of {} ({}, {}) under local codes: protective earth of all metal, residual-current device, fuse, cut-out, strain relief, cover.",
        tag, heater.voltage, heater.power
    ))
    .expect(Expected::seen("record", "dated and signed by the qualified person"))
    .otherwise("stop here: the control side stays unplugged")
    .at(pair);
    job.push(step);
}

/// What a closed switch leaks into a meter. Common practice, no source.
const LEAK_V: f64 = 1.0;
/// An open thermometer is seen at the next readings. Common practice, no source.
const SEEN_WITHIN_S: f64 = 5.0;

/// The output of each heater is off before a heater hangs on it.
fn off(job: &mut Job<'_>, pair: &Pair<'_>) {
    let tag = &pair.device().tag.value;
    let place = if pair.facts().external_switch().is_some() {
        format!(
            "the output of the external switch that {} drives",
            pair.port_name()
        )
    } else {
        pair.port_name().to_owned()
    };
    let mut step = Step::new(
        format!("heater-off:{tag}"),
        Phase::Heat,
        Needs::Power,
        format!("See that the output of {} is off", pair.device_name()),
        "A switch that failed closed, or an inverted pin, heats at full power from the moment a heater is plugged in.",
    )
    .hazard("The supply stands behind these terminals: one hand, the black tip fixed, no slip.")
    .act(format!("With {tag} not plugged in and all targets at zero, measure between the two terminals of {place}."))
    .act("Restart the controller and watch the reading: it must not jump.")
    .expect(Expected::at_most("voltage between the terminals", Value::exact(si::volt(LEAK_V))))
    .otherwise("the full voltage: the switch is broken or the output inverted; do not connect the heater")
    .at(pair);
    for id in job.all("ambient:") {
        step = step.after(id);
    }
    step = job.following(step, &format!("mains:{tag}"));
    let step = job.power_gate(step);
    job.push(step);
}

/// The watch over the heat-up, tried with no heater on the port: nothing rises, so that it must trip.
fn watch(job: &mut Job<'_>, pair: &Pair<'_>, heater: &Heater) {
    let tag = &pair.device().tag.value;
    let zone = heater.zone.word();
    let Some(time) = job
        .settings
        .find(Topic::HeatUpTime, zone)
        .and_then(|setting| setting.new.as_ref()?.any()?.typed::<Time>())
    else {
        return;
    };
    let first = job.setup.limits().bringup_first_heat.value;
    // Ten seconds for the controller to notice; common practice, no source.
    let latest = Value::exact(time.nominal() + si::second(10.0));
    let mut step = Step::new(
        format!("protection:{tag}"),
        Phase::Heat,
        Needs::Power,
        format!("See the watch over the {zone} trip"),
        "A thermometer that has fallen out shows no rise, and the heater must go off by itself. It is tried while no heater can get hot.",
    )
    .hazard("If nothing trips, switch off. No heater is connected until it does.")
    .act(format!("With {tag} not plugged in, set a target of {first}: nothing rises. Start the clock."))
    .expect(Expected::at_most("time until the controller reports a fault and drops the target", latest))
    .act("Restart the controller.")
    .otherwise("nothing happens: the protection is not in the build, or not set; do not connect the heater")
    .at(pair)
    .setting(format!("heat-up-time:{}", zone.replace(' ', "-")))
    .setting(format!("heat-up-rise:{}", zone.replace(' ', "-")));
    step = job.following(step, &format!("heater-off:{tag}"));
    step = job.following(step, "thermometer-open");
    let step = job.power_gate(step);
    job.push(step);
}

/// A thermometer that is lost while its part is warm, not hot, must switch the heater off.
fn lost(job: &mut Job<'_>, pair: &Pair<'_>, heater: &Heater) {
    let tag = &pair.device().tag.value;
    let Some(sensor) = thermometer(job, heater.zone) else {
        return;
    };
    // Ten kelvin below the first heat, so that what is tried stays below the burn threshold of a minute's touch.
    let first = job.setup.limits().bringup_first_heat.value.nominal();
    let target = Value::exact(si::ThermodynamicTemperature::from_base(first.base() - 10.0));
    let zone = heater.zone.word().replace(' ', "-");
    let mut step = Step::new(
        format!("thermometer-lost:{tag}"),
        Phase::Heat,
        Needs::Heat,
        format!("Take the thermometer from {} while it is warm", pair.device_name()),
        "The heater must go off without its thermometer. It is tried warm, before anything gets hot.",
    )
    .hazard("Fire and burns: stay with the machine, hand at the switch-off.")
    .act(format!("Set {target} and wait until it holds."))
    .act(format!("Pull the plug of {sensor} at the board. This one plug carries next to nothing and may be pulled under power; no other may. Start the clock."))
    .expect(Expected::at_most("time until the heater is off and a fault is reported", Value::exact(si::second(SEEN_WITHIN_S))))
    .act(format!("Switch off, plug {sensor} in again, switch on: no heater comes on by itself."))
    .otherwise("it heats on: pull the mains plug; the limits of the table are not set")
    .otherwise("another heater goes off: two thermometers are exchanged")
    .at(pair)
    .tag(&sensor)
    .setting(format!("highest-temperature:{zone}"))
    .setting(format!("thermometer-table:{zone}"));
    for id in job.all("heat:") {
        step = step.after(id);
    }
    job.push(step);
}

/// First heat: a low target, watched, with a deadline.
fn plug(job: &mut Job<'_>, pair: &Pair<'_>, heater: &Heater) {
    let tag = &pair.device().tag.value;
    let Some(sensor) = thermometer(job, heater.zone) else {
        return;
    };
    let first = job.setup.limits().bringup_first_heat.value;
    let mut step = Step::new(
        format!("heat:{tag}"),
        Phase::Heat,
        Needs::Heat,
        format!("Heat {} to {first}, for the first time", pair.device_name()),
        "It proves that this heater warms this thermometer, at a temperature at which a mistake does little.",
    )
    .hazard("Fire and burns: stay with the machine, an extinguisher at hand, nothing that burns on or near the part. Do not touch to feel.")
    .act(format!("Switch off. Plug {tag} into {}. Switch on; the heater must stay off by itself.", pair.port_name()))
    .expect(Expected::seen(format!("{sensor} for one minute, heater off"), "stays at room temperature"))
    .act(format!("Set a target of {first} and watch {sensor}; switch off at the deadline if it has not risen."));
    let facts = job.setup.facts();
    let usual = facts.pair(pair.id).and_then(|heater| {
        let thermometer = heater.heating().and_then(|heating| facts.thermometer(heating));
        plan::protection::Usual::of(heater, thermometer)
    });
    match (time_to_rise(job, pair, heater), usual) {
        (Some(expected), _) => step = step.expect(expected),
        (None, Some(usual)) => {
            let time = Value::exact(usual.rise_time);
            step = step.expect(Expected::at_least(
                format!("rise of {sensor} within {time} of the first power"),
                Value::exact(usual.rise),
            ));
        }
        (None, None) => {}
    }
    step = step
        .act("Drop the target to zero.")
        .expect(Expected::seen(format!("{sensor} after the target is dropped"), "stops rising within a minute, then falls"))
        .otherwise(format!("{sensor} does not rise: switch off; the heater or the thermometer belongs to another part"))
        .otherwise("it goes on rising: pull the plug; the switch has failed closed, or the heater hangs on the wrong port")
        .tag(tag)
        .tag(&sensor)
        .after(format!("resistance:{tag}"))
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
    step = job.following(step, &format!("heater-off:{tag}"));
    step.ports.push(pair.port_name().to_owned());
    let step = job.power_gate(step);
    job.push(step);
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
        "time until the thermometer has risen by 10 K (computed without dead time: {})",
        worked.value
    );
    Some(Expected::at_most(what, deadline).working(worked.working))
}

fn heat_sink_fans(job: &mut Job<'_>) {
    let on = job.setup.limits().fan_switch_on_temperature.value;
    for pair in job.of_kind(DeviceKind::Fan) {
        let sink = matches!(&pair.device().detail, Detail::Fan(fan) if fan.cools == Cooled::HeatSink);
        let switched = !matches!(pair.port().kind, model::board::PortKind::Permanent);
        if !(sink && switched) {
            continue;
        }
        let tag = &pair.device().tag.value;
        let mut step = Step::new(
            format!("fan-by-heat:{tag}"),
            Phase::Heat,
            Needs::Heat,
            format!("See {} start by itself", pair.device_name()),
            "It is now switched by temperature: if it does not start, the hot end jams and the sink melts its mount.",
        )
        .hazard("Hot parts. Switch off at once where the fan does not start.")
        .act(format!("Heat the hot end slowly to 20 K above {on}, watching the fan, then let it cool."))
        .expect(Expected::between("temperature at which the fan starts", Value::between(
            Number::from_base(on.low().base() - 5.0),
            on.nominal(),
            Number::from_base(on.high().base() + 5.0),
        )))
        .expect(Expected::seen("fan while cooling", "runs on until the hot end is below that temperature"))
        .otherwise("set the temperature for this output; until then let the fan run always")
        .tag(tag);
        for id in job.all("heat:").into_iter().chain(job.all("thermometer-lost:")) {
            step = step.after(id);
        }
        step = step.setting(format!("fan-start:{tag}"));
        job.push(step);
    }
}

/// What is asked of a part, less the headroom below the temperature at which the settings switch everything off.
pub(super) fn work_target(job: &Job<'_>, heater: &Heater) -> si::ThermodynamicTemperature {
    let asked = heater.working_temperature.value.nominal();
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

/// To the working temperature, and the protection proved on the way.
fn working(job: &mut Job<'_>, pair: &Pair<'_>, heater: &Heater) {
    let tag = &pair.device().tag.value;
    let Some(sensor) = thermometer(job, heater.zone) else {
        return;
    };
    let goal = work_target(job, heater);
    let liner = job.setup.limits().liner_limit.value;
    let mut step = Step::new(
        format!("working:{tag}"),
        Phase::Heat,
        Needs::Heat,
        format!("Heat {} to its working temperature", pair.device_name()),
        "Power, supply and leads are under their full load for the first time.",
    )
    .hazard("Fire and burns: stay with the machine. Good ventilation: hot plastic and dust smell, burning does too.")
    .act(format!("Set {} and watch {sensor} until it is steady for five minutes.", Value::exact(goal)))
    .act("Meanwhile hold the back of a hand near, not on, the leads, plugs and the supply.")
    .expect(Expected::seen(sensor, "reaches the target, overshoots little, then stays"))
    .expect(Expected::seen("leads, plugs, switch of the port", "at most hand-warm"))
    .otherwise("does not reach it: supply voltage too low, wrong heater, or a fan blowing on it")
    .otherwise("a plug gets hot: a bad crimp; switch off and make it anew")
    .at(pair)
    .setting(format!("highest-temperature:{}", heater.zone.word().replace(' ', "-")))
    .after(format!("heat:{tag}"))
    .after(format!("thermometer-lost:{tag}"));
    if heater.zone == Zone::HotEnd {
        step = step.act(format!(
            "Where a liner of PTFE reaches the nozzle, set nothing above {liner}."
        ));
    }
    for id in job.all("fan-by-heat:").into_iter().chain(job.all("reference:")) {
        step = step.after(id);
    }
    job.push(step);
}

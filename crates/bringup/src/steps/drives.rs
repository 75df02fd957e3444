//! Motors: current first, then direction at low current, then homing one axis at a time.

use model::DeviceKind;
use model::board::CurrentLaw;
use model::machine::{AxisId, Detail, Drive};
use quantity::si::ElectricCurrent;
use quantity::{Value, si};
use settings::{Setting, Topic};

use crate::job::Job;
use crate::step::{Expected, Needs, Part, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    currents(job);
    let mut axes: Vec<AxisId> = (0..job.setup.swap.machine.axes.len()).map(AxisId).collect();
    super::crossed::steps(job);
    directions(job, &axes);
    // Z last, whatever the order of the file: nozzle and probe must be over the bed by then.
    axes.sort_by_key(|axis| is_z(job, *axis));
    thresholds(job, &axes);
    home(job, &axes);
}

fn is_z(job: &Job<'_>, axis: AxisId) -> bool {
    job.setup
        .swap
        .machine
        .axis(axis)
        .name
        .value
        .eq_ignore_ascii_case("Z")
}

/// The current of each driver, before its motor is plugged in or moved; then all motors at once.
fn currents(job: &mut Job<'_>) {
    let motors: Vec<_> = job.motors().into_iter().filter(|pair| !pair.way.second).collect();
    let [told, turned]: [Vec<_>; 2] = [true, false].map(|by_bus| {
        let own = |pair: &&plan::Pair<'_>| {
            let law = pair.driver().map(|driver| &driver.law);
            law.is_some_and(|law| matches!(law, CurrentLaw::Levels { .. }) == by_bus)
        };
        motors.iter().filter(own).collect()
    });
    let step = |id: &str, title: &str| {
        Step::new(
            id,
            Phase::Motion,
            Needs::Power,
            title,
            "Too little current loses steps, too much overheats driver and motor. It is set before any motor turns.",
        )
        .hazard("Never plug or unplug a motor under power: it destroys the driver.")
    };
    let plug = "Switch off and wait. Plug each motor into its port. Push each axis to mid-travel by hand, slowly (screws turned evenly). A motor that is turned generates voltage into the board.";
    let by_bus = step("currents", "Set the motor currents, then plug the motors in")
        .parts(told.into_iter().map(|pair| current(job, pair)))
        .act("Send the current of each driver, and read it back.")
        .act(plug)
        .otherwise("another number: the controller counts the peak, which is 1.414 times the rms value")
        .otherwise("the driver does not answer: its bus, its jumpers, its pin in the build")
        .takes(5, 1);
    let by_bus = job.power_gate(by_bus);
    job.push_parted(by_bus);
    let by_trimmer = step(
        "references",
        "Set the driver reference voltages, then plug the motors in",
    )
    .parts(turned.into_iter().map(|pair| current(job, pair)))
    .hazard("A tip that slips shorts a driver: insulate all but its point, black tip fixed.")
    .act("With power and without motor, measure between the trimmer of each driver and -, and turn it.")
    .act(plug)
    .takes(5, 2);
    let by_trimmer = job.power_gate(by_trimmer);
    job.push_parted(by_trimmer);
}

/// The current of the driver of a motor.
fn current(job: &Job<'_>, pair: &plan::Pair<'_>) -> Part {
    let tag = &pair.device().tag.value;
    let part = Part::of("current", pair).after(format!("coils:{tag}"));
    let Some(driver) = pair.driver() else { return part };
    let of = |topic| {
        let own = |setting: &&Setting| is_of(setting, topic, tag, job.axis_name(pair));
        job.settings.settings.iter().find(own)
    };
    let mut part = match driver.law {
        CurrentLaw::Levels { .. } => {
            let setting = of(Topic::MotorCurrent);
            let value = setting.and_then(|setting| setting.new.as_ref()?.any()?.typed::<ElectricCurrent>());
            let words = setting
                .and_then(Setting::new_text)
                .unwrap_or_else(|| "as in the settings".to_owned());
            let what = "current that the controller reports (rms)";
            let part = part.act(format!("{}: {words}", driver.name));
            let part = match value {
                // Controllers report whole milliamperes.
                Some(value) => {
                    let (told, half) = (value.nominal(), si::milliampere(0.5));
                    let whole = Value::between(told - half, told, told + half);
                    part.expect(Expected::between(what, whole))
                }
                None => part.expect(Expected::seen(what, words)),
            };
            setting
                .iter()
                .fold(part, |part, setting| part.setting(&*setting.id))
        }
        CurrentLaw::SenseResistor { .. } | CurrentLaw::PerAmpere { .. } => {
            let part = part.act(format!("trimmer of {}", driver.name));
            let setting = of(Topic::DriverReference);
            let told = setting.and_then(|setting| {
                let value = setting.new.as_ref()?.any()?.typed::<si::ElectricPotential>()?;
                Some((setting, value))
            });
            match told {
                Some((setting, voltage)) => {
                    let what = format!("reference voltage of {}", driver.name);
                    let expected = job.metered_voltage(&what, voltage);
                    part.expect(setting.working.iter().cloned().fold(expected, Expected::working))
                        .setting(&*setting.id)
                }
                None => part,
            }
        }
    };
    if let Some(empty) = bridged(job, pair) {
        part = part.act(format!(
            "put the bridge plug into {empty}: {} joins its sockets in series, and nothing flows through an empty one; without it the motor stays loose and cold",
            driver.name
        ));
    }
    let port = pair.port();
    for other in job
        .setup
        .pairs()
        .filter(|other| other.way.second && other.port().kind == port.kind)
    {
        let other_tag = &other.device().tag.value;
        part = part
            .act(format!(
                "plug {other_tag} into {} too: both motors are connected to this driver",
                other.port_name()
            ))
            .at(&other)
            .after(format!("coils:{other_tag}"));
    }
    part
}

/// The empty socket of a driver that joins two in series, where one motor has it by itself.
fn bridged<'a>(job: &Job<'a>, pair: &plan::Pair<'a>) -> Option<&'a str> {
    let model::board::PortKind::Motor { driver } = pair.port().kind else {
        return None;
    };
    let board = job.setup.board;
    if board.driver(driver).motor_connection != model::Connection::Series {
        return None;
    }
    let used = |port| job.setup.pairs().any(|other| other.way.port == port);
    let empty = board.sockets(driver).find(|port| !used(*port))?;
    Some(&board.port(empty).name.value)
}

fn is_of(setting: &Setting, topic: Topic, tag: &str, axis: &str) -> bool {
    setting.topic == topic && (setting.of == tag || setting.of == axis)
}

/// One small move of each axis, at low current, hands away.
fn directions(job: &mut Job<'_>, axes: &[AxisId]) {
    let share = job.setup.limits().bringup_first_current_share.value;
    let parts: Vec<Part> = axes.iter().filter_map(|axis| direction(job, *axis)).collect();
    let alone = parts.iter().any(|part| part.ports.len() > 1);
    let mut step = Step::new(
        "directions",
        Phase::Motion,
        Needs::Motion,
        "Move each axis a little at low current",
        "The direction was predicted from the order of the coils; it is verified here while nothing can be bent.",
    )
    .hazard("Moving parts: fingers, hair and tools away. Keep one hand on the power switch.")
    .parts(parts)
    .act("Check that each axis is at mid-travel and the filament is out. Allow cold moves for this step; forbid them again after it.")
    .act(format!(
        "Set {share} of the working current. Move each axis by +10 mm, then by -10 mm, slowly."
    ));
    if alone {
        step = step.hazard("Never plug or unplug a motor under power.");
    }
    let step = job
        .following(step, super::crossed::ID)
        .otherwise(if job.has(super::crossed::ID) {
            "moves the other way or along another axis: X and Y by the rows of the step `crossed-belts`. Others: invert the direction setting"
        } else {
            "moves the other way: invert the direction setting, not the plug. Another axis moves: two motor plugs are interchanged; switch off and move them back"
        })
        .otherwise("buzzes or jerks without moving: the phases do not each meet one coil")
        .otherwise("moves by half, double or another amount: microsteps or steps per length")
        .takes(3, 2);
    let step = job.power_gate(step);
    job.push_parted(step);
}

fn direction(job: &Job<'_>, axis: AxisId) -> Option<Part> {
    let on_axis =
        |pair: &plan::Pair<'_>| matches!(&pair.device().detail, Detail::Motor(motor) if motor.axis == axis);
    let motors: Vec<_> = job.setup.pairs().filter(on_axis).collect();
    if motors.is_empty() {
        return None;
    }
    let name = job.setup.swap.machine.axis(axis).name.value.clone();
    let extruder = matches!(job.setup.swap.machine.axis(axis).drive, Drive::Extruder { .. });
    let drivers = motors.iter().filter(|pair| !pair.way.second).count();
    let motion = if extruder {
        "turns in the direction that feeds towards the nozzle"
    } else {
        "moves smoothly, by 10 mm, in its positive direction"
    };
    let mut part = Part::new(format!("direction:{name}"), name.clone());
    if drivers > 1 {
        part = part.act("a driver for each motor: two that turn against each other bend the axis. With the supply off, loosen their couplings, or leave one plugged in at a time; try each by itself");
    }
    part = part.expect(Expected::seen(format!("{name} at +10 mm"), motion));
    for pair in &motors {
        let Some(change) = pair.facts().direction() else {
            continue;
        };
        let turned = if change.new == change.old {
            "stays"
        } else {
            "is inverted"
        };
        let words = format!("the direction setting {turned} ({})", change.new);
        part = part.expect(Expected::seen(
            format!("predicted for {}", pair.device().tag),
            words,
        ));
    }
    if motors.len() > 1 {
        part = part.expect(Expected::seen(
            "its motors",
            "each turns the right way by itself, before they move together",
        ));
    }
    for pair in &motors {
        part = part.at(pair).setting(format!("direction:{}", pair.device().tag));
        part = job.part_following(part, &format!("current:{}", pair.device().tag));
    }
    if !extruder {
        part = part.setting(format!("steps-per-length:{name}"));
    }
    Some(part)
}

/// The threshold of each axis that homes by stall detection: without it the first search strikes the end or never starts.
fn thresholds(job: &mut Job<'_>, axes: &[AxisId]) {
    let parts = axes.iter().filter_map(|axis| {
        let name = &job.setup.swap.machine.axis(*axis).name.value;
        let probe = is_z(job, *axis) && !job.of_kind(DeviceKind::BedProbe).is_empty();
        let by_stall =
            !probe && settings::homes_by_load(&job.setup, *axis) && job.has(&format!("direction:{name}"));
        by_stall.then(|| {
            Part::new(format!("threshold:{name}"), name.clone())
                .expect(Expected::seen(
                    "ten searches",
                    "stop at the end each time, and never before it",
                ))
                .setting(format!("homing-threshold:{name}"))
                .setting(format!("homing-speed:{name}"))
                .after(format!("direction:{name}"))
        })
    });
    let step = Step::new(
        "thresholds",
        Phase::Motion,
        Needs::Motion,
        "Find the stall threshold of each axis",
        "Too sensitive, and the axis stops before its end; too insensitive, and it strikes the end stop.",
    )
    .parts(parts)
    .hazard("The axis may strike its end stop: one hand on the power switch all the time, low current first.")
    .act("Move the axis to mid-travel. Begin at the most sensitive threshold, at the homing speed of the settings.")
    .act("Reduce the sensitivity step by step until the axis reaches the end stop and stops. Record the value.")
    .act("Continue until it no longer stops; cut the power at once. Record that value.")
    .act("Set the midpoint. Home ten times from mid-travel.")
    .otherwise("no value works: too slow for the back-EMF; home faster, or keep a limit switch")
    .otherwise("the stops scatter: the mechanics bind, or the current is too low")
    .takes(2, 10);
    let step = job.power_gate(step);
    job.push_parted(step);
}

/// Homing of these axes, where each has a way to find its end.
fn home(job: &mut Job<'_>, axes: &[AxisId]) {
    let parts: Vec<Part> = axes.iter().filter_map(|axis| home_part(job, *axis)).collect();
    let z = axes.iter().any(|axis| is_z(job, *axis));
    let names: Vec<&str> = parts.iter().map(|part| part.what.as_str()).collect();
    let mut step = Step::new(
        "homing",
        Phase::Motion,
        Needs::Motion,
        format!("Home {}", names.join(", ")),
        "The first homing move is watched, slow, and stopped by hand before it can do harm.",
    )
    .hazard("The axis drives into its end if that is not detected: one hand on the power switch all the time.")
    .parts(parts)
    .act("Take the rows in order, Z last. Move the axis to mid-travel, screws turned evenly. Start homing and stop it as the table says, before the axis gets to its end.")
    .act("Then let it home by itself, three times.")
    .otherwise("it runs on: switch off. By switch, it belongs to another axis or end. By stall, set it more sensitive and find the threshold again")
    .otherwise("it moves away from its end: the homing direction is set wrongly")
    .takes(2, 4);
    if z {
        step = step.hazard(
            "The nozzle can be driven into the bed: a sheet of card between them, one hand on the power switch.",
        );
    }
    job.push_parted(step);
}

fn home_part(job: &Job<'_>, axis: AxisId) -> Option<Part> {
    let name = job.setup.swap.machine.axis(axis).name.value.clone();
    let tags = |kind, own: &dyn Fn(&Detail) -> bool| -> Vec<String> {
        let pairs = job.of_kind(kind).into_iter();
        let own = pairs.filter(|pair| own(&pair.device().detail));
        own.map(|pair| pair.device().tag.value.clone()).collect()
    };
    let switches = tags(
        DeviceKind::LimitSwitch,
        &|detail| matches!(detail, Detail::LimitSwitch { axis: own, .. } if *own == axis),
    );
    let probes = tags(DeviceKind::BedProbe, &|_| true);
    let load = settings::homes_by_load(&job.setup, axis);
    let z = is_z(job, axis);
    let by_probe = z && !probes.is_empty();
    // An axis none of whose motors is connected does not home.
    let moves = job.has(&format!("direction:{name}"));
    if !moves || (switches.is_empty() && !load && !by_probe) {
        return None;
    }
    let load = load && !by_probe;
    let (todo, what) = if by_probe {
        (
            "by probe: at least 50 mm above the bed, at half speed; trigger the probe by hand",
            format!("{name} when the probe is triggered by hand"),
        )
    } else if load {
        (
            "by stall: at the speed of the threshold test. Hold a block of soft wood in its way, from outside the machine",
            format!("{name} when it meets the block"),
        )
    } else {
        (
            "by switch: at half speed; operate the switch by hand",
            format!("{name} when its switch is operated by hand"),
        )
    };
    let part = Part::new(format!("home:{name}"), name.clone())
        .act(todo)
        .expect(Expected::seen(what, "stops at once and backs off"))
        .expect(Expected::seen("place where it stops", "the same each time"))
        .setting(format!("homing-end:{name}"))
        .after(format!("direction:{name}"));
    let mut part = job.part_following(part, &format!("threshold:{name}"));
    for tag in &switches {
        part = job.part_following(part, &format!("switch:{tag}")).tag(tag);
    }
    // The first homing of any axis comes after every switch was operated by hand: cables may be interchanged.
    for id in job.all("switch:") {
        if !part.after.contains(&id) {
            part = part.after(id);
        }
    }
    // Nothing homes on the bed before the probe was tried by hand. X and Y are rows above: they stand where the bed is.
    if z {
        for tag in &probes {
            part = job.part_following(part, &format!("probe:{tag}")).tag(tag);
        }
    }
    Some(part)
}

//! Motors: current first, then direction at low current, then homing one axis at a time.

use model::DeviceKind;
use model::board::CurrentLaw;
use model::machine::{AxisId, Detail, Drive};
use quantity::si::ElectricCurrent;
use quantity::{Value, si};
use settings::{Setting, Topic};

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    for pair in job.motors() {
        if !pair.way.second {
            current(job, &pair);
        }
    }
    let mut axes: Vec<AxisId> = (0..job.setup.swap.machine.axes.len()).map(AxisId).collect();
    super::crossed::steps(job);
    for axis in &axes {
        direction(job, *axis);
    }
    // Z last, whatever the order of the file: nozzle and probe must be over the bed by then.
    axes.sort_by_key(|axis| is_z(job, *axis));
    for axis in &axes {
        threshold(job, *axis);
        home(job, *axis);
    }
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

/// The current of each driver, before its motor is plugged in or moved.
fn current(job: &mut Job<'_>, pair: &plan::Pair<'_>) {
    let Some(driver) = pair.driver() else { return };
    let tag = &pair.device().tag.value;
    let of = |topic| {
        job.settings
            .settings
            .iter()
            .find(|setting| is_of(setting, topic, tag, job.axis_name(pair)))
            .cloned()
    };
    let mut step = Step::new(
        format!("current:{tag}"),
        Phase::Motion,
        Needs::Power,
        format!("Set the current of {} for {}", driver.name, pair.device_name()),
        "Too little loses steps, too much overheats driver and motor. It is set before the motor turns.",
    )
    .at(pair)
    .after(format!("coils:{tag}"));
    step = match driver.law {
        CurrentLaw::Levels { .. } => {
            let setting = of(Topic::MotorCurrent);
            let value = setting
                .as_ref()
                .and_then(|setting| setting.new.as_ref()?.any()?.typed::<ElectricCurrent>());
            let words = setting
                .as_ref()
                .and_then(Setting::new_text)
                .unwrap_or_else(|| "as in the settings".to_owned());
            let step = step.act(format!(
                "Tell the controller the current of {} ({words}), and read it back.",
                driver.name
            ));
            let what = "current that the controller reports, effective";
            let step = match value {
                // Controllers report whole milliamperes.
                Some(value) => {
                    let (told, half) = (value.nominal(), si::milliampere(0.5));
                    step.expect(Expected::between(
                        what,
                        Value::between(told - half, told, told + half),
                    ))
                }
                None => step.expect(Expected::seen(what, words)),
            };
            let step = step
                .otherwise("another number: the controller counts the peak, which is 1.414 times the effective value")
                .otherwise("the driver does not answer: its bus, its jumpers, its pin in the build");
            setting
                .iter()
                .fold(step, |step, setting| step.setting(&*setting.id))
        }
        CurrentLaw::SenseResistor { .. } | CurrentLaw::PerAmpere { .. } => {
            let setting = of(Topic::DriverReference);
            let step = step
                .hazard("A tip that slips shorts a driver: insulate all but its point, black tip fixed.")
                .act(format!(
                    "With power and without motor, measure between the trimmer of {} and -, and turn it.",
                    driver.name
                ));
            match setting
                .as_ref()
                .and_then(|setting| Some((setting, setting.new.as_ref()?.any()?)))
            {
                Some((setting, value)) => match value.typed::<si::ElectricPotential>() {
                    Some(voltage) => {
                        let expected =
                            job.metered_voltage(&format!("reference voltage of {}", driver.name), voltage);
                        step.expect(setting.working.iter().cloned().fold(expected, Expected::working))
                            .setting(&*setting.id)
                    }
                    None => step,
                },
                None => step,
            }
        }
    };
    let mut step = step.act(format!("Switch off, wait, plug {tag} into {}.", pair.port_name()));
    let port = pair.port();
    for other in job
        .setup
        .pairs()
        .filter(|other| other.way.second && other.port().kind == port.kind)
    {
        let other_tag = &other.device().tag.value;
        step = step
            .act(format!(
                "Plug {other_tag} into {} too: both motors hang on this driver.",
                other.port_name()
            ))
            .at(&other)
            .after(format!("coils:{other_tag}"));
    }
    if let Some(empty) = bridged(job, pair) {
        step = step
            .act(format!(
                "Put the bridge plug into {empty}: {} joins its sockets in series, and nothing flows through an empty one.",
                driver.name
            ))
            .otherwise(format!("the motor stays loose and cold: the bridge plug of {empty} is missing"));
    }
    let step = step.hazard("Never plug or unplug a motor under power: it destroys the driver.");
    let step = job.power_gate(step);
    job.push(step);
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
fn direction(job: &mut Job<'_>, axis: AxisId) {
    let motors: Vec<_> = job
        .setup
        .pairs()
        .filter(|pair| matches!(&pair.device().detail, Detail::Motor(motor) if motor.axis == axis))
        .collect();
    if motors.is_empty() {
        return;
    }
    let name = job.setup.swap.machine.axis(axis).name.value.clone();
    let predicted: Vec<String> = motors
        .iter()
        .filter_map(|pair| {
            let change = pair.facts().direction()?;
            let turned = if change.new == change.old {
                "stays"
            } else {
                "turns round"
            };
            Some(format!(
                "{}: the direction setting {turned} ({})",
                pair.device().tag,
                change.new
            ))
        })
        .collect();
    let share = job.setup.limits().bringup_first_current_share.value;
    let machine = &job.setup.swap.machine;
    let extruder = matches!(machine.axis(axis).drive, Drive::Extruder { .. });
    let screw = matches!(machine.axis(axis).drive, Drive::Screw { .. });
    let crossed = plan::kinematics::crosses(machine.kinematics, machine.axis(axis));
    let drivers = motors.iter().filter(|pair| !pair.way.second).count();
    let (title, place, motion) = if extruder {
        (
            format!("Turn {name} at low current, without filament"),
            "Take the filament out. Allow a cold move for this step, and forbid it again after it."
                .to_owned(),
            "turns in the direction that feeds towards the nozzle",
        )
    } else if screw {
        (
            format!("Move {name} a little at low current"),
            format!(
                "Turn the screws of {name} by hand to the middle of its travel, power off, slowly, all by the same number of turns. Then power on."
            ),
            "moves smoothly, by 10 mm, in its positive direction",
        )
    } else {
        (
            format!("Move {name} a little at low current"),
            format!(
                "Push {name} to the middle of its travel by hand, power off, slowly: a motor that is turned fast feeds the board. Then power on."
            ),
            "moves smoothly, by 10 mm, in its positive direction",
        )
    };
    let mut step = Step::new(
        format!("direction:{name}"),
        Phase::Motion,
        Needs::Motion,
        title,
        "The direction was predicted from the order of the coils; it is proved here while nothing can be bent.",
    )
    .hazard("Moving parts: fingers, hair and tools away. Keep a hand at the switch.")
    .act(place);
    if drivers > 1 {
        step = step
            .act("Its motors have a driver each: two that turn against each other bend the axis. With the supply off, loosen their couplings, or leave one plugged in at a time, and try each by itself.")
            .hazard("Never plug or unplug a motor under power.");
    }
    step = step
        .act(format!(
            "Set {share} of the working current. Move {name} by +10 mm, then by -10 mm, slowly."
        ))
        .expect(Expected::seen(format!("{name} at +10 mm"), motion));
    for words in predicted {
        step = step.expect(Expected::seen("predicted", words));
    }
    if motors.len() > 1 {
        step = step.expect(Expected::seen(
            "its motors",
            "each turns the right way by itself, before they move together",
        ));
    }
    step = if crossed {
        job.following(step, super::crossed::ID).otherwise(format!(
            "moves the other way or along another axis: go back to the rows of the step `{}`",
            super::crossed::ID
        ))
    } else {
        step.otherwise("moves the other way: turn the direction setting round, not the plug")
            .otherwise("another axis moves: two motor plugs are exchanged; switch off and exchange them back")
    };
    step = step
        .otherwise("buzzes or jerks without moving: the phases do not each meet one coil")
        .otherwise("moves by half, double or another amount: microsteps or steps per length");
    for pair in &motors {
        step = step.at(pair).setting(format!("direction:{}", pair.device().tag));
        step = job.following(step, &format!("current:{}", pair.device().tag));
    }
    if !extruder {
        step = step.setting(format!("steps-per-length:{name}"));
    }
    let step = job.power_gate(step);
    job.push(step);
}

/// The threshold of an axis that finds its end by its load: without it the first search hammers or never starts.
fn threshold(job: &mut Job<'_>, axis: AxisId) {
    let name = job.setup.swap.machine.axis(axis).name.value.clone();
    let probe = is_z(job, axis) && !job.of_kind(DeviceKind::BedProbe).is_empty();
    if probe || !settings::homes_by_load(&job.setup, axis) || !job.has(&format!("direction:{name}")) {
        return;
    }
    let step = Step::new(
        format!("threshold:{name}"),
        Phase::Motion,
        Needs::Motion,
        format!("Sweep the threshold at which {name} feels its end"),
        "Too sensitive, and the axis stops before its end; too dull, and it hammers against it.",
    )
    .hazard("The axis may hammer against its end: hand at the switch-off all the time, low current first.")
    .act(format!("Bring {name} to the middle of its travel. Begin at the most sensitive threshold, at the homing speed of the settings."))
    .act("Go duller step by step until it reaches its end and stops there; note that value. Go on until it no longer stops, switch off at once, note that one too.")
    .act("Take the middle of the two, and search ten times from the middle of the travel.")
    .expect(Expected::seen("ten searches", "stop at the end each time, and never before it"))
    .otherwise("no value works: too slow for the back-EMF; home faster, or keep a limit switch")
    .otherwise("the stops scatter: the mechanics bind, or the current is too low")
    .setting(format!("homing-threshold:{name}"))
    .setting(format!("homing-speed:{name}"))
    .after(format!("direction:{name}"));
    let step = job.power_gate(step);
    job.push(step);
}

/// Homing, where the axis has a way to find its end.
fn home(job: &mut Job<'_>, axis: AxisId) {
    let machine = &job.setup.swap.machine;
    let name = machine.axis(axis).name.value.clone();
    let switches: Vec<String> = job
        .of_kind(DeviceKind::LimitSwitch)
        .iter()
        .filter(|pair| matches!(&pair.device().detail, Detail::LimitSwitch { axis: own, .. } if *own == axis))
        .map(|pair| pair.device().tag.value.clone())
        .collect();
    let load = settings::homes_by_load(&job.setup, axis);
    let probes: Vec<String> = job
        .of_kind(DeviceKind::BedProbe)
        .iter()
        .map(|pair| pair.device().tag.value.clone())
        .collect();
    let by_probe = name.eq_ignore_ascii_case("Z") && !probes.is_empty();
    // An axis none of whose motors is connected does not home.
    let moves = job.has(&format!("direction:{name}"));
    if !moves || (switches.is_empty() && !load && !by_probe) {
        return;
    }
    let load = load && !by_probe;
    let middle = if matches!(machine.axis(axis).drive, Drive::Screw { .. }) {
        format!("Bring {name} to the middle of its travel, its screws turned evenly")
    } else {
        format!("Bring {name} to the middle of its travel")
    };
    let by = if by_probe {
        "its probe"
    } else if load {
        "measuring the load"
    } else {
        "its switch"
    };
    let trial = if by_probe {
        format!(
            "{middle}, at least 50 mm above the bed. Start the search at half speed, and trigger the probe by hand before it gets there."
        )
    } else if load {
        format!(
            "{middle}. Start the search at the speed that was swept, and hold a block of soft wood in its way, from outside the machine."
        )
    } else {
        format!(
            "{middle}. Start the search at half speed, and work the switch by hand before the axis reaches it."
        )
    };
    let mut step = Step::new(
        format!("home:{name}"),
        Phase::Motion,
        Needs::Motion,
        format!("Let {name} look for its end by {by}"),
        "The first search is watched, slow, and stopped by hand before it can do harm.",
    )
    .hazard(if load {
        "The axis drives into its end if the stall is not detected: hand at the switch-off all the time."
    } else {
        "The axis drives into its end if the switch is not seen: hand at the switch-off all the time."
    })
    .act(trial)
    .expect(Expected::seen(
        if load {
            format!("{name} when it meets the block")
        } else {
            format!("{name} when its end is signalled by hand")
        },
        "stops at once and backs off",
    ))
    .act("Then let it find its end by itself, three times.")
    .expect(Expected::seen("place where it stops", "the same each time"))
    .otherwise(if load {
        "it runs on: switch off; set the driver more sensitive, and look for the threshold again"
    } else {
        "it runs on: switch off; the switch belongs to another axis or end"
    })
    .otherwise("it moves away from its end: the direction of searching is set wrongly")
    .after(format!("direction:{name}"));
    step = job
        .following(step, &format!("threshold:{name}"))
        .setting(format!("homing-end:{name}"));
    for tag in &switches {
        step = job.following(step, &format!("switch:{tag}")).tag(tag);
    }
    // The first search of any axis comes after every switch was worked by hand: leads may be exchanged.
    for id in job.all("switch:") {
        step = step.after(id);
    }
    // Nothing searches the bed before the probe was tried by hand, and X and Y stand where the bed is.
    if name.eq_ignore_ascii_case("Z") {
        for tag in &probes {
            step = job.following(step, &format!("probe:{tag}")).tag(tag);
        }
        for other in ["home:X", "home:Y"] {
            step = job.following(step, other);
        }
        step = step.hazard(
            "The nozzle can be driven into the bed: a sheet of card between them, hand at the switch-off.",
        );
    }
    job.push(step);
}

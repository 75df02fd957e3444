//! Motors: current first, then direction at low current, then homing one axis at a time.

use model::DeviceKind;
use model::board::CurrentLaw;
use model::machine::{AxisId, Detail};
use quantity::si;
use settings::{Setting, Topic};

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    for pair in job.motors() {
        if !pair.way.second {
            current(job, &pair);
        }
    }
    let axes: Vec<AxisId> = (0..job.setup.swap.machine.axes.len()).map(AxisId).collect();
    for axis in &axes {
        direction(job, *axis);
    }
    for axis in &axes {
        home(job, *axis);
    }
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
    .tag(tag)
    .after(format!("coils:{tag}"));
    step = match driver.law {
        CurrentLaw::Levels { .. } => {
            let setting = of(Topic::MotorCurrent);
            let words = setting
                .as_ref()
                .and_then(Setting::new_text)
                .unwrap_or_else(|| "as in the settings".to_owned());
            step.act(format!(
                "Tell the controller the current of {} ({words}), and read it back.",
                driver.name
            ))
            .expect(Expected::seen("current that the controller reports", words))
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
                            Expected::between(format!("reference voltage of {}", driver.name), voltage);
                        step.expect(setting.working.iter().cloned().fold(expected, Expected::working))
                    }
                    None => step,
                },
                None => step,
            }
        }
    };
    let step = step
        .act(format!("Switch off, wait, plug {tag} into {}.", pair.port_name()))
        .hazard("Never plug or unplug a motor under power: it destroys the driver.");
    let step = job.power_gate(step);
    job.push(step);
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
            let change = plan::changes::new_direction(pair)?;
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
    let mut step = Step::new(
        format!("direction:{name}"),
        Phase::Motion,
        Needs::Motion,
        format!("Move {name} by hand's breadth at low current"),
        "The direction was predicted from the order of the coils; it is proved here while nothing can be bent.",
    )
    .hazard("Moving parts: fingers, hair and tools away. Keep a hand at the switch.")
    .act(format!("Push {name} to the middle of its travel by hand, power off; then power on."))
    .act(format!("Set {share} of the working current. Move {name} by +10 mm, then by -10 mm, slowly."))
    .expect(Expected::seen(format!("{name} at +10 mm"), "moves smoothly, by 10 mm, in its positive direction"));
    for words in predicted {
        step = step.expect(Expected::seen("predicted", words));
    }
    if motors.len() > 1 {
        step = step.expect(Expected::seen("its motors", "all turn the same way"));
    }
    step = step
        .otherwise("moves the other way: turn the direction setting round, not the plug")
        .otherwise("buzzes or jerks without moving: the phases do not each meet one coil")
        .otherwise("moves by half, double or another amount: microsteps or steps per length");
    for pair in &motors {
        step = step.tag(&pair.device().tag.value);
        step = job.following(step, &format!("current:{}", pair.device().tag));
    }
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
    if switches.is_empty() && !load && !by_probe {
        return;
    }
    let by = if by_probe {
        "its probe"
    } else if load {
        "measuring the load"
    } else {
        "its switch"
    };
    let mut step = Step::new(
        format!("home:{name}"),
        Phase::Motion,
        Needs::Motion,
        format!("Let {name} look for its end by {by}"),
        "The first search is watched, slow, and stopped by hand before it can do harm.",
    )
    .hazard("The axis drives into its end if the switch is not seen: hand at the switch-off all the time.")
    .act(format!("Bring {name} to the middle of its travel. Start the search, and work the switch by hand before the axis reaches it."))
    .expect(Expected::seen(format!("{name} when its end is signalled by hand"), "stops at once and backs off"))
    .act("Then let it find its end by itself, three times.")
    .expect(Expected::seen("place where it stops", "the same each time"))
    .otherwise("it runs on: switch off; the switch belongs to another axis or end")
    .otherwise("it moves away from its switch: the direction of searching is set wrongly")
    .after(format!("direction:{name}"));
    for tag in &switches {
        step = job.following(step, &format!("switch:{tag}")).tag(tag);
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

//! What must come before what, for every board of both examples, and the numbers that steps expect.

use bringup::{Needs, Reading, Step};
use model::Swap;

fn example(name: &str) -> Swap {
    model::load(&samples::example(name)).unwrap_or_else(|faults| panic!("{:?}", faults.faults))
}

fn each(check: impl Fn(&str, &[Step])) {
    for name in ["demo", "second"] {
        let swap = example(name);
        for board in &swap.candidates {
            let plan = plan::plan(&swap, board);
            let settings = settings::settings(&plan.setup());
            check(&board.name.value, &bringup::steps(&plan, &settings));
        }
    }
}

/// The place of a step, or of the step that a part belongs to.
fn place(steps: &[Step], id: &str) -> Option<usize> {
    steps.iter().position(|step| ids(step).any(|own| own == id))
}

/// The identifiers of a step and of its parts.
fn ids(step: &Step) -> impl Iterator<Item = &str> {
    let parts = step.parts.iter().map(|part| part.id.as_str());
    core::iter::once(step.id.as_str()).chain(parts)
}

/// Whether a step, or a part of it, begins so.
fn begins(step: &Step, beginning: &str) -> bool {
    ids(step).any(|id| id.starts_with(beginning))
}

/// A part by its identifier.
fn part<'s>(steps: &'s [Step], id: &str) -> &'s bringup::Part {
    let mut parts = steps.iter().flat_map(|step| &step.parts);
    parts.find(|part| part.id == id).unwrap_or_else(|| panic!("there is no {id}"))
}

#[test]
fn identifiers_are_unique_and_what_comes_before_stands_before() {
    each(|board, steps| {
        for (at, step) in steps.iter().enumerate() {
            assert_eq!(
                place(steps, &step.id),
                Some(at),
                "{board}: {} stands twice",
                step.id
            );
            for part in &step.parts {
                assert_eq!(place(steps, &part.id), Some(at), "{board}: {} stands twice", part.id);
                for before in &part.after {
                    assert!(step.after.contains(before), "{board}: {} drops {before}", part.id);
                }
                assert!(
                    !part.actions.is_empty() || !part.expected.is_empty(),
                    "{board}: {} says nothing",
                    part.id
                );
            }
            for before in &step.after {
                let earlier = place(steps, before).unwrap_or_else(|| {
                    panic!("{board}: {} comes after {before}, which is not there", step.id)
                });
                assert!(earlier < at, "{board}: {} stands before {before}", step.id);
            }
            let reads = !step.expected.is_empty() || !step.parts.is_empty();
            assert!(
                !step.actions.is_empty() && reads,
                "{board}: {} says nothing",
                step.id
            );
            assert!(step.minutes > 0, "{board}: {} takes no time", step.id);
        }
    });
}

#[test]
fn phases_follow_each_other() {
    each(|board, steps| {
        assert!(steps.is_sorted_by_key(|step| step.phase), "{board}");
    });
}

/// The order that keeps people and boards whole; common practice, no source.
#[test]
fn nothing_dangerous_comes_before_what_makes_it_safe() {
    each(|board, steps| {
        let last = |beginning: &str| steps.iter().rposition(|step| begins(step, beginning));
        let first = |needs: Needs| steps.iter().position(|step| step.needs == needs);
        let power = first(Needs::Power).unwrap();
        for beginning in [
            "unplug",
            "protective-earth",
            "resistance:",
            "coils:",
            "insulation",
            "shorts",
            "poles:",
            "contact:",
            "fuse",
            "jumper:",
        ] {
            assert!(
                last(beginning).is_none_or(|at| at < power),
                "{board}: power before {beginning}"
            );
        }
        let heat = first(Needs::Heat).unwrap();
        assert!(
            last("ambient:").is_some() && last("power-board").is_some(),
            "{board}"
        );
        for beginning in [
            "power-board",
            "ambient:",
            "thermometers-agree",
            "thermometer-open",
            "fan:",
            "heater-off:",
            "protection:",
            "image",
            "settings-told",
        ] {
            assert!(
                last(beginning).is_none_or(|at| at < heat),
                "{board}: heat before {beginning}"
            );
        }
        let motion = first(Needs::Motion).unwrap();
        assert!(
            last("current:").is_some_and(|at| at < motion),
            "{board}: motion before currents"
        );
        let home = steps.iter().position(|step| begins(step, "home:"));
        if let Some(home) = home {
            for beginning in ["switch:", "probe:", "direction:"] {
                assert!(
                    last(beginning).is_none_or(|at| at < home),
                    "{board}: homing before {beginning}"
                );
            }
        }
        if let (Some(z), Some(probe)) = (place(steps, "home:Z"), last("probe:")) {
            assert!(probe < z, "{board}: Z before the probe");
        }
        if let Some(z) = place(steps, "home:Z") {
            assert_eq!(last("home:"), Some(z), "{board}: Z is searched last");
        }
        for part in steps.iter().flat_map(|step| &step.parts) {
            if let Some(tag) = part.id.strip_prefix("working:") {
                let lost = format!("thermometer-lost:{tag}");
                assert!(part.after.contains(&lost), "{board}: work before {lost}");
            }
        }
    });
}

/// The file may name the axes in any order: Z is still searched last, and after X and Y.
#[test]
fn z_is_searched_last_whatever_the_order_of_the_file() {
    let mut swap = example("demo");
    let z = swap
        .machine
        .axes
        .iter()
        .position(|axis| axis.name.value == "Z")
        .unwrap();
    let last = swap.machine.axes.len() - 1;
    swap.machine.axes.swap(z, 0);
    // Devices name their axis by its place.
    for device in &mut swap.machine.devices {
        let axis = match &mut device.detail {
            model::machine::Detail::Motor(motor) => &mut motor.axis,
            model::machine::Detail::LimitSwitch { axis, .. } => axis,
            _ => continue,
        };
        axis.0 = match axis.0 {
            place if place == z => 0,
            0 => z,
            other => other,
        };
    }
    assert!(last > 0);
    let plan = plan::plan(&swap, &swap.candidates[0]);
    let settings = settings::settings(&plan.setup());
    let steps = bringup::steps(&plan, &settings);
    let home: Vec<&str> = steps
        .iter()
        .flat_map(ids)
        .filter(|id| id.starts_with("home:"))
        .collect();
    assert_eq!(home.last(), Some(&"home:Z"), "{home:?}");
}

/// Settings, ports and sources that steps name are there.
#[test]
fn what_steps_name_exists() {
    for name in ["demo", "second"] {
        let swap = example(name);
        for board in &swap.candidates {
            let plan = plan::plan(&swap, board);
            let settings = settings::settings(&plan.setup());
            for step in bringup::steps(&plan, &settings) {
                for id in &step.settings {
                    assert!(
                        settings.named(id).is_some(),
                        "{}: {} names {id}",
                        board.name,
                        step.id
                    );
                }
                for port in &step.ports {
                    assert!(
                        board.port_named(port).is_some(),
                        "{}: {} names {port}",
                        board.name,
                        step.id
                    );
                }
                let source = catalogue::built_in().sources().get(step.source);
                assert!(source.is_some(), "{}: {}", step.id, step.source);
            }
        }
    }
}

/// Every connected motor is plugged in at some step, also the second one on a driver.
#[test]
fn every_motor_is_plugged_in() {
    for name in ["demo", "second"] {
        let swap = example(name);
        for board in &swap.candidates {
            let plan = plan::plan(&swap, board);
            let settings = settings::settings(&plan.setup());
            let steps = bringup::steps(&plan, &settings);
            for pair in plan.setup().pairs() {
                let tag = &pair.device().tag.value;
                if pair.driver().is_some() {
                    let mut parts = steps.iter().flat_map(|step| &step.parts);
                    let plugged = parts
                        .any(|part| part.id.starts_with("current:") && part.tags.contains(tag));
                    assert!(plugged, "{}: {tag}", board.name);
                }
            }
        }
    }
}

/// The hot end's thermometer is published to 250 °C: with 20 K of headroom nothing above 230 °C is asked of it.
#[test]
fn the_work_heat_keeps_clear_of_the_highest_temperature() {
    let mut swap = example("demo");
    // Asked for to the very end of the table, whatever the example asks for today.
    for device in &mut swap.machine.devices {
        if let model::machine::Detail::Heater(heater) = &mut device.detail
            && heater.zone == model::Zone::HotEnd
        {
            heater.working_temperature.value = quantity::Value::exact(quantity::si::celsius(250.0));
        }
    }
    let plan = plan::plan(&swap, &swap.candidates[0]);
    let settings = settings::settings(&plan.setup());
    let steps = bringup::steps(&plan, &settings);
    let part = part(&steps, "working:H1");
    assert!(part.actions[0].starts_with("set 230 °C"), "{:?}", part.actions);
}

#[test]
fn steps_with_power_ask_for_confirmation_and_steps_that_can_hurt_say_so() {
    each(|board, steps| {
        for step in steps {
            assert_eq!(
                step.needs_confirmation(),
                step.needs != Needs::Unplugged,
                "{board}: {}",
                step.id
            );
            if step.needs >= Needs::Motion {
                assert!(step.hazard.is_some(), "{board}: {} has no caution", step.id);
            }
        }
    });
}

#[test]
fn only_what_is_connected_gets_a_step() {
    let swap = example("demo");
    for board in &swap.candidates {
        let plan = plan::plan(&swap, board);
        let settings = settings::settings(&plan.setup());
        let steps = bringup::steps(&plan, &settings);
        for (id, device) in swap.machine.device_ids() {
            let connected = plan.ways[id.0].is_some();
            let named = steps
                .iter()
                .any(|step| step.id != "harness" && step.tags.contains(&device.tag.value));
            assert_eq!(connected, named, "{}: {}", board.name, device.tag);
        }
    }
}

/// 24 V and 48 W are 12 Ω (IEC 80000-6); the NTC of the example has 100 kΩ at 25 °C (glass-ntc-tables) and so
/// about 113 kΩ at 22 °C: ln(R) falls by 4.4 % per kelvin there.
#[test]
fn expected_readings_hold_the_nominal_values() {
    let swap = example("demo");
    let plan = plan::plan(&swap, &swap.candidates[0]);
    let settings = settings::settings(&plan.setup());
    let steps = bringup::steps(&plan, &settings);
    let between = |id: &str| {
        part(&steps, id)
            .expected
            .iter()
            .find_map(|expected| match &expected.reading {
                Reading::Between(value) => Some(*value),
                _ => None,
            })
            .unwrap()
    };
    let heater = between("resistance:H1");
    assert!(
        heater.low < 12.0 && 12.0 < heater.high && heater.high < 15.5,
        "{heater}"
    );
    let thermometer = between("resistance:T1");
    assert!(
        thermometer.low < 113e3 && 113e3 < thermometer.high,
        "{thermometer}"
    );
    assert!(
        thermometer.low > 80e3 && thermometer.high < 160e3,
        "{thermometer}"
    );
}

/// The bench asks for no more than it must: the demonstration, as large as it is, on its best boards.
#[test]
fn equal_work_is_one_step_and_the_power_is_switched_off_seldom() {
    each(|board, steps| {
        let totals = bringup::Totals::of(steps);
        assert!(totals.steps <= 45, "{board}: {totals:?}");
        assert!(totals.switch_offs <= 20, "{board}: {totals:?}");
    });
}

/// What was a step of its own is a part with its own identifier and readings: one for each device, jumper and axis.
#[test]
fn nothing_is_dropped_where_steps_are_one() {
    let swap = example("demo");
    for board in &swap.candidates {
        let plan = plan::plan(&swap, board);
        let settings = settings::settings(&plan.setup());
        let steps = bringup::steps(&plan, &settings);
        for pair in plan.setup().pairs() {
            let tag = &pair.device().tag.value;
            let wanted: &[&str] = match pair.device().kind() {
                model::DeviceKind::Heater => &["resistance", "heater-off", "heat", "thermometer-lost", "working", "control"],
                model::DeviceKind::Thermometer => &["resistance", "ambient", "thermometer-open"],
                model::DeviceKind::Motor => &["coils"],
                model::DeviceKind::Fan => &["fan"],
                model::DeviceKind::LimitSwitch | model::DeviceKind::FilamentSwitch => &["switch"],
                model::DeviceKind::Panel => &["panel"],
                model::DeviceKind::LightStrip => &["lights"],
                model::DeviceKind::BedProbe => &["probe"],
                model::DeviceKind::Supply => &["poles", "supply"],
                model::DeviceKind::Relay => &[],
            };
            for family in wanted {
                let id = format!("{family}:{tag}");
                let at = place(&steps, &id).unwrap_or_else(|| panic!("{}: no {id}", board.name));
                let reads = steps[at].parts.iter().find(|part| part.id == id);
                let reads = reads.map_or(!steps[at].expected.is_empty(), |part| !part.expected.is_empty());
                assert!(reads, "{}: {id} expects nothing", board.name);
            }
        }
    }
}

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

fn place(steps: &[Step], id: &str) -> Option<usize> {
    steps.iter().position(|step| step.id == id)
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
            for before in &step.after {
                let earlier = place(steps, before).unwrap_or_else(|| {
                    panic!("{board}: {} comes after {before}, which is not there", step.id)
                });
                assert!(earlier < at, "{board}: {} stands before {before}", step.id);
            }
            assert!(
                !step.actions.is_empty() && !step.expected.is_empty(),
                "{board}: {} says nothing",
                step.id
            );
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
        let last = |beginning: &str| steps.iter().rposition(|step| step.id.starts_with(beginning));
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
        let home = steps.iter().position(|step| step.id.starts_with("home:"));
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
        for step in steps.iter().filter(|step| step.id.starts_with("working:")) {
            let tag = step.id.trim_start_matches("working:");
            let lost = format!("thermometer-lost:{tag}");
            assert!(step.after.contains(&lost), "{board}: work before {lost}");
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
        .map(|step| step.id.as_str())
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
                    let plugged = steps
                        .iter()
                        .any(|step| step.id.starts_with("current:") && step.tags.contains(tag));
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
    let step = &steps[place(&steps, "working:H1").unwrap()];
    assert!(step.actions[0].starts_with("Set 230 °C"), "{:?}", step.actions);
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
        let step = &steps[place(&steps, id).unwrap()];
        step.expected
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

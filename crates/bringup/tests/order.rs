//! What must come before what, for every board of both examples, and the numbers that steps expect.

use bringup::{Needs, Phase, Reading, Step};
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
    parts
        .find(|part| part.id == id)
        .unwrap_or_else(|| panic!("there is no {id}"))
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
                assert_eq!(
                    place(steps, &part.id),
                    Some(at),
                    "{board}: {} stands twice",
                    part.id
                );
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
        // What runs on the old board comes before all of this.
        let first = |needs: Needs| {
            steps
                .iter()
                .position(|step| step.needs == needs && step.phase != Phase::OldController)
        };
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
                    let plugged =
                        parts.any(|part| part.id.starts_with("current:") && part.tags.contains(tag));
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

/// The bench asks for no more than it must, on each board of the demonstration, as large as it is.
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
                model::DeviceKind::Heater => &[
                    "resistance",
                    "heater-off",
                    "heat",
                    "thermometer-lost",
                    "working",
                    "control",
                ],
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

fn of(swap: &Swap) -> Vec<Step> {
    let plan = plan::plan(swap, &swap.candidates[0]);
    let settings = settings::settings(&plan.setup());
    bringup::steps(&plan, &settings)
}

/// Each heated sensor is compared with an independent thermometer after the first heat, and no part is heated further before.
#[test]
fn each_heated_sensor_is_proved_before_its_part_is_heated_further() {
    each(|board, steps| {
        let count = |beginning: &str| {
            let parts = steps.iter().flat_map(|step| &step.parts);
            parts.filter(|part| part.id.starts_with(beginning)).count()
        };
        assert!(count("reference:") >= count("heat:"), "{board}");
        let references: Vec<usize> = (0..steps.len())
            .filter(|at| begins(&steps[*at], "reference:"))
            .collect();
        for (at, step) in steps.iter().enumerate() {
            if begins(step, "working:") || begins(step, "control:") {
                assert!(references.iter().all(|own| *own < at), "{board}: {}", step.id);
            }
            if begins(step, "heat:") {
                assert!(references.iter().all(|own| *own > at), "{board}: {}", step.id);
            }
        }
    });
}

/// The published tables of two thermistors of 100 kΩ (glass-ntc-tables) agree at 25 °C. At 100 °C the steeper one has 5688 Ω, which the other's table reads
/// as 105.4 °C (5752 Ω at 105 °C); at 230 °C it has 255 Ω, read as 244.3 °C (274 Ω at 240 °C, 252 Ω at 245 °C). The step names that kind.
#[test]
fn a_table_that_agrees_at_room_temperature_is_told_near_100_degrees() {
    let swap = example("demo");
    let steps = of(&swap);
    let step = part(&steps, "reference:T1");
    let most = step.expected.iter().find_map(|expected| match &expected.reading {
        Reading::AtMost(value) => Some(value.nominal),
        _ => None,
    });
    assert!(most.is_some_and(|most| most < 5.4), "{:?}", step.expected);
    let other = step.actions.iter().find(|words| words.contains("glass B4200"));
    let words = other.unwrap_or_else(|| panic!("{:?}", step.actions));
    assert!(
        words.contains("5.4 K too high") && words.contains("14."),
        "{words}"
    );
    assert!(
        step.actions.iter().any(|words| words.contains("100 °C")),
        "{:?}",
        step.actions
    );
}

/// A machine with crossed belts, made of the demo.
fn crossed() -> Vec<Step> {
    let mut swap = example("demo");
    swap.machine.kinematics = model::Kinematics::CrossedBelts;
    of(&swap)
}

/// With a = x + y and b = x − y: a motor A that turns the wrong way makes a = −(x + y), so that +x moves (−1 − 1) / 2 along y and not at all along x
/// (half the sum and half the difference of a and b; algebra). All eight ways to connect two motors have a row.
#[test]
fn crossed_belts_have_a_row_for_each_way_to_connect_two_motors() {
    let steps = crossed();
    let at = place(&steps, "crossed-belts").expect("rows");
    let step = &steps[at];
    for axis in ["direction:X", "direction:Y"] {
        let own = &steps[place(&steps, axis).expect(axis)];
        assert!(own.after.contains(&step.id), "{axis}");
        assert!(
            own.otherwise
                .iter()
                .all(|words| !words.contains("turn the direction setting round")),
            "{axis}"
        );
    }
    let mut seen = Vec::new();
    for exchanged in [false, true] {
        for (first, second) in [(1, 1), (-1, 1), (1, -1), (-1, -1)] {
            let moved = |x: i32, y: i32| {
                let (a, b) = if exchanged { (x - y, x + y) } else { (x + y, x - y) };
                let (a, b) = (a * first, b * second);
                ((a + b) / 2, (a - b) / 2)
            };
            let word = |(x, y): (i32, i32)| match (x, y) {
                (1, 0) => "+X",
                (-1, 0) => "−X",
                (0, 1) => "+Y",
                _ => "−Y",
            };
            let (x, y) = (word(moved(1, 0)), word(moved(0, 1)));
            seen.push((x, y));
            if (exchanged, first, second) == (false, 1, 1) {
                continue;
            }
            let row = format!("X moves {x} and Y moves {y}:");
            let rows: Vec<&String> = step
                .otherwise
                .iter()
                .filter(|words| words.starts_with(&row))
                .collect();
            assert_eq!(rows.len(), 1, "{row}: {:?}", step.otherwise);
            let part = rows[0].as_str();
            assert_eq!(part.contains("exchange"), exchanged, "{part}");
            let (turns_a, turns_b) = (first < 0, second < 0);
            assert_eq!(part.contains("invert"), turns_a || turns_b, "{part}");
            // A row that turns one motor names just that one behind "direction of".
            if turns_a != turns_b {
                let tag = if turns_a { "MX" } else { "MY" };
                assert!(part.contains(&format!("direction of {tag}")), "{part}");
            }
        }
    }
    seen.sort_unstable();
    seen.dedup();
    assert_eq!(seen.len(), 8, "each way shows another pair of moves");
}

/// What only the old controller knows is kept before anything is unplugged, and the old board comes out before the new one goes in.
#[test]
fn the_old_controller_is_asked_first() {
    each(|board, steps| {
        let unplug = place(steps, "unplug").expect("unplug");
        let old: Vec<usize> = (0..steps.len())
            .filter(|at| steps[*at].phase == Phase::OldController)
            .collect();
        assert!(!old.is_empty() && old.iter().all(|at| *at < unplug), "{board}");
        let (out, board_in) = (place(steps, "old-board-out"), place(steps, "board"));
        assert!(out.is_some() && out < board_in, "{board}");
    });
}

/// A supply is measured at pins that exist, before its device is plugged in; rails likewise.
#[test]
fn supplies_are_measured_before_their_device_meets_them() {
    each(|board, steps| {
        let parts = steps.iter().flat_map(|step| &step.parts);
        for part in parts.filter(|part| part.id.starts_with("probe:")) {
            let first = part.expected.first();
            let fed = first.is_some_and(|first| first.what.contains("before it is plugged in, pin "));
            let converter = part.after.iter().any(|id| id.starts_with("converter:"));
            assert!(fed || converter, "{board}: {part:#?}");
        }
        let rails = &steps[place(steps, "power-board").expect("power")];
        for expected in rails
            .expected
            .iter()
            .filter(|expected| expected.what.starts_with("rail "))
        {
            let named = expected.what.contains(", pin ") || matches!(&expected.reading, Reading::Seen(_));
            assert!(named, "{board}: {}", expected.what);
        }
    });
}

/// A second supply is measured alone, then joined to the board with nothing on its rail, then measured under its load.
#[test]
fn a_second_supply_is_joined_before_its_loads_and_measured_under_them() {
    let mut folder = samples::example("demo");
    let mut edit = |file: &str, from: &str, to: &str, more: &str| {
        let text = String::from_utf8(folder[file].clone()).expect("UTF-8");
        assert!(text.contains(from), "{file} without {from}");
        let text = format!("{}\n{more}", text.replacen(from, to, 1));
        folder.insert(file.to_owned(), text.into_bytes());
    };
    edit(
        "boards/birch-b6.toml",
        "[rails.12V]\nsource = \"switching\"",
        "[rails.12V]\nsource = \"external\"",
        "[[port]]\nname = \"P12\"\nrole = \"supply input\"\nconnector = \"screw terminal 5.0 mm\"\npins = [\"+\", \"-\"]\nat = [\"60 mm\", \"70 mm\"]\nrail = \"12V\"\ncurrent = \"5 A\"\n",
    );
    edit(
        "machine.toml",
        "tag = \"PS\"",
        "tag = \"PS\"",
        "[[device]]\ntag = \"P2\"\nname = \"second supply\"\nkind = \"supply\"\nvoltage = \"12 V\"\npower = \"36 W\"\ncable = { connector = \"open wire\", pins = [\"+\", \"-\"], wire = \"18 AWG\", length = \"300 mm\" }\n",
    );
    let swap = model::load(&folder).unwrap_or_else(|faults| panic!("{:?}", faults.faults));
    let board = swap
        .candidates
        .iter()
        .find(|board| board.name.value == "Birch B6")
        .expect("Birch B6");
    let plan = plan::plan(&swap, board);
    let steps = bringup::steps(&plan, &settings::settings(&plan.setup()));
    let order = [
        "supply:P2",
        "power-board",
        "second-supply:P2",
        "second-supply-load:P2",
    ];
    let places: Vec<usize> = order
        .iter()
        .map(|id| place(&steps, id).unwrap_or_else(|| panic!("there is no {id}")))
        .collect();
    assert!(places.is_sorted(), "{places:?}");
    let joined = &steps[places[2]];
    assert_eq!(joined.expected.len(), 3, "common minus twice, and the rail");
    let mut later = plan.setup().pairs().filter(|pair| {
        pair.way
            .rail
            .is_some_and(|rail| board.rail(rail).name.value == "12V")
            && pair.device().tag.value != "P2"
    });
    assert!(later.next().is_some(), "something hangs on the rail");
}

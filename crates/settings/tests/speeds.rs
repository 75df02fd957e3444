//! Speeds and accelerations of the old controller against what holds on the new board.

use model::Swap;
use quantity::AnyValue;
use settings::{Fate, Setting, Settings, Topic};

use crate::support::{CAPTURED, demo, demo_edited, settings_on, told};

const MACHINE: &str = "machine.toml";
const ALDER: &str = "boards/alder-a4.toml";

fn value(setting: &Setting, unit: &str) -> f64 {
    let new = setting.new.as_ref().and_then(settings::SettingValue::any);
    new.and_then(|new: AnyValue| new.number_of(unit))
        .expect("a number")
}

fn find(settings: &Settings, topic: Topic, of: &str) -> Setting {
    settings.find(topic, of).expect("the setting is there").clone()
}

/// Motor X with 1.65 Ω, 3.2 mH and 0.45 N m at 1.5 A, run at 1.5 A peak, on 24 V: at 15 rev/s, which are 600 mm/s, the pull-out torque over the load
/// angle is 0.28019 N m (all angles tried in another language), less a drag of 0.45 N m · 0.8 ms · 94.25 rad/s. Half of it pulls
/// 0.12313 · 2 π · 0.9 / 0.04 = 17.41 N.
const PUBLISHED: [(&str, &str, &str); 11] = [
    (MACHINE, "max_speed = \"180 mm/s\"", "max_speed = \"700 mm/s\""),
    (MACHINE, "voltage = \"24 V ± 2 %\"", "voltage = \"24 V\""),
    (MACHINE, "mass = \"0.55 kg ± 10 %\"\n", ""),
    (
        MACHINE,
        "friction = \"2.5 N ± 40 %\"",
        "friction = \"17.41 N\"\nefficiency = \"0.9\"",
    ),
    (
        MACHINE,
        "resistance = \"1.65 Ω ± 10 %\"",
        "resistance = \"1.65 Ω ± 0.0001 %\"",
    ),
    (
        MACHINE,
        "inductance = \"3.2 mH ± 20 %\"",
        "inductance = \"3.2 mH ± 0.0001 %\"",
    ),
    (
        MACHINE,
        "holding_torque = \"0.42 N m ± 10 %\"",
        "holding_torque = \"0.45 N m\"",
    ),
    (MACHINE, "run_current = \"0.8 A\"", "run_current = \"1.06066 A\""),
    (
        ALDER,
        "current = \"0.05 A .. 1.4 A\"",
        "current = \"0.05 A .. 2 A\"",
    ),
    (
        ALDER,
        "on_resistance = \"0.38 Ω ± 25 %\"",
        "on_resistance = \"0.1 mΩ\"",
    ),
    (CAPTURED, "M203 X180.0", "M203 X700.0"),
];

fn published(more: &[(&str, &str, &str)]) -> Swap {
    let mut edits = PUBLISHED.to_vec();
    edits.extend(more);
    demo_edited(&edits)
}

/// The old board had 36 V, where 700 mm/s held.
#[test]
fn a_top_speed_beyond_the_torque_is_lowered() {
    let swap = published(&[(
        MACHINE,
        "power = \"400 W\"",
        "power = \"400 W\"\nold_voltage = \"36 V\"",
    )]);
    let settings = settings_on(&swap, "Alder");
    let speed = find(&settings, Topic::TopSpeed, "X");
    assert_eq!(speed.fate, Fate::Recomputed, "{}", speed.reason);
    assert_eq!(speed.old_text().as_deref(), Some("700 mm/s"));
    // Two digits, rounded down.
    let new = value(&speed, "mm/s");
    assert!((570.0 - 1e-9..=600.0 + 1e-9).contains(&new), "{new}");
    assert!(speed.reason.contains("reserve of torque") && !speed.working.is_empty());
    // The acceleration is not lowered as well.
    assert_eq!(find(&settings, Topic::Acceleration, "X").fate, Fate::Carried);
}

/// The same on the same supply: the old board gave no more, so the machine ran like that.
#[test]
fn what_gets_no_worse_is_carried_with_a_caution() {
    let settings = settings_on(&published(&[]), "Alder");
    let speed = find(&settings, Topic::TopSpeed, "X");
    assert_eq!((speed.fate, value(&speed, "mm/s")), (Fate::Carried, 700.0));
    assert!(
        speed.caution && speed.reason.contains("the old board gave it no more"),
        "{}",
        speed.reason
    );
}

/// A driver that gives half of the current: `a = (2 π · η · M / h − F) / m` (work, ISO 80000-4), with half of the least torque at 0.4 A.
#[test]
fn an_acceleration_beyond_the_torque_is_lowered_and_those_of_the_machine_with_it() {
    let travel = told(Topic::TravelAcceleration, "machine", 7000.0) + "no more\n";
    let edits = [
        (
            ALDER,
            "current = \"0.05 A .. 1.4 A\"",
            "current = \"0.05 A .. 0.4 A\"",
        ),
        (CAPTURED, "M201 X1500", "M201 X8000"),
        (
            MACHINE,
            "acceleration = \"1500 mm/s²\"",
            "acceleration = \"8000 mm/s²\"",
        ),
        (CAPTURED, "no more\n", &travel),
        (
            MACHINE,
            "friction = \"2.5 N ± 40 %\"",
            "friction = \"2.5 N ± 40 %\"\nefficiency = \"0.9\"",
        ),
    ];
    let settings = settings_on(&demo_edited(&edits), "Alder");
    // The drag of iron and bearings is 0.8 ms of the holding torque at the most, at 4.5 turns a second.
    let drag = 0.42 * 0.9 * 0.8e-3 * 4.5 * 2.0 * core::f64::consts::PI;
    let torque = (0.42 * 0.9 * 0.4 / 1.5 - drag) / 2.0;
    // A usual rotor has 68 g cm² at the most, and stands for J · (2 π / h)².
    let turns = 2.0 * core::f64::consts::PI / 0.04;
    let rotor = 68e-7 * turns * turns;
    let holds = (turns * 0.9 * torque - 2.5 * 1.4) / (0.55 * 1.1 + rotor) * 1e3;
    let lowered = find(&settings, Topic::Acceleration, "X");
    assert_eq!(lowered.fate, Fate::Recomputed, "{}", lowered.reason);
    let new = value(&lowered, "mm/s²");
    assert!(new <= holds && new > 0.9 * holds, "{new} {holds}");
    assert_eq!(find(&settings, Topic::TopSpeed, "X").fate, Fate::Carried);
    let travel = find(&settings, Topic::TravelAcceleration, "machine");
    assert_eq!((travel.fate, value(&travel, "mm/s²")), (Fate::Recomputed, new));
    // What lies below is carried.
    assert_eq!(
        find(&settings, Topic::PrintAcceleration, "machine").fate,
        Fate::Carried
    );
}

/// `v = √(2 · a · δ)` falls with the torque of half the current; 60 mm/s held before.
#[test]
fn a_change_of_speed_at_corners_beyond_the_torque_is_lowered() {
    let corner = told(Topic::CornerSpeed, "X", 60.0) + "no more\n";
    let edits = [
        (
            ALDER,
            "current = \"0.05 A .. 1.4 A\"",
            "current = \"0.05 A .. 0.4 A\"",
        ),
        (CAPTURED, "no more\n", &corner),
        (MACHINE, "corner_speed = \"7 mm/s\"", "corner_speed = \"60 mm/s\""),
    ];
    let settings = settings_on(&demo_edited(&edits), "Alder");
    let corner = find(&settings, Topic::CornerSpeed, "X");
    assert_eq!(corner.fate, Fate::Recomputed, "{}", corner.reason);
    assert!(value(&corner, "mm/s") < 60.0);
}

#[test]
fn the_demonstration_keeps_its_speeds() {
    let settings = settings_on(&demo(), "Alder");
    for axis in ["X", "Y", "Z"] {
        for topic in [Topic::TopSpeed, Topic::Acceleration, Topic::CornerSpeed] {
            let setting = find(&settings, topic, axis);
            assert_eq!(setting.fate, Fate::Carried, "{axis}: {}", setting.reason);
            assert!(!setting.caution, "{axis}: {}", setting.reason);
        }
    }
}

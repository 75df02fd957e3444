//! What a machine must have by its kinematics and its devices, and what is missing of it.

use std::collections::BTreeSet;

use model::board::{PortKind, RailId};
use model::machine::{AxisId, Detail, Device, Drive, Heater, Machine};
use model::{Cooled, Kinematics, Pin, Zone};

use crate::facts::needs::is_needed;
use crate::facts::rails::{Outside, fed_from_outside};
use crate::facts::{WholeFacts, kinematics, name_of};
use crate::rules::judging::{Finding, Judge, Stake, Subject, Verdict, brief};

pub(crate) const ID: &str = "completeness";

/// Axes that carry nozzle or bed, whatever the kinematics.
const CARRYING: usize = 3;

/// One finding for each thing that is missing; one pass where nothing is. A device that is described and has no port is for `unassigned` to tell.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let missing = [
        sensors,
        undescribed,
        from_outside,
        hot_end,
        fan,
        axes,
        motors,
        ratios,
        geometry,
        wires,
    ];
    let found: usize = missing.into_iter().map(|missing| missing(facts, judge)).sum();
    if found == 0 {
        judge.at_stake(Stake::Function);
        judge.say(Verdict::Pass, || {
            Finding::new(
                "the description has heaters with sensors, axes with motors, hot end with fan",
                "common-practice",
            )
        });
    }
}

/// Every heater that is connected is watched by a sensor of its zone; every sensor of a bed has a heater.
fn sensors(facts: &WholeFacts<'_>, judge: &mut Judge) -> usize {
    let mut found = 0;
    let machine = &facts.swap.machine;
    judge.at_stake(Stake::Safety);
    for pair in facts.pairs() {
        let Detail::Heater(heater) = &pair.device().detail else {
            continue;
        };
        let described = machine.device_ids().filter(
            |(_, device)| matches!(&device.detail, Detail::Thermometer(sensor) if sensor.zone == heater.zone),
        );
        // One that is needed and has no port is a blocker of its own.
        let watching = described
            .filter(|(id, _)| facts.ways[id.0].is_some() || is_needed(facts.swap, *id))
            .count();
        let place = heaters(machine, heater.zone).position(|other| core::ptr::eq(other, &**heater));
        let Some(place) = place.filter(|place| *place >= watching) else {
            continue;
        };
        found += 1;
        let shared = watching > 0 && heater.zone != Zone::HotEnd;
        let verdict = if shared {
            Verdict::Caution
        } else {
            Verdict::Blocker
        };
        let device = pair.device();
        judge.say(verdict, || {
            let zone = heater.zone.word();
            let (headline, remedy) = if watching == 0 {
                (
                    format!("no temperature sensor measures {}: the zone {zone} has none", name_of(device)),
                    format!("describe the sensor of the {zone}. Without one this heater must not be connected"),
                )
            } else {
                (
                    format!("{} has no temperature sensor of its own: the zone {zone} has {watching} for {} heaters", name_of(device), place + 1),
                    "describe its sensor. Heaters in one block are one device with their power together".to_owned(),
                )
            };
            Finding::new(headline, "common-practice")
                .about(Subject::device(device.tag.value.clone()))
                .at(device.place)
                .remedy(remedy)
        });
    }
    judge.at_stake(Stake::Function);
    for device in &machine.devices {
        let Detail::Thermometer(sensor) = &device.detail else {
            continue;
        };
        if sensor.zone != Zone::Bed || heaters(machine, Zone::Bed).next().is_some() {
            continue;
        }
        found += 1;
        judge.say(Verdict::Blocker, || {
            Finding::new(
                format!("{} measures a bed that no heater heats", name_of(device)),
                "common-practice",
            )
            .about(Subject::device(device.tag.value.clone()))
            .at(device.place)
            .remedy("describe the bed heater, or take its sensor out of the machine's file")
        });
    }
    found
}

/// A rail that a port names and the board's file does not describe: one that was forgotten, or a slip for another.
fn undescribed(facts: &WholeFacts<'_>, judge: &mut Judge) -> usize {
    let board = facts.board;
    let mut found = 0;
    judge.at_stake(Stake::Hardware);
    for rail in board.rails.iter().skip(1) {
        let assumed = |key: &str| {
            let mut own = facts
                .swap
                .assumed
                .iter()
                .filter(|own| own.place.file == board.place.file);
            own.any(|own| own.of == "rail" && own.owner.last() == Some(&rail.name.value) && own.key == key)
        };
        if !["source", "voltage", "current"].into_iter().all(assumed) {
            continue;
        }
        found += 1;
        judge.say(Verdict::Caution, || {
            Finding::new(
                format!("the file of {} describes no rail {}, and a port or jumper names it", board.name, rail.name),
                "own-statement",
            )
            .about(Subject::named(format!("rail {}", rail.name)))
            .at(rail.name.place)
            .remedy(format!(
                "describe [rails.{}]. Where the port gets the voltage of the supply itself, name `input` there",
                rail.name
            ))
        });
    }
    found
}

/// A rail that a supply from outside feeds, which nobody described: its limit, its fuse and its poles are asked by no other check.
fn from_outside(facts: &WholeFacts<'_>, judge: &mut Judge) -> usize {
    let board = facts.board;
    let mut found = 0;
    judge.at_stake(Stake::Safety);
    for (at, rail) in board.rails.iter().enumerate() {
        let id = RailId(at);
        let unknown = matches!(fed_from_outside(facts.swap, board, id), Some(Outside::Unknown));
        let used = facts.pairs().any(|pair| pair.way.rail == Some(id));
        let Some(made) = rail.made.as_ref().filter(|_| unknown && used) else {
            continue;
        };
        found += 1;
        let enters = board
            .ports
            .iter()
            .find(|port| matches!(port.kind, PortKind::SupplyInput) && board.rails_of(port).contains(&id));
        judge.say(Verdict::Caution, || {
            let at = enters.map_or_else(String::new, |port| format!(" at {}", port.name));
            Finding::new(
                format!(
                    "the rail {} comes from a supply outside the board{at}, which is not described. Its limit, fuse and poles are unknown",
                    rail.name
                ),
                "iec-60364-4-43",
            )
            .about(Subject::named(format!("rail {}", rail.name)))
            .at(made.source.place)
            .remedy(
                "describe that supply as a second device of kind supply. Fuse its plus wire, and measure voltage and poles at the open lead first",
            )
        });
    }
    found
}

fn heaters(machine: &Machine, zone: Zone) -> impl Iterator<Item = &Heater> {
    let heaters = machine.heaters().map(|(_, heater)| heater);
    heaters.filter(move |heater| heater.zone == zone)
}

/// The names of the axes that a kinematics moves, where these tell what moves what; of each any one.
fn roles(kinematics: Kinematics) -> &'static [&'static [&'static str]] {
    match kinematics {
        Kinematics::Delta => &[],
        Kinematics::CrossedBelts => &[&["X", "A"], &["Y", "B"], &["Z"]],
        Kinematics::Cartesian | Kinematics::TwoCarriages | Kinematics::BeltBed => &[&["X"], &["Y"], &["Z"]],
    }
}

/// Whether a name is this letter, or begins with it as in "Z1" and "Z left".
fn is_called(name: &str, letter: &str) -> bool {
    let mut characters = name.chars();
    let first = characters
        .next()
        .map(|first| first.to_ascii_uppercase().to_string());
    first.as_deref() == Some(letter) && !characters.next().is_some_and(char::is_alphabetic)
}

/// A machine that prints filament melts it.
fn hot_end(facts: &WholeFacts<'_>, judge: &mut Judge) -> usize {
    let machine = &facts.swap.machine;
    if heaters(machine, Zone::HotEnd).next().is_some() {
        return 0;
    }
    judge.at_stake(Stake::Function);
    judge.say(Verdict::Blocker, || {
        Finding::new("no heater of the hot end is described", "common-practice")
            .about(Subject::named("hot end"))
            .at(machine.name.place)
            .remedy("describe the hot-end heater and its temperature sensor")
    });
    1
}

/// A hot end jams, and its holder softens, where nothing cools its heat sink.
fn fan(facts: &WholeFacts<'_>, judge: &mut Judge) -> usize {
    let machine = &facts.swap.machine;
    let cooling = |of: Cooled| {
        let cools = move |device: &&Device| matches!(&device.detail, Detail::Fan(fan) if fan.cools == of);
        machine.devices.iter().filter(cools).count()
    };
    let cools = |detail: &Detail| matches!(detail, Detail::Fan(fan) if fan.cools == Cooled::HeatSink);
    let heated = heaters(machine, Zone::HotEnd).next();
    // A second fan there is mostly the one that nobody described as that of the part.
    let hot_ends = heaters(machine, Zone::HotEnd).count();
    if cooling(Cooled::Part) == 0 && cooling(Cooled::HeatSink) > hot_ends.max(1) {
        judge.at_stake(Stake::Function);
        judge.say(Verdict::Caution, || {
            let count = cooling(Cooled::HeatSink);
            Finding::new(
                format!("{count} fans are stated to cool the heat sink, and none the part that is printed"),
                "common-practice",
            )
            .about(Subject::named("part fan"))
            .at(machine.name.place)
            .remedy("state `cools = \"part\"` of the fan that blows on the print. Leave it where all of them cool the hot end")
        });
        return 1;
    }
    let Some(heater) = heated.filter(|_| !machine.devices.iter().any(|device| cools(&device.detail))) else {
        return 0;
    };
    judge.at_stake(Stake::Hardware);
    judge.say(Verdict::Caution, || {
        Finding::new("no fan cools the heat sink of the hot end", "common-practice")
            .about(Subject::named("heat-sink fan"))
            .at(heater.working_temperature.place)
            .remedy("describe the heat-sink fan. Where something else cools the hot end, check that it runs before every heat-up")
    });
    1
}

/// Three axes that carry nozzle or bed, and one that feeds filament.
fn axes(facts: &WholeFacts<'_>, judge: &mut Judge) -> usize {
    let machine = &facts.swap.machine;
    let feeds = |drive: &Drive| matches!(drive, Drive::Extruder { .. });
    let carrying = machine.axes.iter().filter(|axis| !feeds(&axis.drive)).count();
    let mut found = 0;
    judge.at_stake(Stake::Function);
    let named = |letters: &[&str]| {
        let mut carrying = machine.axes.iter().filter(|axis| !feeds(&axis.drive));
        carrying.any(|axis| letters.iter().any(|letter| is_called(&axis.name.value, letter)))
    };
    let lacking: Vec<&str> = roles(machine.kinematics)
        .iter()
        .filter(|letters| !named(letters))
        .map(|letters| letters[0])
        .collect();
    if carrying >= CARRYING && !lacking.is_empty() {
        found += 1;
        judge.say(Verdict::Blocker, || {
            Finding::new(
                format!(
                    "the file has no axis {}, which {} kinematics move",
                    lacking.join(", "),
                    machine.kinematics.word()
                ),
                "common-practice",
            )
            .about(Subject::named("axes"))
            .at(machine.name.place)
            .remedy(format!(
                "add an [[axis]] named {} with its motor and its home sensor, or give the axis meant that name",
                lacking.join(", ")
            ))
        });
    }
    if carrying < CARRYING {
        found += 1;
        judge.say(Verdict::Blocker, || {
            Finding::new(
                format!(
                    "the file has {carrying} of the {CARRYING} axes that {} kinematics move{}",
                    machine.kinematics.word(),
                    if lacking.is_empty() {
                        String::new()
                    } else {
                        format!(": {} is missing", lacking.join(", "))
                    }
                ),
                "common-practice",
            )
            .about(Subject::named("axes"))
            .at(machine.name.place)
            .remedy(
                "add an [[axis]] for each that is missing, with its motor and what senses its home position",
            )
        });
    }
    if carrying == machine.axes.len() {
        found += 1;
        judge.say(Verdict::Blocker, || {
            Finding::new("no extruder is described", "common-practice")
                .about(Subject::named("extruder"))
                .at(machine.name.place)
                .remedy("add an [[axis]] with drive = \"geared extruder\", and its motor")
        });
    }
    found
}

/// Each axis has a motor; two carriages have one each.
fn motors(facts: &WholeFacts<'_>, judge: &mut Judge) -> usize {
    let machine = &facts.swap.machine;
    let mut found = 0;
    judge.at_stake(Stake::Function);
    for (at, axis) in machine.axes.iter().enumerate() {
        let wanted = if kinematics::carries_each(machine, axis) {
            2
        } else {
            1
        };
        let motors = machine.motors_of(AxisId(at)).count();
        if motors >= wanted {
            continue;
        }
        found += 1;
        judge.say(Verdict::Blocker, || {
            let has = if motors == 0 {
                "no motor".to_owned()
            } else {
                format!("{motors} motor for {wanted} carriages")
            };
            Finding::new(format!("the axis {} has {has}", axis.name), "common-practice")
                .about(Subject::named(axis.name.value.clone()))
                .at(axis.place)
                .remedy(format!("describe each motor of {}, with its cable", axis.name))
        });
    }
    found
}

/// A geared extruder has a ratio; 1 is assumed where none is stated, and said.
fn ratios(facts: &WholeFacts<'_>, judge: &mut Judge) -> usize {
    let mut found = 0;
    judge.at_stake(Stake::Function);
    for axis in &facts.swap.machine.axes {
        if axis.ratio_stated || !matches!(axis.drive, Drive::Extruder { .. }) {
            continue;
        }
        found += 1;
        judge.say(Verdict::Caution, || {
            Finding::new(
                format!("the gear ratio of {} is not stated. It is taken as 1 for steps, torque and speed", axis.name),
                "common-practice",
            )
            .about(Subject::named(axis.name.value.clone()))
            .at(axis.place)
            .remedy("count the teeth of both gears and state `ratio`. It is \"1\" where the wheel sits on the motor's shaft")
        });
    }
    found
}

/// A delta has its geometry, and the gantry of a belt bed its tilt.
fn geometry(facts: &WholeFacts<'_>, judge: &mut Judge) -> usize {
    let machine = &facts.swap.machine;
    judge.at_stake(Stake::Function);
    let missing = kinematics::missing_geometry(machine);
    if !missing.is_empty() {
        judge.say(Verdict::Caution, || {
            Finding::new(
                format!(
                    "step rate, speed and torque of the towers are not judged: the geometry lacks {}",
                    missing.join(", ")
                ),
                "common-practice",
            )
            .about(Subject::named("geometry"))
            .at(machine
                .geometry
                .as_ref()
                .map_or(machine.name.place, |stated| stated.place))
            .remedy(format!("add {} to [geometry]", missing.join(", ")))
        });
        return 1;
    }
    if kinematics::lacks_tilt(machine) {
        let usual = facts.limits().belt_bed_tilt.value.nominal();
        judge.say(Verdict::Caution, || {
            Finding::new(
                format!("the tilt of the gantry is not stated. It is taken as {}, which sets the weight that its motor lifts", brief(usual)),
                "common-practice",
            )
            .about(Subject::named("geometry"))
            .at(machine.name.place)
            .remedy("measure the angle between gantry and belt and state `tilt` in [geometry]")
        });
        return 1;
    }
    0
}

/// A port without pins, or a panel without wires for its signals: nothing can be said of what meets what.
fn wires(facts: &WholeFacts<'_>, judge: &mut Judge) -> usize {
    let mut found = 0;
    judge.at_stake(Stake::Hardware);
    for pair in facts.pairs() {
        let (device, port) = (pair.device(), pair.port());
        let panel = matches!(device.detail, Detail::Panel(_));
        let plugs = facts
            .swap
            .machine
            .plugs_of(pair.id)
            .map(|plug| facts.swap.machine.device(plug));
        let pins: BTreeSet<Pin> = plugs
            .flat_map(|plug| &plug.cable.pins)
            .map(|pin| pin.value)
            .collect();
        let signals = pins
            .iter()
            .any(|pin| !matches!(pin, Pin::Plus | Pin::Minus | Pin::Unused));
        let supplied = pins.contains(&Pin::Plus) && pins.contains(&Pin::Minus);
        let what = if port.pins.is_empty() {
            format!("the pins of {} are not stated", port.name)
        } else if panel && !(signals && supplied) {
            format!(
                "the cable of {} lacks {}",
                name_of(device),
                if signals { "+ or −" } else { "signals" }
            )
        } else {
            continue;
        };
        found += 1;
        judge.say(Verdict::Caution, || {
            Finding::new(format!("{what}. Which wire meets which pin is not checked"), "common-practice")
                .about(Subject {
                    device: Some(device.tag.value.clone()),
                    port: Some(port.name.value.clone()),
                    other: None,
                })
                .at(device.tag.place)
                .remedy("state the pins in the order of the plug. Until then measure + and − at the port before you plug it in")
        });
    }
    found
}

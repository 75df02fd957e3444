//! Kinematics, drives and the ends of the axes beside each other.

use model::machine::{Axis, AxisId, Detail, Device, Drive};
use model::{End, Kinematics, Swap};

use crate::facts::needs::{has_end, is_probed};
use crate::facts::{kinematics, name_of};
use crate::rules::judging::{Judge, Subject};

use crate::rules::checks::contradictions::saying::say;

pub(super) fn check(swap: &Swap, judge: &mut Judge) {
    drives(swap, judge);
    for (at, axis) in swap.machine.axes.iter().enumerate() {
        ends(swap, AxisId(at), axis, judge);
    }
}

fn carrying(swap: &Swap) -> impl Iterator<Item = &Axis> {
    let feeds = |axis: &&Axis| matches!(axis.drive, Drive::Extruder { .. });
    swap.machine.axes.iter().filter(move |axis| !feeds(axis))
}

fn word(drive: &Drive) -> &'static str {
    match drive {
        Drive::Belt { .. } => "a belt",
        Drive::Screw { .. } => "a lead screw",
        Drive::Extruder { .. } => "an extruder",
    }
}

/// Towers are driven alike, and crossed belts are belts.
fn drives(swap: &Swap, judge: &mut Judge) {
    let machine = &swap.machine;
    let alike: Vec<&Axis> = match machine.kinematics {
        Kinematics::Delta => carrying(swap).collect(),
        Kinematics::CrossedBelts => carrying(swap)
            .filter(|axis| ["X", "Y", "A", "B"].contains(&axis.name.value.to_uppercase().as_str()))
            .collect(),
        Kinematics::Cartesian | Kinematics::TwoCarriages | Kinematics::BeltBed => return,
    };
    let belts = machine.kinematics == Kinematics::CrossedBelts;
    let Some(first) = alike.first() else { return };
    let wrong = |axis: &&&Axis| {
        if belts {
            !matches!(axis.drive, Drive::Belt { .. })
        } else {
            word(&axis.drive) != word(&first.drive)
        }
    };
    let Some(other) = alike.iter().find(wrong) else {
        return;
    };
    say(judge, Subject::named("kinematics"), other.place, || {
        let what = if belts {
            format!("the axis {} has {}", other.name, word(&other.drive))
        } else {
            format!(
                "the axis {} has {} and {} has {}",
                first.name,
                word(&first.drive),
                other.name,
                word(&other.drive)
            )
        };
        format!(
            "{what}, and the kinematics are stated as {}. Such machines have {}",
            machine.kinematics.word(),
            if belts {
                "belts there"
            } else {
                "towers that are driven alike"
            }
        )
    });
}

fn switches(swap: &Swap, id: AxisId) -> Vec<(&Device, End)> {
    let devices = swap.machine.devices.iter();
    let of = |device: &Detail| match device {
        Detail::LimitSwitch { axis, end, .. } if *axis == id => Some(*end),
        _ => None,
    };
    devices
        .filter_map(|device| Some((device, of(&device.detail)?)))
        .collect()
}

/// More switches at one end than motors that run there; a home at the end that the kinematics do not have, or that the probe does not sense.
fn ends(swap: &Swap, id: AxisId, axis: &Axis, judge: &mut Judge) {
    let machine = &swap.machine;
    let switches = switches(swap, id);
    for end in [End::Min, End::Max] {
        let there: Vec<&(&Device, End)> = switches.iter().filter(|(_, own)| *own == end).collect();
        let motors = machine.motors_of(id).count().max(1);
        // Two motors of one axis may each run to a switch of its own.
        if there.len() <= motors {
            continue;
        }
        let bare = machine.axes.iter().enumerate().find(|(at, other)| {
            has_end(machine, other) && AxisId(*at) != id && self::switches(swap, AxisId(*at)).is_empty()
        });
        let (last, _) = there[there.len() - 1];
        say(
            judge,
            Subject::named(format!("{} {}", axis.name, end.word())),
            last.place,
            || {
                let names: Vec<String> = there.iter().map(|(device, _)| name_of(device)).collect();
                let bare = bare.map_or_else(String::new, |(_, bare)| format!(". {} has none", bare.name));
                format!(
                    "{} are all stated at the {} end of {}{bare}",
                    names.join(" and "),
                    end.word(),
                    axis.name
                )
            },
        );
    }
    let lone = |end: End| {
        switches
            .iter()
            .all(|(_, own)| *own == end)
            .then(|| switches.first())
            .flatten()
    };
    // Towers run up to their home: the nozzle hangs below.
    let up = machine.kinematics == Kinematics::Delta && has_end(machine, axis);
    if let Some((device, _)) = lone(End::Min).filter(|_| up) {
        say(
            judge,
            Subject::named(format!("{} end", axis.name)),
            device.place,
            || {
                format!(
                    "{} is stated at the min end of the tower {}. A delta homes at the top, its max end: a nozzle at the bottom runs into the bed",
                    name_of(device),
                    axis.name
                )
            },
        );
    }
    let probe = machine
        .devices
        .iter()
        .find(|device| matches!(device.detail, Detail::BedProbe(_)));
    let probed = is_probed(machine, axis) && !kinematics::carries_each(machine, axis);
    if let (Some((device, _)), Some(probe)) = (lone(End::Max), probe.filter(|_| probed)) {
        say(
            judge,
            Subject::named(format!("{} end", axis.name)),
            device.place,
            || {
                format!(
                    "{} is stated at the max end of {}, and {} senses the bed, at its min end. Only one of both ends is the home",
                    name_of(device),
                    axis.name,
                    name_of(probe)
                )
            },
        );
    }
}

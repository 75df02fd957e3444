//! A swap: wishes and old ports against the machine and the old board.

use catalogue::TableFile;

use super::{Checker, is_outside, outside};
use crate::board::{Port, PortKind};
use crate::diagnostic::Diagnostic;
use crate::file::swap::{PartPrice, WishFile, WorkloadFile};
use crate::machine::{Detail, Device, DeviceId};
use crate::swap::Wish;
use crate::words::{DeviceKind, WishKind};

/// The owner's G-code lies inside the folder of the swap; whether it is there is looked at when it is read.
pub(crate) fn workload(files: &[WorkloadFile], checker: &mut Checker<'_>) {
    for file in files {
        if is_outside(&file.file.value) {
            let (code, problem) = outside(&file.file.value);
            checker.fault(
                Diagnostic::new(code, file.file.place, problem, "this file")
                    .expected("a file or a folder inside the swap folder"),
            );
        }
    }
}

/// Wishes with their devices found; `devices` is nothing where the machine could not be read at all.
pub(crate) fn wishes(
    files: Vec<WishFile>,
    devices: Option<&[Device]>,
    checker: &mut Checker<'_>,
) -> Vec<Wish> {
    checker.unique(files.iter().map(|wish| &wish.name), "wish");
    let machine = devices.unwrap_or_default();
    let tags: Vec<&str> = machine.iter().map(|device| device.tag.value.as_str()).collect();
    let mut out = Vec::new();
    for file in files {
        if !(1..=1000).contains(&file.weight.value) {
            let problem = format!("a wish can't be worth {}", file.weight.value);
            checker.fault(
                Diagnostic::new("bad-value", file.weight.place, problem, "out of range")
                    .expected("1 to 1000"),
            );
        }
        if file.devices.is_empty() && !checker.is_lost(file.place, "devices") {
            let problem = format!("the wish `{}` names no device", file.name.value);
            checker.fault(
                Diagnostic::new("missing-key", file.place, problem, "no `devices`")
                    .expected("`devices` with at least one tag"),
            );
        }
        if devices.is_none() {
            continue;
        }
        let mut devices = Vec::new();
        for name in &file.devices {
            let Some(found) = checker
                .find(name, tags.iter().copied(), "device tag")
                .map(DeviceId)
            else {
                continue;
            };
            let kind = machine[found.0].kind();
            if let Some(wanted) = wanted(file.kind.value)
                && wanted != kind
            {
                let problem = format!(
                    "`{}` is a {kind}: the wish `{}` is about a {wanted}",
                    name.value, file.kind.value
                );
                checker.fault(
                    Diagnostic::new("bad-reference", name.place, problem, format!("not a {wanted}"))
                        .expected(format!("the tag of a {wanted}")),
                );
                continue;
            }
            devices.push(found);
        }
        if !devices.is_empty() {
            out.push(Wish {
                name: file.name,
                kind: file.kind.value,
                devices,
                weight: file.weight,
                place: file.place,
            });
        }
    }
    out
}

/// Own prices are for parts of the catalogue, one for each.
pub(crate) fn parts(files: &[PartPrice], checker: &mut Checker<'_>) {
    checker.unique(files.iter().map(|part| &part.name), "part");
    for file in files {
        let rows = checker.catalogue.parts().rows().iter();
        let names = rows.map(|row| row.name.as_str());
        checker.in_catalogue(&file.name, names, "part", TableFile::Parts);
    }
}

fn wanted(kind: WishKind) -> Option<DeviceKind> {
    match kind {
        WishKind::Connect => None,
        WishKind::OwnDriver | WishKind::SilentStandstill | WishKind::StallDetectionHoming => {
            Some(DeviceKind::Motor)
        }
        WishKind::SwitchedFan => Some(DeviceKind::Fan),
    }
}

/// Every old port is a port of the old board, and holds one lead; motors of one axis may share a port.
pub(crate) fn old_ports(devices: &[Device], ports: &[Port], checker: &mut Checker<'_>) {
    if ports.is_empty() {
        // Reported already: a board without any port is a fault of its own.
        return;
    }
    let names: Vec<&str> = ports.iter().map(|port| port.name.value.as_str()).collect();
    for (at, device) in devices.iter().enumerate() {
        let Some(name) = &device.cable.old_port else {
            continue;
        };
        if device.is_from_unknown_port() {
            continue;
        }
        let Some(found) = checker.find(name, names.iter().copied(), "port of the old board") else {
            continue;
        };
        let port = &ports[found];
        if !may_hang_on(&device.detail, port) {
            let problem = format!(
                "`{}` is a {}, its old port `{}` a {}",
                device.tag.value,
                device.kind(),
                port.name.value,
                port.role()
            );
            checker.fault(
                Diagnostic::new("bad-reference", name.place, problem, format!("a {}", port.role()))
                    .other(port.place, "the port"),
            );
            continue;
        }
        let earlier = devices[..at].iter().find(|other| {
            other
                .cable
                .old_port
                .as_ref()
                .is_some_and(|other| other.value == name.value)
                && !share_a_motor_port(&other.detail, &device.detail)
        });
        if let Some(other) = earlier {
            let place = other
                .cable
                .old_port
                .as_ref()
                .map_or(other.place, |port| port.place);
            checker.fault(
                Diagnostic::new(
                    "two-leads-on-one-port",
                    name.place,
                    format!(
                        "the leads `{}` and `{}` are both on the port `{}`",
                        other.tag.value, device.tag.value, name.value
                    ),
                    "taken already",
                )
                .other(place, "by this lead")
                .expected("a port of its own for each lead; just motors of one axis may share one"),
            );
        }
        let same_wires = device.cable.pins.len() == port.pins.len();
        let fits = matches!(port.kind, PortKind::Line { .. } | PortKind::SupplyInput) || same_wires;
        if !fits && device.cable.pins.len() > port.pins.len() {
            let problem = format!(
                "the lead `{}` has {} wires, its old port `{}` has {} pins",
                device.tag.value,
                device.cable.pins.len(),
                port.name.value,
                port.pins.len()
            );
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    device.cable.place,
                    problem,
                    "more wires than pins",
                )
                .other(port.place, "the port"),
            );
        }
    }
}

/// What can't be otherwise on any board: motors, thermometers and supplies have ports of their own, and so do heaters.
fn may_hang_on(detail: &Detail, port: &Port) -> bool {
    match (detail, &port.kind) {
        (Detail::Motor(_), kind) => matches!(kind, PortKind::Motor { .. }),
        (Detail::Thermometer(_), kind) => matches!(kind, PortKind::Thermometer(_)),
        (Detail::Supply(_), kind) => matches!(kind, PortKind::SupplyInput),
        (Detail::Heater(_), kind) => matches!(kind, PortKind::Switched { .. }),
        (_, kind) => !matches!(
            kind,
            PortKind::Motor { .. } | PortKind::Thermometer(_) | PortKind::SupplyInput
        ),
    }
}

fn share_a_motor_port(one: &Detail, other: &Detail) -> bool {
    matches!((one, other), (Detail::Motor(one), Detail::Motor(other)) if one.axis == other.axis)
}

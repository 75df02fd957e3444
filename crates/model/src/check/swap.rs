//! A swap: wishes and old ports against the machine and the old board.

use catalogue::TableFile;

use super::{Checker, is_outside, outside};
use crate::board::{Port, PortKind};
use crate::diagnostic::Diagnostic;
use crate::file::swap::{AcceptedFile, PartPrice, WishFile, WorkloadFile};
use crate::machine::{Detail, Device, DeviceId};
use crate::source::Located;
use crate::swap::{Accepted, Wish};
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

/// Acceptances with their boards found and their values read; `boards` is nothing where a candidate could not be read. Whether there is such
/// a finding is known once a board is planned.
pub(crate) fn accepted(
    files: Vec<AcceptedFile>,
    boards: Option<&[&str]>,
    checker: &mut Checker<'_>,
) -> Vec<Accepted> {
    let mut out: Vec<Accepted> = Vec::new();
    for file in files {
        for (key, name) in [
            ("finding", &file.finding),
            ("reason", &file.reason),
            ("by", &file.by),
        ] {
            if name.value.trim().is_empty() {
                let problem = format!("`{key}` of an accepted finding is empty");
                checker.fault(
                    Diagnostic::new("bad-value", name.place, problem, "nothing is said")
                        .expected("who accepts which finding, and why"),
                );
            }
        }
        let board = file.board.as_ref().and_then(|name| {
            let names = boards?;
            checker.find(name, names.iter().copied(), "candidate board")
        });
        let value = file.value.as_ref().and_then(|value| {
            let read = number_and_unit(&value.value);
            if read.is_none() {
                let problem = format!("`{}` is no number with its unit", value.value);
                checker.fault(
                    Diagnostic::new("bad-value", value.place, problem, "not a value").expected(
                        "one number and its unit, as `boardswap check` shows it, such as \"78 °C\"",
                    ),
                );
            }
            Some(Located {
                value: read?,
                place: value.place,
            })
        });
        let earlier = out
            .iter()
            .find(|other| other.finding.value == file.finding.value && other.board == board);
        if let Some(earlier) = earlier {
            let problem = format!("the finding `{}` is accepted twice", file.finding.value);
            checker.fault(
                Diagnostic::new("duplicate-name", file.finding.place, problem, "accepted again")
                    .other(earlier.finding.place, "accepted here"),
            );
        }
        out.push(Accepted {
            finding: file.finding,
            board,
            value,
            reason: file.reason,
            by: file.by,
        });
    }
    out
}

/// "-2.5 K" as a number and the unit of some quantity.
fn number_and_unit(text: &str) -> Option<(f64, String)> {
    let text = text.trim().replace('\u{2212}', "-");
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+')))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let number: f64 = number.parse().ok()?;
    let unit = unit.trim();
    let known = quantity::Kind::ALL
        .iter()
        .any(|kind| quantity::AnyValue::in_unit(*kind, number, unit).is_some());
    (number.is_finite() && known).then(|| (number, unit.to_owned()))
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
                .find(name, tags.iter().copied(), crate::check::DEVICE_TAG)
                .map(DeviceId)
            else {
                continue;
            };
            if let Some(plug) = machine[found.0].plug() {
                let owner = &machine[plug.of.0].tag;
                let problem = format!("`{}` is a plug of `{owner}`, no device", name.value);
                checker.fault(
                    Diagnostic::new("bad-reference", name.place, problem, "a further plug")
                        .expected(format!("`{owner}`: a device is connected by all of its plugs")),
                );
                continue;
            }
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
                        "the cables `{}` and `{}` are both on the port `{}`",
                        other.tag.value, device.tag.value, name.value
                    ),
                    "taken already",
                )
                .other(place, "by this cable")
                .expected("a port of its own for each cable; just motors of one axis may share one")
                .help(
                    "a plug that serves two devices: describe its port as two, one for each device with the pins of that device, side by side"
                        .to_owned(),
                ),
            );
        }
        let same_wires = device.cable.pins.len() == port.pins.len();
        let fits = matches!(port.kind, PortKind::Line { .. } | PortKind::SupplyInput) || same_wires;
        if !fits && !port.pins.is_empty() && device.cable.pins.len() > port.pins.len() {
            let problem = format!(
                "the cable `{}` has {} wires, its old port `{}` has {} pins",
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

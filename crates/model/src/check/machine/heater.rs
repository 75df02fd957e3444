//! A heater: its power, and the bodies that it heats.

use quantity::{Number, Value, si};

use crate::check::Checker;
use crate::diagnostic::Diagnostic;
use crate::file::machine::{BodyFile, DeviceFile, PartFile};
use crate::machine::{Body, Detail, Heater, Part, Relay};
use crate::source::Located;
use crate::words::Element;

pub(super) fn heater(file: &mut DeviceFile, what: &str, checker: &mut Checker<'_>) -> Option<Detail> {
    let voltage = checker.need(file.voltage.take(), "voltage", file.place, what);
    load(file, voltage, what, checker).map(|heater| Detail::Heater(Box::new(heater)))
}

/// What is heated, and by which power at which voltage.
fn load(
    file: &mut DeviceFile,
    voltage: Option<Located<Value<si::ElectricPotential>>>,
    what: &str,
    checker: &mut Checker<'_>,
) -> Option<Heater> {
    let place = file.place;
    let zone = checker.need(file.zone.take(), "zone", place, what);
    let power = checker.need(file.power.take(), "power", place, what);
    let working_temperature = checker.need(
        file.working_temperature.take(),
        "working_temperature",
        place,
        what,
    );
    let track = file.element.take().map_or(Element::Alloy, |track| track.value);
    let rated_at = file
        .rated_at
        .take()
        .map_or(Value::exact(si::celsius(20.0)), |stated| stated.value);
    let (temperature_limit, heat_capacity, thermal_conductance) = (
        file.temperature_limit.take(),
        file.heat_capacity.take(),
        file.thermal_conductance.take(),
    );
    let (dead_time, cut_out) = (file.dead_time.take(), file.cut_out.take());
    let bodies = core::mem::take(&mut file.body);
    // A body of which the size is not known leaves the capacity of all of them unknown.
    let unknown = bodies
        .iter()
        .any(|body| body.size.is_empty() && !checker.is_lost(body.place, "size"));
    let has_second = bodies
        .iter()
        .any(|body| body.second.is_some_and(|second| second.value));
    let bodies = bodies.into_iter().filter(|_| !unknown);
    let bodies: Vec<Body> = bodies.filter_map(|file| body(file, checker)).collect();
    let parts: Vec<Part> = core::mem::take(&mut file.part).into_iter().map(part).collect();
    checker.unique(bodies.iter().map(|body| &body.name), "body");
    checker.unique(parts.iter().map(|part| &part.name), "part");
    let (mut coupling, mut second_capacity, mut second_conductance) = (
        file.coupling.take(),
        file.second_capacity.take(),
        file.second_conductance.take(),
    );
    let stated = coupling.is_some() || second_capacity.is_some() || second_conductance.is_some();
    if stated || has_second || parts.iter().any(|part| part.second) {
        let second = "the second body";
        coupling = checker.need(coupling, "coupling", place, second);
        second_conductance = checker.need(second_conductance, "second_conductance", place, second);
        if !bodies.iter().any(|body| body.second) {
            second_capacity = checker.need(second_capacity, "second_capacity", place, second);
        }
    }
    Some(Heater {
        bodies,
        parts,
        coupling,
        second_capacity,
        second_conductance,
        dead_time,
        cut_out,
        relay: None,
        zone: zone?.value,
        voltage: voltage?,
        power: power?,
        element: track,
        rated_at,
        working_temperature: working_temperature?,
        temperature_limit,
        heat_capacity,
        thermal_conductance,
    })
}

/// A relay: its control side has `voltage` and `current`, its load the keys of a heater and `load_voltage`.
pub(super) fn relay(file: &mut DeviceFile, what: &str, checker: &mut Checker<'_>) -> Option<Detail> {
    let place = file.place;
    let kind = checker.need(file.relay.take(), "relay", place, what);
    let voltage = checker.need(file.voltage.take(), "voltage", place, what);
    let current = checker.need(file.current.take(), "current", place, what);
    let load_voltage = checker.need(file.load_voltage.take(), "load_voltage", place, what);
    let load = load(file, load_voltage, what, checker)?;
    let relay = Relay {
        kind: kind?,
        voltage: voltage?,
        current: current?,
    };
    Some(Detail::Heater(Box::new(Heater {
        relay: Some(relay),
        ..load
    })))
}

fn body(file: BodyFile, checker: &mut Checker<'_>) -> Option<Body> {
    let place = file.size.first().map_or(file.place, |first| first.place);
    let Ok(size) = <[Located<Value<si::Length>>; 3]>::try_from(file.size) else {
        if checker.is_lost(file.place, "size") {
            return None;
        }
        let problem = format!("the body `{}` has not three lengths", file.name.value);
        checker.fault(
            Diagnostic::new("bad-value", place, problem, "not three lengths")
                .expected("length, width and height of the material"),
        );
        return None;
    };
    if size.iter().any(|length| length.low().base() <= 0.0) {
        let problem = format!("the body `{}` has no volume", file.name.value);
        checker.fault(
            Diagnostic::new("bad-value", place, problem, "not above zero")
                .expected("three lengths above zero"),
        );
        return None;
    }
    Some(Body {
        name: file.name,
        material: file.material.value,
        size: size.map(|length| length.value),
        second: file.second.is_some_and(|second| second.value),
    })
}

fn part(file: PartFile) -> Part {
    Part {
        name: file.name,
        temperature_limit: file.temperature_limit,
        second: file.second.is_some_and(|second| second.value),
    }
}

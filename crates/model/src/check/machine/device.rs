//! A device: its lead, and what its kind needs.

use catalogue::TableFile;

use crate::check::{Checker, pins};
use crate::file::machine::{DeviceFile, PlugFile};
use crate::machine::{AxisId, Detail, Device, DeviceId, Fan, Panel, Sensor, Supply, Thermometer};
use crate::words::{DeviceKind, Output, Pin};

use super::cable;
use super::heater::{heater, relay};
use super::lights::lights;
use super::motor::motor;
use super::plug::{self, Owner};
use super::sensor::sensor;

/// A device with its further plugs behind it; `id` will be its own. Nothing where it has a fault.
pub(super) fn device(
    mut file: DeviceFile,
    axes: &[String],
    id: DeviceId,
    checker: &mut Checker<'_>,
) -> Option<Vec<Device>> {
    let what = format!("a {}", file.kind.value);
    let plugs = std::mem::take(&mut file.plug);
    let (tag, name) = (file.tag.clone(), file.name.clone());
    let owner = Owner {
        tag: &tag,
        name: &name,
        kind: file.kind.value,
        what: &what,
        addressed: file.led_count.is_some(),
    };
    if let Some(cable) = &mut file.cable.0 {
        let supplied = file.voltage.is_some();
        let needed = pins::of_kind(file.kind.value, supplied, file.led_count.is_some());
        if plugs.is_empty() {
            cable::alone(cable, &file.tag, checker);
            pins::check(&cable.pins, needed, (&file.tag, &what), checker);
        } else {
            let unknown = file.kind.value == DeviceKind::Panel && cable.pins.is_empty();
            cable::checked(cable, &file.tag, unknown, checker);
            plug::wires(cable, &plugs, needed, (&owner, supplied), checker);
        }
    }
    let signal = |plug: &PlugFile| plug.pins.iter().any(|pin| pin.value == Pin::Signal);
    let pulses = file.kind.value == DeviceKind::Fan && plugs.iter().any(signal);
    let tachometer = if pulses {
        tachometer(&mut file, checker)
    } else {
        None
    };
    let price = file.price.take();
    let detail = detail(&mut file, axes, &what, checker);
    checker.leftover(file.leftover(), &what);
    let cable = file.cable.0?;
    let faults = checker.faults.len();
    let (detail, further) = if plugs.is_empty() {
        (detail?, Vec::new())
    } else {
        plug::split(
            plugs,
            (&cable, detail?),
            tachometer.as_ref(),
            (&owner, id),
            checker,
        )
    };
    let own = Device {
        tag: file.tag,
        name: file.name,
        cable,
        price,
        detail,
        place: file.place,
    };
    (checker.faults.len() == faults && (!pulses || tachometer.is_some()))
        .then(|| std::iter::once(own).chain(further).collect())
}

/// The output by which a fan tells its speed.
fn tachometer(file: &mut DeviceFile, checker: &mut Checker<'_>) -> Option<Sensor> {
    let place = file.place;
    let output = checker.need(file.output.take(), "output", place, "a fan with a tachometer")?;
    let mut level = file.level.take();
    if matches!(output.value, Output::PushPull | Output::Pnp) {
        level = Some(checker.need(level, "level", place, "an output that drives high")?);
    }
    Some(Sensor {
        output,
        voltage: None,
        current: None,
        level,
        max_input_voltage: None,
        stall_current: None,
    })
}

fn detail(file: &mut DeviceFile, axes: &[String], what: &str, checker: &mut Checker<'_>) -> Option<Detail> {
    let place = file.place;
    match file.kind.value {
        DeviceKind::Heater => heater(file, what, checker),
        DeviceKind::Relay => relay(file, what, checker),
        DeviceKind::Thermometer => {
            let zone = checker.need(file.zone.take(), "zone", place, what);
            let sensor = checker.need(file.sensor.take(), "sensor", place, what);
            if let Some(sensor) = &sensor {
                let rows = checker.catalogue.thermometers().rows().iter();
                let names = rows.map(|row| row.name.as_str());
                checker.in_catalogue(sensor, names, "thermometer", TableFile::Thermometers);
            }
            let working_temperature = file.working_temperature.take();
            Some(Detail::Thermometer(Thermometer {
                zone: zone?.value,
                sensor: sensor?,
                working_temperature,
            }))
        }
        DeviceKind::Motor => {
            let axis = axis_of(file, axes, what, checker);
            motor(file, axis, what, checker)
        }
        DeviceKind::Fan => {
            let duty = checker.need(file.cools.take(), "cools", place, what);
            let voltage = checker.need(file.voltage.take(), "voltage", place, what);
            let current = checker.need(file.current.take(), "current", place, what);
            Some(Detail::Fan(Fan {
                cools: duty?.value,
                voltage: voltage?,
                current: current?,
            }))
        }
        DeviceKind::LimitSwitch => {
            let axis = axis_of(file, axes, what, checker);
            let end = checker.need(file.end.take(), "end", place, what);
            let sensor = sensor(file, what, checker);
            Some(Detail::LimitSwitch {
                axis: axis?,
                end: end?.value,
                sensor: sensor?,
            })
        }
        DeviceKind::BedProbe => {
            let (bears, stall_current) = (file.max_input_voltage.take(), file.stall_current.take());
            sensor(file, what, checker).map(|sensor| {
                Detail::BedProbe(Sensor {
                    max_input_voltage: bears,
                    stall_current,
                    ..sensor
                })
            })
        }
        DeviceKind::FilamentSwitch => sensor(file, what, checker).map(Detail::FilamentSwitch),
        DeviceKind::LightStrip => lights(file, what, checker),
        DeviceKind::Panel => {
            let interface = checker.need(file.interface.take(), "interface", place, what);
            let voltage = checker.need(file.voltage.take(), "voltage", place, what);
            let current = checker.need(file.current.take(), "current", place, what);
            let (level, bears) = (file.level.take(), file.max_input_voltage.take());
            Some(Detail::Panel(Panel {
                interface: interface?,
                voltage: voltage?,
                current: current?,
                level,
                max_input_voltage: bears,
            }))
        }
        DeviceKind::Supply => {
            let voltage = checker.need(file.voltage.take(), "voltage", place, what);
            let power = checker.need(file.power.take(), "power", place, what);
            let old_voltage = file.old_voltage.take();
            Some(Detail::Supply(Supply {
                voltage: voltage?,
                power: power?,
                old_voltage,
            }))
        }
    }
}

fn axis_of(file: &mut DeviceFile, axes: &[String], what: &str, checker: &mut Checker<'_>) -> Option<AxisId> {
    let name = checker.need(file.axis.take(), "axis", file.place, what)?;
    checker
        .find(&name, axes.iter().map(String::as_str), "axis")
        .map(AxisId)
}

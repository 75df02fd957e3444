//! A device: its lead, and what its kind needs.

use catalogue::TableFile;

use crate::check::{Checker, pins};
use crate::file::machine::DeviceFile;
use crate::machine::{AxisId, Detail, Device, Fan, Panel, Sensor, Supply, Thermometer};
use crate::words::DeviceKind;

use super::cable;
use super::heater::{heater, relay};
use super::lights::lights;
use super::motor::motor;
use super::sensor::sensor;

pub(super) fn device(mut file: DeviceFile, axes: &[String], checker: &mut Checker<'_>) -> Option<Device> {
    let what = format!("a {}", file.kind.value);
    if let Some(cable) = &mut file.cable.0 {
        cable::cable(cable, &file.tag, checker);
        let needed = pins::of_kind(file.kind.value, file.voltage.is_some(), file.led_count.is_some());
        pins::check(&cable.pins, needed, (&file.tag, &what), checker);
    }
    let price = file.price.take();
    let detail = detail(&mut file, axes, &what, checker);
    checker.leftover(file.leftover(), &what);
    Some(Device {
        tag: file.tag,
        name: file.name,
        cable: file.cable.0?,
        price,
        detail: detail?,
        place: file.place,
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

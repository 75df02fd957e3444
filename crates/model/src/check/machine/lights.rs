//! A light strip: addressable, or plain.

use crate::check::Checker;
use crate::diagnostic::Diagnostic;
use crate::file::machine::DeviceFile;
use crate::machine::{Detail, LightStrip};

pub(super) fn lights(file: &mut DeviceFile, what: &str, checker: &mut Checker<'_>) -> Option<Detail> {
    let place = file.place;
    let voltage = checker.need(file.voltage.take(), "voltage", place, what);
    let (length, resistance, capacitance) = (
        file.strip_length.take(),
        file.strip_resistance.take(),
        file.capacitance.take(),
    );
    let (lights, per_light, current) = (
        file.led_count.take(),
        file.current_per_led.take(),
        file.current.take(),
    );
    let lights = match (lights, &per_light, &current) {
        (None, Some(_), None) => checker.need(None, "led_count", place, "an addressable strip"),
        (stated, _, _) => stated,
    };
    let per_light = match (&lights, per_light, &current) {
        (Some(_), None, None) => checker.need(None, "current_per_led", place, "an addressable strip"),
        (_, stated, _) => stated,
    };
    let current = match (&lights, per_light, current) {
        (Some(lights), Some(per_light), None) => {
            if !(1..=2000).contains(&lights.value) {
                let problem = format!("no strip has {} lights", lights.value);
                checker.fault(
                    Diagnostic::new("bad-value", lights.place, problem, "out of range").expected("1 to 2000"),
                );
                return None;
            }
            per_light.value.scale(f64::from(lights.value))
        }
        (None, None, Some(current)) => current.value,
        _ if ["led_count", "current_per_led", "current"]
            .iter()
            .any(|key| checker.is_lost(place, key)) =>
        {
            return None;
        }
        _ => {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    place,
                    "the current of a light strip is not clear",
                    "this strip",
                )
                .expected(
                    "`led_count` and `current_per_led` for an addressable strip, `current` for a plain one",
                ),
            );
            return None;
        }
    };
    Some(Detail::LightStrip(LightStrip {
        voltage: voltage?,
        current,
        led_count: lights,
        length,
        resistance,
        capacitance,
    }))
}

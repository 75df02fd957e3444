//! A motor driver: the keys that its way of setting the current needs.

use quantity::{Value, si};

use super::Checker;
use crate::board::{CurrentLaw, Driver};
use crate::diagnostic::Diagnostic;
use crate::file::board::DriverFile;
use crate::words::{Connection, Direction, SetBy};

/// Checks a driver; nothing where it has a fault of its own.
pub(crate) fn driver(mut file: DriverFile, checker: &mut Checker<'_>) -> Option<Driver> {
    let what = format!("a driver set by {}", file.set_by.value);
    checker.microsteps(&file.max_microsteps);
    if let Some(fixed) = &file.fixed_microsteps {
        checker.microsteps(fixed);
        if fixed.value > file.max_microsteps.value {
            let problem = format!(
                "the driver `{}` is fixed to finer microsteps than its finest",
                file.name.value
            );
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    fixed.place,
                    problem,
                    "finer than `max_microsteps`",
                )
                .other(file.max_microsteps.place, "its finest"),
            );
        }
    }
    let law = match file.set_by.value {
        SetBy::Bus => {
            let levels = checker.need(file.levels.take(), "levels", file.place, &what)?;
            if levels.value == 0 || levels.value > 65536 {
                checker.fault(
                    Diagnostic::new(
                        "bad-value",
                        levels.place,
                        "no such number of levels",
                        "out of range",
                    )
                    .expected("1 to 65536"),
                );
                return None;
            }
            CurrentLaw::Levels { levels: levels.value }
        }
        SetBy::Trimmer => trimmer(&mut file, &what, checker)?,
    };
    let leftover = [
        ("levels", file.levels.map(|value| value.place)),
        ("sense_resistor", file.sense_resistor.map(|value| value.place)),
        ("gain", file.gain.map(|value| value.place)),
        (
            "reference_at_one_ampere",
            file.reference_at_one_ampere.map(|value| value.place),
        ),
        ("trimmer_step", file.trimmer_step.map(|value| value.place)),
    ];
    checker.leftover(
        leftover
            .into_iter()
            .filter_map(|(key, place)| Some((key, place?)))
            .collect(),
        &what,
    );
    Some(Driver {
        name: file.name,
        mount: file.mount.value,
        price: file.price,
        current: file.current,
        current_definition: file.current_definition.value,
        law,
        on_resistance: file.on_resistance,
        edge_time: file.edge_time,
        chopper_frequency: file.chopper_frequency,
        thermal_resistance: file.thermal_resistance,
        thermal_resistance_with_sink: file.thermal_resistance_with_sink,
        heat_sink: file.heat_sink.is_some_and(|sink| sink.value),
        max_microsteps: file.max_microsteps,
        fixed_microsteps: file.fixed_microsteps,
        silent_at_standstill: file.silent_at_standstill.is_some_and(|quiet| quiet.value),
        stall_detection: file.stall_detection.is_some_and(|measures| measures.value),
        min_back_emf: file.min_back_emf,
        direction: file.direction.map_or(Direction::Normal, |turn| turn.value),
        connection_stated: file.motor_connection.is_some(),
        motor_connection: file
            .motor_connection
            .map_or(Connection::Parallel, |joint| joint.value),
        voltage: file.voltage,
        place: file.place,
    })
}

fn trimmer(file: &mut DriverFile, what: &str, checker: &mut Checker<'_>) -> Option<CurrentLaw> {
    let step = file
        .trimmer_step
        .take()
        .map_or(Value::exact(si::volt(0.01)), |step| step.value);
    if let Some(reference) = file.reference_at_one_ampere.take() {
        return Some(CurrentLaw::PerAmpere {
            reference: reference.value,
            step,
        });
    }
    let resistor = checker.need(file.sense_resistor.take(), "sense_resistor", file.place, what);
    let gain = checker.need(file.gain.take(), "gain", file.place, what);
    Some(CurrentLaw::SenseResistor {
        gain: gain?.value,
        resistor: resistor?.value,
        step,
    })
}

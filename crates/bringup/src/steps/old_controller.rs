//! While the old controller still runs: what only it can tell, kept before anything is touched.

use model::board::{CurrentLaw, PortKind};
use model::machine::{Detail, Drive};

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    report(job);
    trimmers(job);
    behaviour(job);
}

/// The settings of the old controller, where the swap does not have them yet.
fn report(job: &mut Job<'_>) {
    if !job.setup.swap.old_settings.is_empty() {
        return;
    }
    job.push(
        Step::new(
            "old-report",
            Phase::OldController,
            Needs::Power,
            "Save the report of the old controller",
            "Calibrated values are gone with the old board. Without the report each of them is measured anew.",
        )
        .act("Connect to the old controller as usual. Ask for all its settings, and save the whole answer in `captured/`.")
        .act("Name the file as a report of the old controller in swap.toml, and compute again.")
        .expect(Expected::seen("saved file", "every line from the question to the end"))
        .otherwise("the old controller no longer runs: skip this phase; the settings sheet marks what to measure"),
    );
}

/// Set-points of drivers that a trimmer sets: no report has them.
fn trimmers(job: &mut Job<'_>) {
    let old = &job.setup.swap.old;
    let devices = job.setup.swap.machine.devices.iter();
    let drivers: Vec<(String, String)> = devices
        .filter(|device| matches!(device.detail, Detail::Motor(_)))
        .filter_map(|device| {
            let port = old.port(old.port_named(&device.cable.old_port.as_ref()?.value)?);
            let PortKind::Motor { driver } = port.kind else {
                return None;
            };
            let driver = old.driver(driver);
            let trimmed = !matches!(driver.law, CurrentLaw::Levels { .. });
            trimmed.then(|| (driver.name.value.clone(), device.tag.value.clone()))
        })
        .collect();
    if drivers.is_empty() {
        return;
    }
    let mut step = Step::new(
        "old-trimmers",
        Phase::OldController,
        Needs::Power,
        "Measure the set-points of the old drivers",
        "The trimmers hold the motor currents that worked; no report shows them. Stale once a trimmer is touched.",
    )
    .hazard("A tip that slips shorts a driver: insulate all but its point, black tip fixed. Unplug no motor under power.")
    .act("With power and the motors still, measure between each trimmer and −, and note it. Turn nothing.");
    let mut seen: Vec<&str> = Vec::new();
    for (driver, tag) in &drivers {
        if !seen.contains(&driver.as_str()) {
            seen.push(driver);
            step = step.expect(Expected::seen(
                format!("reference voltage of {driver} ({tag})"),
                "noted to 0.01 V",
            ));
        }
    }
    job.push(step.otherwise("0 V: another point of the trimmer; try its metal screw"));
}

/// Directions, ends and temperatures as they are.
fn behaviour(job: &mut Job<'_>) {
    let machine = &job.setup.swap.machine;
    if machine.axes.is_empty() {
        return;
    }
    let mut step = Step::new(
        "old-behaviour",
        Phase::OldController,
        Needs::Power,
        "Note directions, ends and temperatures of the running machine",
        "They are what the new board is compared with; a fault that is there now is not looked for in the new wiring.",
    )
    .hazard("Moving parts: fingers, hair and tools away. Heat nothing for this step.")
    .act("Cold, ask for all temperatures, and read a thermometer in the room.")
    .act("Move each axis by +10 mm and note which way it goes. Home each axis and note at which end it stops.")
    .expect(Expected::seen("temperatures, cold", "each noted, with that of the room"));
    for axis in &machine.axes {
        let feeds = matches!(axis.drive, Drive::Extruder { .. });
        step = step.expect(Expected::seen(
            format!("{} at +10 mm", axis.name),
            if feeds {
                "noted: feeds or draws back"
            } else {
                "noted: direction and end"
            },
        ));
    }
    job.push(step.otherwise(
        "the old controller no longer runs: skip this step; directions are then proved at first motion",
    ));
}

//! While the old controller still runs: what only it can tell, kept before anything is touched.

use model::board::{CurrentLaw, PortKind};
use model::machine::{Detail, Drive};

use crate::job::Job;
use crate::step::{Expected, Needs, Part, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    let parts: Vec<Part> = [report(job), trimmers(job), behaviour(job)]
        .into_iter()
        .flatten()
        .collect();
    let step = Step::new(
        "old-controller",
        Phase::OldController,
        Needs::Power,
        "Keep what only the old controller knows",
        "Calibrated values, set-points and directions are gone with the old board. A fault that is there now is not looked for in the new wiring.",
    )
    .parts(parts)
    .hazard("Moving parts: fingers, hair and tools away. Heat nothing for this step. Unplug no motor under power. A tip that slips shorts a driver: insulate all but its point, black tip fixed.")
    .act("Keep each row of the table.")
    .otherwise("the old controller no longer runs: skip this step. The settings sheet marks what to measure, directions are verified at first motion")
    .takes(0, 10);
    job.push_parted(step);
}

/// The settings of the old controller, where the swap does not have them yet.
fn report(job: &Job<'_>) -> Option<Part> {
    job.setup.swap.old_settings.is_empty().then(|| {
        Part::new("old-report", "its report")
            .act("connect as usual, ask for all its settings, and save the whole answer in `captured/`")
            .act("name the file as a report of the old controller in swap.toml, and run Boardswap again")
            .expect(Expected::seen(
                "saved file",
                "every line from the question to the end",
            ))
    })
}

/// Set-points of drivers that a trimmer sets: no report has them. Stale once a trimmer is touched.
fn trimmers(job: &Job<'_>) -> Option<Part> {
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
    let mut part = Part::new("old-trimmers", "set-points of its drivers")
        .act("with power and the motors still, measure between each trimmer and −; turn nothing. At 0 V try the metal screw of the trimmer");
    let mut seen: Vec<&str> = Vec::new();
    for (driver, tag) in &drivers {
        if !seen.contains(&driver.as_str()) {
            seen.push(driver);
            part = part.expect(Expected::noted(
                format!("reference voltage of {driver} ({tag})"),
                "noted to 0.01 V",
            ));
        }
    }
    (!drivers.is_empty()).then_some(part)
}

/// Directions, ends and temperatures as they are.
fn behaviour(job: &Job<'_>) -> Option<Part> {
    let machine = &job.setup.swap.machine;
    let mut part = Part::new("old-behaviour", "directions, ends, temperatures")
        .act("cold, ask for all temperatures, and read a thermometer in the room")
        .act("move each axis by +10 mm and note which way it goes. Home each axis and note at which end it stops")
        .expect(Expected::noted("temperatures, cold", "each noted, with that of the room"));
    for axis in &machine.axes {
        let feeds = matches!(axis.drive, Drive::Extruder { .. });
        part = part.expect(Expected::noted(
            format!("{} at +10 mm", axis.name),
            if feeds {
                "noted: feeds or draws back"
            } else {
                "noted: direction and end"
            },
        ));
    }
    (!machine.axes.is_empty()).then_some(part)
}

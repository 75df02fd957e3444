//! Whether a file can be of what its entry names: another device, axis or board, or numbers in another unit. Such a file is refused, so that it gives
//! neither a verdict nor advice.

use evidence::Refused;
use evidence::calibration::Wall;
use evidence::simple::Warm;
use evidence::stall::Trial;
use model::machine::{Detail, Device, Drive};
use model::{EvidenceKind, MeasuredOn};
use quantity::si::{Length, celsius, kelvin};
use quantity::{Number as _, Value};

use super::Job;

/// A unit slip is named within this share of its factor; common practice, no source.
const NEAR_A_FACTOR: f64 = 0.4;

/// Meters of a room and of a case agree within this; common practice, no source. (K)
const SAME_AIR: f64 = 3.0;

/// What begins further from its air than this was not switched off before, or is written in another scale; common practice, no source. (K)
const FAR_FROM_AIR: f64 = 20.0;

/// Why the measurement is of nothing that its entry names; nothing where it may be.
pub(super) fn foreign(job: &Job<'_>) -> Option<Refused> {
    other_device(job)
        .or_else(|| other_axis(job))
        .or_else(|| not_on_board(job))
}

/// Whether a device is of some kind.
type Is = fn(&Detail) -> bool;

/// What a kind of measurement is of, in words, and whether a device is that; nothing for kinds that any device may stand behind.
fn wanted(kind: EvidenceKind) -> Option<(&'static str, Is)> {
    Some(match kind {
        EvidenceKind::TemperatureLog => ("heater or temperature sensor", |detail| {
            matches!(detail, Detail::Heater(_) | Detail::Thermometer(_))
        }),
        EvidenceKind::FilamentTest => ("filament switch", |detail| {
            matches!(detail, Detail::FilamentSwitch(_))
        }),
        EvidenceKind::LedTest => ("LED strip", |detail| matches!(detail, Detail::LightStrip(_))),
        EvidenceKind::Repeatability => ("probe or limit switch", |detail| {
            matches!(detail, Detail::BedProbe(_) | Detail::LimitSwitch { .. })
        }),
        EvidenceKind::StallThresholdTest
        | EvidenceKind::ExtruderCalibration
        | EvidenceKind::AxisCalibration => ("motor", |detail| matches!(detail, Detail::Motor(_))),
        EvidenceKind::HeightMap
        | EvidenceKind::ExtrusionPressureTest
        | EvidenceKind::FlowCalibration
        | EvidenceKind::SupplyLog
        | EvidenceKind::MotorAndDriverTemperatures
        | EvidenceKind::SettingsReadBack => return None,
    })
}

fn name(device: &Device) -> String {
    format!("{} ({})", device.tag.value, device.name.value)
}

/// A measurement of another kind of device than those that the entry names.
fn other_device(job: &Job<'_>) -> Option<Refused> {
    let context = job.context?;
    let kind = job.keys.kind.value;
    let (what, is) = wanted(kind)?;
    let machine = &context.swap.machine;
    // A further plug of a device may be what was measured.
    let fits = |id: &model::machine::DeviceId| {
        let owner = machine.owner(*id);
        let mut all = machine.device_ids();
        all.any(|(other, device)| machine.owner(other) == owner && is(&device.detail))
    };
    let first = context.entry.devices.first()?;
    let none = !context.entry.devices.iter().any(fits);
    none.then(|| {
        Refused::new(
            format!(
                "a {kind} is of a {what}, and {} is none",
                name(machine.device(*first))
            ),
            format!("name the {what} as `devices`, or correct `kind`"),
        )
    })
}

/// An extruder calibration of an axis that moves no filament.
fn other_axis(job: &Job<'_>) -> Option<Refused> {
    let (context, named) = (job.context?, job.keys.axis.as_ref()?);
    let mut axes = context.swap.machine.axes.iter();
    let axis = axes.find(|axis| axis.name.value == named.value)?;
    let wrong = job.keys.kind.value == EvidenceKind::ExtruderCalibration
        && !matches!(axis.drive, Drive::Extruder { .. });
    wrong.then(|| {
        Refused::new(
            format!(
                "axis {} moves no filament: this is the file of another axis",
                axis.name
            ),
            "name the axis of the extruder as `axis`, or correct `kind`",
        )
    })
}

/// A sensor or a strip without a port on the board on which it is said to have been tested.
fn not_on_board(job: &Job<'_>) -> Option<Refused> {
    let context = job.context?;
    let needs_port = matches!(
        job.keys.kind.value,
        EvidenceKind::FilamentTest | EvidenceKind::LedTest | EvidenceKind::Repeatability
    );
    let Some(MeasuredOn::Candidate(at)) = context.entry.board.filter(|_| needs_port) else {
        return None;
    };
    let board = &context.swap.candidates[at];
    if board.name.value != context.plan.board.name.value {
        return None;
    }
    let facts = context.plan.facts();
    let bare = job
        .devices()
        .find(|device| !facts.pairs().any(|pair| std::ptr::eq(pair.device(), *device)))?;
    Some(Refused::new(
        format!("{} has no port on {} by the plan", name(bare), board.name),
        "name as `board` the board on which it was tested",
    ))
}

/// Trials above the maximum speed of their axis.
pub(super) fn too_fast(job: &Job<'_>, trials: &[Trial]) -> Option<Refused> {
    let axes = &job.context?.swap.machine.axes;
    trials.iter().find_map(|trial| {
        let axis = axes
            .iter()
            .find(|axis| axis.name.value.eq_ignore_ascii_case(&trial.axis))?;
        let speed = trial.speed.filter(|speed| *speed > axis.max_speed.high())?;
        Some(Refused::new(
            format!(
                "line {} tells a trial at {}, above the maximum speed {} of axis {}",
                trial.line,
                Value::exact(speed),
                axis.max_speed.value,
                axis.name
            ),
            "name the axis that was tested, or correct `max_speed` of the axis",
        ))
    })
}

/// Walls in another unit than the widths that were set.
pub(super) fn wall_slip(walls: &[Wall]) -> Option<Refused> {
    let mut shares: Vec<f64> = walls
        .iter()
        .map(|wall| wall.measured.base() / wall.set.base())
        .collect();
    shares.sort_by(f64::total_cmp);
    let middle = *shares.get(shares.len() / 2)?;
    let units = [
        (1e3, "in µm and read in mm"),
        (1e-3, "in m and read in mm"),
        (1.0 / 25.4, "in inches and read in mm"),
        (1e3 / 25.4, "in thousandths of an inch and read in mm"),
    ];
    let unit = units
        .into_iter()
        .find(|(factor, _)| (middle / factor - 1.0).abs() < NEAR_A_FACTOR)?;
    Some(Refused::new(
        format!(
            "unit slip: the walls are {middle:.3} times as thick as set, as if one column were {}",
            unit.1
        ),
        "write both columns of the file in mm",
    ))
}

/// Heights beyond what the machine can travel: no such distance was touched.
pub(super) fn height_slip(job: &Job<'_>, heights: impl Iterator<Item = Length>) -> Option<Refused> {
    let axes = job.context?.swap.machine.axes.iter();
    let travels = axes.filter_map(|axis| axis.travel.map(|travel| travel.high()));
    let longest = travels.reduce(|one, other| if other > one { other } else { one })?;
    let size = |height: Length| height.base().abs();
    let highest = heights.reduce(|one, other| if size(other) > size(one) { other } else { one })?;
    (size(highest) > longest.base()).then(|| {
        Refused::new(
            format!(
                "unit slip: the file tells a height of {}, and the longest travel is {}. In µm it would be {}",
                Value::exact(highest),
                Value::exact(longest),
                Value::exact(Length::from_base(highest.base() / 1e3))
            ),
            "write the heights in mm, or their unit into the head of the column",
        )
    })
}

/// Why a log of warmth cannot begin in its air, and what to do; nothing where it may. A stated scale is believed.
pub(super) fn other_air(job: &Job<'_>, readings: &[Warm]) -> Option<(String, &'static str)> {
    let stated = job.keys.air.map(|air| air.value);
    let room = job.context.map(|context| context.swap.ambient.temperature.value);
    let air = stated.or(room)?;
    let first = readings.first()?.temperature;
    let number = first.base() - celsius(0.0).base();
    let near = |number: f64| (celsius(number).base() - air.nominal().base()).abs() < SAME_AIR;
    let far = (first.base() - air.nominal().base()).abs() > FAR_FROM_AIR;
    let scales = [
        ("°F", (number - 32.0) / 1.8),
        ("K", number - kelvin(273.15).base()),
    ];
    if job.keys.scale.is_none()
        && far
        && let Some((scale, meant)) = scales.into_iter().find(|(_, meant)| near(*meant))
    {
        let slip = format!(
            "unit slip, the log begins at {number:.1} °C in air of {air}. In {scale} the same number is {meant:.1} °C"
        );
        return Some((
            slip,
            "State the `scale` of the log. Was the part still warm? Log again from cold.",
        ));
    }
    let colder = stated.is_some_and(|air| first.base() < air.low().base() - SAME_AIR);
    colder.then(|| {
        let clause = format!("the log begins at {number:.1} °C, colder than its air, stated as {air}");
        (
            clause,
            "Correct `air`: measure it beside the part when the log begins.",
        )
    })
}

//! A machine: axes, devices and their leads.

mod axis;
mod cable;
mod case;
mod device;
mod geometry;
mod heater;
mod lights;
mod motor;
mod plug;
mod sensor;

use quantity::Number;

use crate::check::Checker;
use crate::diagnostic::Diagnostic;
use crate::file::machine::{AxisFile, Bed, BedScrew, Case, DeviceFile, Geometry, MachineFile};
use crate::machine::{Axis, Detail, Device, DeviceId, Machine};
use crate::source::{Located, Name};
use crate::words::{DeviceKind, Kinematics};

use self::motor::FULL_STEPS;

/// Checks a machine, all of it, also where a needed part could not be read; axes and devices with a fault of their own
/// are left out after it was reported.
pub(crate) fn machine(mut file: MachineFile, checker: &mut Checker<'_>) -> CheckedMachine {
    if let Some(case) = &mut file.case.0 {
        super::origin::case(case);
        case::case(case, checker);
    }
    let kinematics = file.kinematics.0.as_ref().map(|kinematics| kinematics.value);
    if let (Some(geometry), Some(kinematics)) = (&file.geometry, kinematics) {
        geometry::geometry(geometry, kinematics, checker);
    }
    if let Some(bed) = &mut file.bed {
        // Where a screw stands and which way it turns is never guessed: it is not known then.
        let known = |screw: &BedScrew| {
            ["at", "raises"]
                .iter()
                .all(|key| !checker.assumptions.has(screw.place, key))
        };
        bed.screw.retain(known);
        self::bed(bed, checker);
    }
    for device in &mut file.device {
        device.tag.value = crate::machine::called(&device.tag.value);
    }
    implied_axes(&mut file, checker);
    checker.unique(file.axis.iter().map(|axis| &axis.name), "axis");
    let tags: Vec<Name> = file.device.iter().flat_map(tags).collect();
    checker.unique(&tags, "tag");
    let motor = |device: &DeviceFile| {
        let axis = device
            .axis
            .as_ref()
            .filter(|_| device.kind.value == DeviceKind::Motor)?;
        let steps = device.steps_per_turn.as_ref()?;
        Some((axis.value.clone(), steps.value))
    };
    let motors: Vec<(String, u32)> = file.device.iter().filter_map(motor).collect();
    let mut axes = Vec::new();
    for file in file.axis {
        let name = file.name.clone();
        let full_steps = motors
            .iter()
            .find(|(axis, _)| *axis == name.value)
            .map_or(FULL_STEPS, |(_, steps)| *steps);
        axes.extend(axis::axis(file, full_steps, checker).or_else(|| checker.refuse(&name)));
    }
    let names: Vec<String> = axes.iter().map(|axis: &Axis| axis.name.value.clone()).collect();
    let mut devices = Vec::new();
    for file in file.device {
        let tag = file.tag.clone();
        let id = DeviceId(devices.len());
        devices.extend(
            device::device(file, &names, id, checker)
                .or_else(|| checker.refuse(&tag))
                .unwrap_or_default(),
        );
    }
    let supply = devices
        .iter()
        .any(|device: &Device| matches!(device.detail, Detail::Supply(_)));
    if !supply
        && !checker
            .faults
            .iter()
            .any(|fault| fault.place.file == file.place.file)
    {
        checker.fault(
            Diagnostic::new(
                "missing-device",
                file.place,
                "the machine has no supply",
                "no device of the kind `supply`",
            )
            .expected("a [[device]] with kind = \"supply\""),
        );
    }
    CheckedMachine {
        axes,
        devices,
        name: file.name.0,
        invented: file.invented.is_some_and(|invented| invented.value),
        kinematics: file.kinematics.0,
        geometry: file.geometry,
        case: file.case.0,
        bed: file.bed,
    }
}

/// The tags of a device: its own, and those of its further plugs.
fn tags(file: &DeviceFile) -> Vec<Name> {
    let further = file.plug.iter().enumerate();
    let further = further.map(|(at, plug)| plug::tag(&file.tag, at, plug));
    std::iter::once(file.tag.clone()).chain(further).collect()
}

/// Axes that a device names and nobody described: all of them is then taken from what is usual.
fn implied_axes(file: &mut MachineFile, checker: &mut Checker<'_>) {
    for at in 0..file.device.len() {
        let device = &mut file.device[at];
        if !matches!(device.kind.value, DeviceKind::Motor | DeviceKind::LimitSwitch) {
            continue;
        }
        let unstated = device.axis.is_none() && !checker.is_lost(device.place, "axis");
        if unstated {
            device.axis = checker.assumptions.of_table(device.place, "axis");
        }
        let Some(name) = &device.axis else { continue };
        let known = file.axis.iter().any(|axis| axis.name.value == name.value);
        if known || !unstated && !is_usual(&name.value) || checker.refused.contains(&name.value) {
            continue;
        }
        let text = format!("name = {:?}", name.value);
        file.axis
            .extend(checker.assumptions.table::<AxisFile>(name.place, &text));
    }
}

/// Whether axes are called so: a letter of the machine tool trade, and a number at most.
fn is_usual(name: &str) -> bool {
    let mut letters = name.chars();
    let first = letters.next().is_some_and(|letter| "XYZABCUVWE".contains(letter));
    first && name.len() <= 2 && letters.all(|letter| letter.is_ascii_digit())
}

/// What could be read of a machine. Other files are held against it also where a needed part is missing.
pub(crate) struct CheckedMachine {
    pub axes: Vec<Axis>,
    pub devices: Vec<Device>,
    name: Option<Name>,
    invented: bool,
    kinematics: Option<Located<Kinematics>>,
    geometry: Option<Geometry>,
    case: Option<Case>,
    bed: Option<Bed>,
}

impl CheckedMachine {
    /// The machine, if no needed part is missing.
    pub fn whole(self) -> Option<Machine> {
        Some(Machine {
            name: self.name?,
            invented: self.invented,
            kinematics: self.kinematics?.value,
            geometry: self.geometry,
            case: self.case?,
            bed: self.bed,
            axes: self.axes,
            devices: self.devices,
        })
    }
}

fn bed(bed: &Bed, checker: &mut Checker<'_>) {
    checker.unique(bed.screw.iter().map(|screw| &screw.name), "screw");
    for screw in &bed.screw {
        if screw.pitch.low().base() <= 0.0 {
            let problem = format!("the screw `{}` has no pitch", screw.name.value);
            checker.fault(
                Diagnostic::new("bad-value", screw.pitch.place, problem, "not above zero")
                    .expected("the travel for one turn, such as \"0.7 mm\""),
            );
        }
    }
}

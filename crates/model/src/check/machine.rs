//! A machine: axes, devices and their leads.

use catalogue::TableFile;
use quantity::{Number, Value, si};

use super::{Checker, pins};
use crate::diagnostic::{Diagnostic, did_you_mean, listed};
use crate::file::machine::{
    AxisFile, Bed, BodyFile, Case, DeviceFile, Geometry, Lead, MachineFile, Opening, PartFile,
};
use crate::machine::{
    Axis, AxisId, Body, Detail, Device, Drive, Fan, Heater, LightStrip, Machine, Motor, Panel, Part, Sensor,
    Supply, Thermometer,
};
use crate::source::{Located, Name, Place};
use crate::words::{DeviceKind, DriveKind, Kinematics, Output, Role, Track};

/// Checks a machine, all of it, also where a needed part could not be read; axes and devices with a fault of their own
/// are left out after it was reported.
pub(crate) fn machine(file: MachineFile, checker: &mut Checker<'_>) -> CheckedMachine {
    if let Some(case) = &file.case.0 {
        self::case(case, checker);
    }
    let kinematics = file.kinematics.0.as_ref().map(|kinematics| kinematics.value);
    if let (Some(geometry), Some(kinematics)) = (&file.geometry, kinematics) {
        self::geometry(geometry, kinematics, checker);
    }
    if let Some(bed) = &file.bed {
        self::bed(bed, checker);
    }
    checker.unique(file.axis.iter().map(|axis| &axis.name), "axis");
    checker.unique(file.device.iter().map(|device| &device.tag), "tag");
    let mut axes = Vec::new();
    for file in file.axis {
        let name = file.name.clone();
        axes.extend(axis(file, checker).or_else(|| checker.refuse(&name)));
    }
    let names: Vec<String> = axes.iter().map(|axis: &Axis| axis.name.value.clone()).collect();
    let mut devices = Vec::new();
    for file in file.device {
        let tag = file.tag.clone();
        devices.extend(device(file, &names, checker).or_else(|| checker.refuse(&tag)));
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

/// Lengths belong to a delta and the tilt to a belt bed; arms must reach every place that is printed.
fn geometry(geometry: &Geometry, kinematics: Kinematics, checker: &mut Checker<'_>) {
    let place = |key: &'static str, place: Option<Place>| place.map(|place| (key, place));
    let of_delta = [
        place("arm", geometry.arm.map(|value| value.place)),
        place("radius", geometry.radius.map(|value| value.place)),
        place("reach", geometry.reach.map(|value| value.place)),
        place("nozzle_mass", geometry.nozzle_mass.map(|value| value.place)),
    ];
    let of_belt = [place("tilt", geometry.tilt.map(|value| value.place))];
    let what = format!("a machine that is {kinematics}");
    let delta = kinematics == Kinematics::Delta;
    let foreign: Vec<_> = of_delta
        .into_iter()
        .filter(|_| !delta)
        .chain(of_belt.into_iter().filter(|_| kinematics != Kinematics::BeltBed))
        .flatten()
        .collect();
    checker.leftover(foreign, &what);
    for (length, key) in [
        (geometry.arm, "arm"),
        (geometry.radius, "radius"),
        (geometry.reach, "reach"),
    ] {
        if let Some(length) = length.filter(|length| length.low().base() <= 0.0) {
            let problem = format!("`{key}` must be above zero");
            checker.fault(Diagnostic::new(
                "bad-value",
                length.place,
                problem,
                "not above zero",
            ));
        }
    }
    if let Some(tilt) = geometry.tilt
        && !(tilt.low() > si::degree(0.0) && tilt.high() <= si::degree(90.0))
    {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                tilt.place,
                "no gantry stands like that",
                "out of range",
            )
            .expected("an angle above 0° and up to 90°, mostly 45°"),
        );
    }
    if let (Some(arm), Some(radius)) = (geometry.arm, geometry.radius) {
        let reach = geometry.reach.map_or(si::metre(0.0), |reach| reach.high());
        if arm.low() <= radius.high() + reach {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    arm.place,
                    "the arms do not reach",
                    "not longer than `radius` and `reach` together",
                )
                .other(radius.place, "so far to a tower")
                .expected("an arm longer than the way from a tower to the farthest point beyond the middle"),
            );
        }
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

fn case(case: &Case, checker: &mut Checker<'_>) {
    if case.size.x.base() <= 0.0 || case.size.y.base() <= 0.0 {
        let problem = "a case without area";
        checker.fault(
            Diagnostic::new("bad-value", case.size.place, problem, "not above zero")
                .expected("two lengths above zero"),
        );
    }
    let screws = checker
        .catalogue
        .screws()
        .rows()
        .iter()
        .map(|row| row.name.as_str());
    checker.in_catalogue(&case.screw, screws, "screw", TableFile::Holes);
    for keep_out in &case.keep_out {
        if keep_out.size.x.base() <= 0.0 || keep_out.size.y.base() <= 0.0 {
            let problem = "a keep-out without area";
            checker.fault(
                Diagnostic::new("bad-value", keep_out.size.place, problem, "not above zero")
                    .expected("two lengths above zero"),
            );
        }
    }
    for opening in &case.opening {
        self::opening(opening, checker);
    }
}

fn opening(opening: &Opening, checker: &mut Checker<'_>) {
    if !matches!(opening.role.value, Role::CardSlot | Role::Usb) {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                opening.role.place,
                "an opening is for a card slot or USB",
                "not plugged in from outside",
            )
            .expected("`card slot` or `USB`"),
        );
    }
    if opening.from.nominal() >= opening.to.nominal() {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                opening.to.place,
                "the opening ends before it begins",
                "not above `from`",
            )
            .other(opening.from.place, "it begins here"),
        );
    }
}

fn axis(mut file: AxisFile, checker: &mut Checker<'_>) -> Option<Axis> {
    let what = format!("a drive by {}", file.drive.value);
    let place = file.place;
    for microsteps in [&file.old_microsteps, &file.microsteps].into_iter().flatten() {
        checker.microsteps(microsteps);
    }
    let drive = match file.drive.value {
        DriveKind::Belt => {
            let pitch = checker.need(file.pitch.take(), "pitch", place, &what);
            let teeth = checker.need(file.teeth.take(), "teeth", place, &what);
            if let Some(teeth) = &teeth
                && !(5..=400).contains(&teeth.value)
            {
                let problem = format!("no pulley has {} teeth", teeth.value);
                checker.fault(
                    Diagnostic::new("bad-value", teeth.place, problem, "out of range").expected("5 to 400"),
                );
            }
            pitch
                .zip(teeth)
                .map(|(pitch, teeth)| Drive::Belt { pitch, teeth })
        }
        DriveKind::Screw => checker
            .need(file.lead.take(), "lead", place, &what)
            .map(|lead| Drive::Screw { lead }),
        DriveKind::Extruder => checker
            .need(file.wheel.take(), "wheel", place, &what)
            .map(|wheel| Drive::Extruder { wheel }),
    };
    let leftover = [
        ("pitch", file.pitch.map(|value| value.place)),
        ("teeth", file.teeth.map(|value| value.place)),
        ("lead", file.lead.map(|value| value.place)),
        ("wheel", file.wheel.map(|value| value.place)),
    ];
    checker.leftover(
        leftover
            .into_iter()
            .filter_map(|(key, place)| Some((key, place?)))
            .collect(),
        &what,
    );
    for (share, key, least) in [
        (&file.lift, "lift", 0.0),
        (&file.efficiency, "efficiency", f64::MIN_POSITIVE),
    ] {
        if let Some(share) = share
            && (share.low().base() < least || share.high().base() > 1.0)
        {
            let problem = format!("`{key}` is a share");
            checker.fault(
                Diagnostic::new("bad-value", share.place, problem, "out of range")
                    .expected("a share up to 1"),
            );
        }
    }
    let drive = drive?;
    for (length, key) in match drive {
        Drive::Belt { pitch, .. } => [(pitch, "pitch")],
        Drive::Screw { lead } => [(lead, "lead")],
        Drive::Extruder { wheel } => [(wheel, "wheel")],
    } {
        if length.low().base() <= 0.0 {
            checker.fault(Diagnostic::new(
                "bad-value",
                length.place,
                format!("`{key}` must be above zero"),
                "not above zero",
            ));
            return None;
        }
    }
    Some(Axis {
        name: file.name,
        drive,
        ratio: file
            .ratio
            .map_or(Value::exact(si::ratio(1.0)), |ratio| ratio.value),
        travel: file.travel,
        top_speed: file.top_speed,
        acceleration: file.acceleration,
        homing_speed: file.homing_speed,
        mass: file.mass,
        friction: file.friction,
        lift: file.lift,
        efficiency: file.efficiency,
        corner_speed: file.corner_speed,
        old_direction: file.old_direction,
        old_microsteps: file.old_microsteps,
        microsteps: file.microsteps,
        place,
    })
}

fn device(mut file: DeviceFile, axes: &[String], checker: &mut Checker<'_>) -> Option<Device> {
    let what = format!("a {}", file.kind.value);
    if let Some(lead) = &file.lead.0 {
        self::lead(lead, &file.tag, checker);
        let needed = pins::of_kind(file.kind.value, file.voltage.is_some(), file.lights.is_some());
        pins::check(&lead.pins, needed, (&file.tag, &what), checker);
    }
    let price = file.price.take();
    let detail = detail(&mut file, axes, &what, checker);
    checker.leftover(file.leftover(), &what);
    Some(Device {
        tag: file.tag,
        name: file.name,
        lead: file.lead.0?,
        price,
        detail: detail?,
        place: file.place,
    })
}

fn lead(lead: &Lead, tag: &Name, checker: &mut Checker<'_>) {
    if lead.pins.is_empty() && !checker.is_lost(lead.place, "pins") {
        let problem = format!("the lead `{}` has no wires", tag.value);
        checker.fault(
            Diagnostic::new("missing-key", lead.place, problem, "no `pins`")
                .expected("`pins` with the function of each wire"),
        );
    }
    let connectors = checker.catalogue.connectors().families().rows().iter();
    let names = connectors.map(|row| row.name.as_str());
    checker.in_catalogue(&lead.connector, names, "connector", TableFile::Connectors);
    for colour in &lead.colours {
        self::colour(colour, checker);
    }
    if !lead.colours.is_empty() && !lead.pins.is_empty() && lead.colours.len() != lead.pins.len() {
        let problem = format!(
            "the lead `{}` has {} wires and {} colours",
            tag.value,
            lead.pins.len(),
            lead.colours.len()
        );
        let place = lead.colours.first().map_or(lead.place, |colour| colour.place);
        checker.fault(
            Diagnostic::new("contradiction", place, problem, "not one for each wire")
                .expected("one colour for each wire, or none at all")
                .help("write `--` for a wire whose colour is not known".to_owned()),
        );
    }
}

/// A letter code of IEC 60757, two of them joined, or `--` where the colour is not known.
fn colour(written: &Name, checker: &mut Checker<'_>) {
    let catalogue = checker.catalogue;
    if written.value == "--" || catalogue.wire_colour(&written.value).is_some() {
        return;
    }
    let colours = catalogue.colours().rows();
    let named = colours
        .iter()
        .find(|row| row.name.eq_ignore_ascii_case(&written.value));
    let help = match named {
        Some(row) => Some(format!("did you mean `{}`?", row.code)),
        None => did_you_mean(&written.value, colours.iter().map(|row| row.code.as_str())),
    };
    checker.fault(
        Diagnostic::new(
            "not-in-catalogue",
            written.place,
            format!("`{}` is no code of a wire colour", written.value),
            "no such colour",
        )
        .expected(format!(
            "letters of IEC 60757 ({}), two of them joined, or `--` where the colour is not known",
            listed(colours.iter().map(|row| row.code.as_str()))
        ))
        .help(help),
    );
}

fn axis_of(file: &mut DeviceFile, axes: &[String], what: &str, checker: &mut Checker<'_>) -> Option<AxisId> {
    let name = checker.need(file.axis.take(), "axis", file.place, what)?;
    checker
        .find(&name, axes.iter().map(String::as_str), "axis")
        .map(AxisId)
}

fn detail(file: &mut DeviceFile, axes: &[String], what: &str, checker: &mut Checker<'_>) -> Option<Detail> {
    let place = file.place;
    match file.kind.value {
        DeviceKind::Heater => heater(file, what, checker),
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
        DeviceKind::Motor => motor(file, axes, what, checker),
        DeviceKind::Fan => {
            let duty = checker.need(file.duty.take(), "duty", place, what);
            let voltage = checker.need(file.voltage.take(), "voltage", place, what);
            let current = checker.need(file.current.take(), "current", place, what);
            Some(Detail::Fan(Fan {
                duty: duty?.value,
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
            let (bears, stall_current) = (file.bears.take(), file.stall_current.take());
            sensor(file, what, checker).map(|sensor| {
                Detail::BedProbe(Sensor {
                    bears,
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
            let (level, bears) = (file.level.take(), file.bears.take());
            Some(Detail::Panel(Panel {
                interface: interface?,
                voltage: voltage?,
                current: current?,
                level,
                bears,
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

fn heater(file: &mut DeviceFile, what: &str, checker: &mut Checker<'_>) -> Option<Detail> {
    let place = file.place;
    let zone = checker.need(file.zone.take(), "zone", place, what);
    let voltage = checker.need(file.voltage.take(), "voltage", place, what);
    let power = checker.need(file.power.take(), "power", place, what);
    let working_temperature = checker.need(
        file.working_temperature.take(),
        "working_temperature",
        place,
        what,
    );
    let track = file.track.take().map_or(Track::Alloy, |track| track.value);
    let stated_at = file
        .stated_at
        .take()
        .map_or(Value::exact(si::celsius(20.0)), |stated| stated.value);
    let (weakest_part, heat_capacity, heat_loss) = (
        file.weakest_part.take(),
        file.heat_capacity.take(),
        file.heat_loss.take(),
    );
    let (coupling, second_capacity, second_loss) = (
        file.coupling.take(),
        file.second_capacity.take(),
        file.second_loss.take(),
    );
    let (dead_time, cut_out) = (file.dead_time.take(), file.cut_out.take());
    let bodies = core::mem::take(&mut file.body).into_iter();
    let bodies: Vec<Body> = bodies.filter_map(|file| body(file, checker)).collect();
    let parts: Vec<Part> = core::mem::take(&mut file.part).into_iter().map(part).collect();
    checker.unique(bodies.iter().map(|body| &body.name), "body");
    checker.unique(parts.iter().map(|part| &part.name), "part");
    second_body(
        place,
        [
            ("coupling", coupling.is_some()),
            ("second_loss", second_loss.is_some()),
        ],
        second_capacity.is_some() || bodies.iter().any(|body| body.second),
        parts.iter().find(|part| part.second),
        checker,
    );
    Some(Detail::Heater(Box::new(Heater {
        bodies,
        parts,
        coupling,
        second_capacity,
        second_loss,
        dead_time,
        cut_out,
        zone: zone?.value,
        voltage: voltage?,
        power: power?,
        track,
        stated_at,
        working_temperature: working_temperature?,
        weakest_part,
        heat_capacity,
        heat_loss,
    })))
}

fn body(file: BodyFile, checker: &mut Checker<'_>) -> Option<Body> {
    let place = file.size.first().map_or(file.place, |first| first.place);
    let Ok(size) = <[Located<Value<si::Length>>; 3]>::try_from(file.size) else {
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
        bears: file.bears,
        second: file.second.is_some_and(|second| second.value),
    }
}

/// A second body needs all of its three figures, or none.
fn second_body(
    place: Place,
    figures: [(&'static str, bool); 2],
    capacity: bool,
    part: Option<&Part>,
    checker: &mut Checker<'_>,
) {
    let any = capacity || figures.iter().any(|(_, given)| *given);
    let missing = figures
        .iter()
        .find(|(key, given)| !given && !checker.is_lost(place, key))
        .map(|(key, _)| *key)
        .or_else(|| (!capacity && !checker.is_lost(place, "second_capacity")).then_some("second_capacity"));
    if let (true, Some(missing)) = (any, missing) {
        checker.fault(
            Diagnostic::new(
                "contradiction",
                place,
                format!("the second body lacks `{missing}`"),
                format!("no `{missing}`"),
            )
            .expected(
                "`coupling`, `second_loss`, and `second_capacity` or a [[device.body]] with second = true",
            )
            .help("or leave out all of them: then the part counts as one body".to_owned()),
        );
    }
    if let (false, Some(part)) = (any, part) {
        checker.fault(
            Diagnostic::new(
                "contradiction",
                part.name.place,
                format!(
                    "`{}` belongs to a second body that is not described",
                    part.name.value
                ),
                "no second body",
            )
            .expected("`coupling`, `second_loss` and `second_capacity` of this heater"),
        );
    }
}

fn motor(file: &mut DeviceFile, axes: &[String], what: &str, checker: &mut Checker<'_>) -> Option<Detail> {
    let axis = axis_of(file, axes, what, checker);
    let current = checker.need(file.current.take(), "current", file.place, what);
    let steps_per_turn = match file.steps_per_turn.take() {
        None => 200,
        Some(steps) if (4..=2000).contains(&steps.value) => steps.value,
        Some(steps) => {
            let problem = format!("no motor has {} full steps per turn", steps.value);
            checker.fault(
                Diagnostic::new("bad-value", steps.place, problem, "out of range")
                    .expected("4 to 2000, mostly 200 or 400"),
            );
            return None;
        }
    };
    let run_current = file.run_current.take();
    let (resistance, inductance, holding_torque, rotor_inertia) = (
        file.resistance.take(),
        file.inductance.take(),
        file.holding_torque.take(),
        file.rotor_inertia.take(),
    );
    let current: Located<Value<si::ElectricCurrent>> = current?;
    Some(Detail::Motor(Motor {
        axis: axis?,
        run_current: run_current.map_or(Value::exact(current.nominal() * 0.85), |run| run.value),
        current,
        resistance,
        inductance,
        holding_torque,
        rotor_inertia,
        steps_per_turn,
    }))
}

fn sensor(file: &mut DeviceFile, what: &str, checker: &mut Checker<'_>) -> Option<Sensor> {
    let place = file.place;
    let output = checker.need(file.output.take(), "output", place, what);
    let (voltage, current, level) = (file.voltage.take(), file.current.take(), file.level.take());
    let output = output?;
    if voltage.is_some() && current.is_none() {
        checker.need(current, "current", place, "a sensor with a supply");
        return None;
    }
    if let (Some(current), None) = (&current, &voltage)
        && !checker.is_lost(place, "voltage")
    {
        let problem = "a current without a supply voltage";
        checker.fault(
            Diagnostic::new("contradiction", current.place, problem, "no `voltage`")
                .expected("both or neither"),
        );
        return None;
    }
    if output.value == Output::PushPull && level.is_none() {
        checker.need(level, "level", place, "a push-pull output");
        return None;
    }
    Some(Sensor {
        output,
        voltage,
        current,
        level,
        bears: None,
        stall_current: None,
    })
}

fn lights(file: &mut DeviceFile, what: &str, checker: &mut Checker<'_>) -> Option<Detail> {
    let place = file.place;
    let voltage = checker.need(file.voltage.take(), "voltage", place, what);
    let (length, resistance, capacitance) = (
        file.strip_length.take(),
        file.strip_resistance.take(),
        file.capacitance.take(),
    );
    let (lights, per_light, current) = (
        file.lights.take(),
        file.current_per_light.take(),
        file.current.take(),
    );
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
        _ if ["lights", "current_per_light", "current"]
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
                    "`lights` and `current_per_light` for an addressable strip, `current` for a plain one",
                ),
            );
            return None;
        }
    };
    Some(Detail::LightStrip(LightStrip {
        voltage: voltage?,
        current,
        lights,
        length,
        resistance,
        capacitance,
    }))
}

//! A board: rails, drivers, jumpers and ports against each other.

use quantity::{Number, Value, si};

use super::Checker;
use crate::board::{
    Board, CurrentLaw, Driver, DriverId, Jumper, JumperId, MadeRail, Port, PortId, PortKind, PortSupply,
    Rail, RailId, SwitchInput, ThermometerInput,
};
use crate::diagnostic::Diagnostic;
use crate::file::board::{BoardFile, DriverFile, JumperFile, Outline, PortFile, RailFile};
use crate::read::Map;
use crate::source::{Located, Name, Place};
use crate::words::{Along, Circuit, Joint, Pull, Role, SetBy, Side, Turn};

/// Checks a board; ports and drivers with a fault of their own are left out after it was reported.
pub(crate) fn board(file: BoardFile, path: &str, checker: &mut Checker<'_>) -> Board {
    outline(&file.outline, checker);
    let rails = rails(&file.rails, checker);
    let jumpers = jumpers(file.jumper, &rails, checker);
    let drivers: Vec<Driver> = file
        .driver
        .into_iter()
        .filter_map(|driver| self::driver(driver, checker))
        .collect();
    checker.unique(drivers.iter().map(|driver| &driver.name), "driver");
    checker.unique(file.port.iter().map(|port| &port.name), "port");
    let names: Vec<String> = file.port.iter().map(|port| port.name.value.clone()).collect();
    let context = Context {
        rails: &rails,
        jumpers: &jumpers,
        drivers: &drivers,
        outline: &file.outline,
    };
    let mut ports = Vec::new();
    let mut excludes = Vec::new();
    for file in file.port {
        let wanted = file.excludes.clone();
        if let Some(port) = port(file, &context, checker) {
            ports.push(port);
            excludes.push(wanted);
        }
    }
    for (at, wanted) in excludes.into_iter().enumerate() {
        for name in wanted {
            let own = ports[at].name.value.clone();
            if name.value == own {
                let problem = format!("`{own}` excludes itself");
                checker.fault(Diagnostic::new(
                    "self-reference",
                    name.place,
                    problem,
                    "the port itself",
                ));
                continue;
            }
            // Names of ports that were refused are known to the checker as declared.
            if checker
                .find(&name, names.iter().map(String::as_str), "port")
                .is_some()
                && let Some(other) = ports.iter().position(|port| port.name.value == name.value)
            {
                ports[at].excludes.push(PortId(other));
            }
        }
    }
    sockets(&ports, &drivers, checker);
    Board {
        name: file.name,
        path: path.to_owned(),
        invented: file.invented.is_some_and(|invented| invented.value),
        price: file.price,
        outline: file.outline,
        input: file.input,
        processor: file.processor,
        rails,
        drivers,
        jumpers,
        ports,
        place: file.place,
    }
}

fn outline(outline: &Outline, checker: &mut Checker<'_>) {
    let size = outline.size.value;
    if size.x.base() <= 0.0 || size.y.base() <= 0.0 {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                outline.size.place,
                "a board without area",
                "not above zero",
            )
            .expected("two lengths above zero"),
        );
        return;
    }
    for hole in &outline.holes {
        if !inside(hole.value, size) {
            checker.fault(
                Diagnostic::new(
                    "outside-outline",
                    hole.place,
                    "a hole outside the board",
                    "not on the board",
                )
                .other(outline.size.place, "the size of the board")
                .expected("a centre between the corners of the board"),
            );
        }
    }
}

fn inside(point: crate::read::Point, size: crate::read::Point) -> bool {
    let zero = si::metre(0.0);
    point.x >= zero && point.y >= zero && point.x <= size.x && point.y <= size.y
}

fn rails(files: &Map<RailFile>, checker: &mut Checker<'_>) -> Vec<Rail> {
    let names: Vec<Name> = files.0.iter().map(|(name, _)| name.clone()).collect();
    let place = names.first().map(|name| name.place);
    let mut all: Vec<&str> = vec!["input"];
    all.extend(names.iter().map(|name| name.value.as_str()));
    let mut rails = vec![Rail {
        name: Located {
            value: "input".to_owned(),
            place: place.unwrap_or(Place::nowhere()),
        },
        made: None,
    }];
    let mut feeders: Vec<(usize, Name)> = Vec::new();
    for (name, file) in &files.0 {
        if name.value == "input" {
            checker.fault(
                Diagnostic::new(
                    "duplicate-name",
                    name.place,
                    "the rail `input` is always there",
                    "not needed",
                )
                .help("describe the supply of the board under [input]".to_owned()),
            );
            continue;
        }
        if let Some(feeder) = &file.fed_by {
            feeders.push((rails.len(), feeder.clone()));
        }
        rails.push(Rail {
            name: name.clone(),
            made: Some(made_rail(file)),
        });
    }
    for (at, feeder) in feeders {
        let found = checker.find(&feeder, all.iter().copied(), "rail");
        let target = found.and_then(|_| rails.iter().position(|rail| rail.name.value == feeder.value));
        if let (Some(target), Some(made)) = (target, &mut rails[at].made) {
            made.fed_by = RailId(target);
        }
    }
    break_circles(&mut rails, checker);
    rails
}

fn made_rail(file: &RailFile) -> MadeRail {
    MadeRail {
        source: file.source,
        voltage: file.voltage,
        current: file.current,
        own_use: file
            .own_use
            .map_or(Value::exact(si::ampere(0.0)), |own| own.value),
        fed_by: RailId::INPUT,
        efficiency: file.efficiency.map_or(
            Value::between(si::percent(77.0), si::percent(85.0), si::percent(93.0)),
            |given| given.value,
        ),
    }
}

/// Following the feeders must end at the input; the first rail of a circle is hung there after the fault.
fn break_circles(rails: &mut [Rail], checker: &mut Checker<'_>) {
    for start in 1..rails.len() {
        let mut at = start;
        for _ in 0..rails.len() {
            at = rails[at].made.as_ref().map_or(0, |made| made.fed_by.0);
        }
        if at != 0 {
            let name = rails[start].name.clone();
            checker.fault(
                Diagnostic::new(
                    "circular-rail",
                    name.place,
                    format!("the rail `{}` feeds itself", name.value),
                    "part of a circle",
                )
                .expected("feeders that lead to the rail `input`"),
            );
            if let Some(made) = &mut rails[start].made {
                made.fed_by = RailId::INPUT;
            }
        }
    }
}

fn jumpers(files: Vec<JumperFile>, rails: &[Rail], checker: &mut Checker<'_>) -> Vec<Jumper> {
    checker.unique(files.iter().map(|jumper| &jumper.name), "jumper");
    let names: Vec<&str> = rails.iter().map(|rail| rail.name.value.as_str()).collect();
    let mut out = Vec::new();
    for file in files {
        let ids: Vec<RailId> = file
            .rails
            .iter()
            .filter_map(|name| checker.find(name, names.iter().copied(), "rail"))
            .map(RailId)
            .collect();
        if file.rails.is_empty() {
            let problem = format!("the jumper `{}` offers no rail", file.name.value);
            checker.fault(
                Diagnostic::new("missing-key", file.place, problem, "no rail")
                    .expected("`rails` with at least one name"),
            );
        }
        out.push(Jumper {
            name: file.name,
            rails: ids,
        });
    }
    out
}

fn driver(mut file: DriverFile, checker: &mut Checker<'_>) -> Option<Driver> {
    let what = format!("a driver set by {}", file.set_by.value);
    checker.microsteps(&file.microsteps);
    if let Some(fixed) = &file.fixed_microsteps {
        checker.microsteps(fixed);
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
        measure: file.measure.value,
        law,
        on_resistance: file.on_resistance,
        thermal_resistance: file.thermal_resistance,
        thermal_resistance_with_sink: file.thermal_resistance_with_sink,
        heat_sink: file.heat_sink.is_some_and(|sink| sink.value),
        microsteps: file.microsteps,
        fixed_microsteps: file.fixed_microsteps,
        quiet_standstill: file.quiet_standstill.is_some_and(|quiet| quiet.value),
        load_measurement: file.load_measurement.is_some_and(|measures| measures.value),
        load_floor: file.load_floor,
        turn: file.turn.map_or(Turn::Normal, |turn| turn.value),
        joint: file.joint.map_or(Joint::Parallel, |joint| joint.value),
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

struct Context<'a> {
    rails: &'a [Rail],
    jumpers: &'a [Jumper],
    drivers: &'a [Driver],
    outline: &'a Outline,
}

fn port(mut file: PortFile, context: &Context<'_>, checker: &mut Checker<'_>) -> Option<Port> {
    let role = file.role.value;
    let what = format!("a {role}");
    if !inside(file.at.value, context.outline.size.value) {
        checker.fault(
            Diagnostic::new(
                "outside-outline",
                file.at.place,
                format!("the port `{}` lies outside the board", file.name.value),
                "not on the board",
            )
            .other(context.outline.size.place, "the size of the board")
            .expected("a centre between the corners of the board"),
        );
    }
    check_pins(&file.pins, &file.name, checker);
    let kind = port_kind(&mut file, context, &what, checker);
    let supply = supply(&mut file, context, &what, checker);
    let current = file.current.take();
    let powered = matches!(
        role,
        Role::SwitchedOutput
            | Role::HeaterOutput
            | Role::PermanentOutput
            | Role::ProbePort
            | Role::LightData
            | Role::SupplyInput
    );
    if powered && current.is_none() {
        checker.need(None::<()>, "current", file.place, &what);
    }
    let along = file.along.take().map_or(Along::X, |along| along.value);
    let (mcu_pin, timer) = (file.mcu_pin.take(), file.timer.take());
    file.excludes.clear();
    let pins = std::mem::take(&mut file.pins);
    checker.leftover(file.leftover(), &what);
    if powered && current.is_none() {
        return None;
    }
    Some(Port {
        kind: kind?,
        connector: file.connector,
        pins,
        at: file.at,
        along,
        supply: supply?,
        current,
        mcu_pin,
        timer,
        excludes: Vec::new(),
        name: file.name,
        place: file.place,
    })
}

fn check_pins(pins: &[Located<crate::words::Pin>], name: &Name, checker: &mut Checker<'_>) {
    use crate::words::Pin;
    for (at, pin) in pins.iter().enumerate() {
        let once = matches!(
            pin.value,
            Pin::A1
                | Pin::A2
                | Pin::B1
                | Pin::B2
                | Pin::Signal
                | Pin::Control
                | Pin::Data
                | Pin::End1
                | Pin::End2
        );
        if once && let Some(first) = pins[..at].iter().find(|other| other.value == pin.value) {
            checker.fault(
                Diagnostic::new(
                    "duplicate-pin",
                    pin.place,
                    format!("`{}` has the pin `{}` twice", name.value, pin.value),
                    "again here",
                )
                .other(first.place, "first here"),
            );
        }
    }
}

fn supply(
    file: &mut PortFile,
    context: &Context<'_>,
    what: &str,
    checker: &mut Checker<'_>,
) -> Option<PortSupply> {
    let role = file.role.value;
    let (rail, jumper) = (file.rail.take(), file.jumper.take());
    if let (Some(rail), Some(jumper)) = (&rail, &jumper) {
        checker.fault(
            Diagnostic::new(
                "contradiction",
                jumper.place,
                "a port has a rail or a jumper, not both",
                "the jumper",
            )
            .other(rail.place, "the rail"),
        );
    }
    if let Some(name) = jumper {
        let found = checker.find(
            &name,
            context.jumpers.iter().map(|jumper| jumper.name.value.as_str()),
            "jumper",
        )?;
        return Some(PortSupply::Jumper(JumperId(found)));
    }
    if let Some(name) = rail {
        let found = checker.find(
            &name,
            context.rails.iter().map(|rail| rail.name.value.as_str()),
            "rail",
        )?;
        return Some(PortSupply::Rail(RailId(found)));
    }
    let needs = matches!(
        role,
        Role::SwitchedOutput | Role::HeaterOutput | Role::PermanentOutput | Role::ProbePort
    );
    if needs {
        checker.need(None::<()>, "rail", file.place, what);
        return None;
    }
    Some(if matches!(role, Role::SupplyInput | Role::MotorOutput) {
        PortSupply::Rail(RailId::INPUT)
    } else {
        PortSupply::None
    })
}

fn port_kind(
    file: &mut PortFile,
    context: &Context<'_>,
    what: &str,
    checker: &mut Checker<'_>,
) -> Option<PortKind> {
    let place = file.place;
    match file.role.value {
        role @ (Role::SwitchedOutput | Role::HeaterOutput) => Some(PortKind::Switched {
            heater: role == Role::HeaterOutput,
            side: file.side.take().map_or(Side::Low, |side| side.value),
            pwm: file.pwm.take().is_some_and(|pwm| pwm.value),
            resistance: file.switch_resistance.take(),
        }),
        Role::PermanentOutput => Some(PortKind::Permanent),
        Role::MotorOutput => {
            let name = checker.need(file.driver.take(), "driver", place, what)?;
            let names = context.drivers.iter().map(|driver| driver.name.value.as_str());
            Some(PortKind::Motor {
                driver: DriverId(checker.find(&name, names, "driver")?),
            })
        }
        Role::ThermometerInput => thermometer(file, what, checker),
        Role::SwitchInput => Some(PortKind::Switch(switch(file, what, checker)?)),
        Role::ProbePort => {
            let input = switch(file, what, checker);
            let level = checker.need(file.level.take(), "level", place, what);
            Some(PortKind::Probe {
                input: input?,
                level: level?,
            })
        }
        role @ (Role::Serial | Role::Display) => {
            let interface = checker.need(file.interface.take(), "interface", place, what);
            let level = checker.need(file.level.take(), "level", place, what);
            let bears = checker.need(file.bears.take(), "bears", place, what);
            Some(PortKind::Line {
                display: role == Role::Display,
                interface: interface?,
                level: level?,
                bears: bears?,
            })
        }
        Role::LightData => {
            let series_resistor = file.series_resistor.take();
            Some(PortKind::LightData {
                level: checker.need(file.level.take(), "level", place, what)?,
                series_resistor,
            })
        }
        Role::CardSlot => Some(PortKind::CardSlot {
            edge: checker.need(file.edge.take(), "edge", place, what)?,
        }),
        Role::Usb => Some(PortKind::Usb {
            edge: checker.need(file.edge.take(), "edge", place, what)?,
        }),
        Role::SupplyInput => Some(PortKind::SupplyInput),
    }
}

fn switch(file: &mut PortFile, what: &str, checker: &mut Checker<'_>) -> Option<SwitchInput> {
    let pull = checker.need(file.pull.take(), "pull", file.place, what);
    let bears = checker.need(file.bears.take(), "bears", file.place, what);
    let pull_resistor = file.pull_resistor.take();
    if let (Some(pull), Some(resistor)) = (&pull, &pull_resistor)
        && pull.value == Pull::None
    {
        checker.fault(
            Diagnostic::new(
                "contradiction",
                resistor.place,
                "a pull resistor without a pull",
                "the resistor",
            )
            .other(pull.place, "no pull"),
        );
    }
    Some(SwitchInput {
        pull: pull?,
        pull_resistor,
        bears: bears?,
    })
}

fn thermometer(file: &mut PortFile, what: &str, checker: &mut Checker<'_>) -> Option<PortKind> {
    let place = file.place;
    let circuit = checker.need(file.circuit.take(), "circuit", place, what);
    let pull_up = checker.need(file.pull_up.take(), "pull_up", place, what);
    let reference = checker.need(file.reference.take(), "reference", place, what);
    let adc_bits = checker.need(file.adc_bits.take(), "adc_bits", place, what);
    let (noise, filter, amplification) = (file.noise.take(), file.filter.take(), file.amplification.take());
    if let Some(bits) = &adc_bits
        && !(8..=24).contains(&bits.value)
    {
        let problem = format!("no converter has {} bits", bits.value);
        checker.fault(Diagnostic::new("bad-value", bits.place, problem, "out of range").expected("8 to 24"));
        return None;
    }
    if let (Some(circuit), Some(given)) = (&circuit, &amplification)
        && circuit.value == Circuit::Divider
    {
        checker.fault(
            Diagnostic::new(
                "contradiction",
                given.place,
                "a plain divider amplifies nothing",
                "the amplification",
            )
            .other(circuit.place, "the circuit"),
        );
    }
    Some(PortKind::Thermometer(ThermometerInput {
        circuit: circuit?,
        pull_up: pull_up?,
        reference: reference?,
        adc_bits: adc_bits?,
        noise,
        amplification: amplification.map_or(Value::exact(si::ratio(1.0)), |given| given.value),
        filter,
    }))
}

/// A driver has one or two motor outputs.
fn sockets(ports: &[Port], drivers: &[Driver], checker: &mut Checker<'_>) {
    for (at, driver) in drivers.iter().enumerate() {
        let own: Vec<&Port> = ports
            .iter()
            .filter(|port| matches!(port.kind, PortKind::Motor { driver } if driver.0 == at))
            .collect();
        if own.len() > 2 {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    own[2].place,
                    format!(
                        "the driver `{}` has more than two motor outputs",
                        driver.name.value
                    ),
                    "the third",
                )
                .other(driver.name.place, "the driver"),
            );
        }
        if own.is_empty() {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    driver.name.place,
                    format!("no motor output belongs to the driver `{}`", driver.name.value),
                    "without output",
                )
                .expected("a port of the role `motor output` that names the driver"),
            );
        }
    }
}

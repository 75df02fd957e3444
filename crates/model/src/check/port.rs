//! A port: the keys that its role needs, and what they refer to.

use catalogue::TableFile;
use quantity::{Value, si};

use super::board::{has_area, inside};
use super::{Checker, pins};
use crate::board::{
    Driver, DriverId, Jumper, JumperId, Port, PortKind, PortSupply, Rail, RailId, SwitchInput,
    ThermometerInput,
};
use crate::diagnostic::Diagnostic;
use crate::file::board::{Outline, PortFile};
use crate::words::{Along, Circuit, Pin, Pull, Role, Side};

/// What the ports of a board may name.
pub(crate) struct Context<'a> {
    pub rails: &'a [Rail],
    pub jumpers: &'a [Jumper],
    pub drivers: &'a [Driver],
    pub outline: Option<&'a Outline>,
}

/// Checks a port; nothing where it has a fault of its own. What it excludes is resolved when all ports are known.
pub(crate) fn port(mut file: PortFile, context: &Context<'_>, checker: &mut Checker<'_>) -> Option<Port> {
    let role = file.role.value;
    let what = format!("a {role}");
    if let Some(outline) = context.outline
        && has_area(outline)
        && !checker.assumptions.has(file.place, "at")
        && !inside(file.at.value, outline.size.value)
    {
        checker.fault(
            Diagnostic::new(
                "outside-outline",
                file.at.place,
                format!("the port `{}` lies outside the board", file.name.value),
                "not on the board",
            )
            .other(outline.size.place, "the size of the board")
            .expected("a centre between the corners of the board"),
        );
    }
    let side = side(&mut file);
    pins::check(
        &file.pins,
        pins::of_role(role, side),
        (&file.name, &what),
        checker,
    );
    if role != Role::CardSlot {
        let rows = checker.catalogue.connectors().families().rows().iter();
        let names = rows.map(|row| row.name.as_str());
        checker.in_catalogue(&file.connector, names, "connector", TableFile::Connectors);
    }
    let kind = port_kind(&mut file, side, context, &what, checker);
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
    let current = if powered {
        checker.need(current, "current", file.place, &what)
    } else {
        current
    };
    let along = file.along.take().map_or(Along::X, |along| along.value);
    let undriven = file.undriven.take();
    let (processor_pin, timer) = (file.processor_pin.take(), file.timer.take());
    let number = file.number.take();
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
        processor_pin,
        number,
        timer,
        excludes: Vec::new(),
        undriven,
        name: file.name,
        place: file.place,
    })
}

/// The pole that a switched output switches: as stated, else as its pins say, else the negative one.
fn side(file: &mut PortFile) -> Side {
    let switches = matches!(file.role.value, Role::SwitchedOutput | Role::HeaterOutput);
    let has = |wanted: Pin| file.pins.iter().any(|pin| pin.value == wanted);
    match file.side.take_if(|_| switches) {
        Some(side) => side.value,
        None if has(Pin::SwitchedPlus) && !has(Pin::SwitchedMinus) => Side::High,
        None => Side::Low,
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
    let needs = matches!(
        role,
        Role::SwitchedOutput | Role::HeaterOutput | Role::PermanentOutput | Role::ProbePort
    );
    if needs && rail.is_none() && checker.is_lost(file.place, "jumper") {
        return None;
    }
    let rail = if needs {
        Some(checker.need(rail, "rail", file.place, what)?)
    } else {
        rail
    };
    if let Some(name) = rail {
        let found = checker.find(
            &name,
            context.rails.iter().map(|rail| rail.name.value.as_str()),
            "rail",
        )?;
        return Some(PortSupply::Rail(RailId(found)));
    }
    Some(if matches!(role, Role::SupplyInput | Role::MotorOutput) {
        PortSupply::Rail(RailId::INPUT)
    } else {
        PortSupply::None
    })
}

fn port_kind(
    file: &mut PortFile,
    side: Side,
    context: &Context<'_>,
    what: &str,
    checker: &mut Checker<'_>,
) -> Option<PortKind> {
    let place = file.place;
    match file.role.value {
        role @ (Role::SwitchedOutput | Role::HeaterOutput) => Some(PortKind::Switched {
            heater: role == Role::HeaterOutput,
            side,
            pwm: file.pwm.take().map(|pwm| pwm.value),
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
            // Without a pin for the signal there is no input, and no key for one.
            let reads = file.pins.is_empty() || file.pins.iter().any(|pin| pin.value == Pin::Signal);
            if !reads {
                without_signal(file, what, checker);
            }
            let input = reads.then(|| switch(file, what, checker));
            let level = checker.need(file.level.take(), "level", place, what);
            Some(PortKind::Probe {
                input: match input {
                    Some(input) => Some(input?),
                    None => None,
                },
                level: level?,
            })
        }
        role @ (Role::Serial | Role::Display) => {
            let interface = checker.need(file.interface.take(), "interface", place, what);
            let level = checker.need(file.level.take(), "level", place, what);
            let bears = checker.need(file.max_input_voltage.take(), "max_input_voltage", place, what);
            Some(PortKind::Line {
                display: role == Role::Display,
                interface: interface?,
                level: level?,
                max_input_voltage: bears?,
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

/// A port that says how its signal is held, and has no pin for one.
fn without_signal(file: &mut PortFile, what: &str, checker: &mut Checker<'_>) {
    let stated = [
        ("pull", file.pull.take().map(|value| value.place)),
        (
            "pull_resistor",
            file.pull_resistor.take().map(|value| value.place),
        ),
        (
            "max_input_voltage",
            file.max_input_voltage.take().map(|value| value.place),
        ),
    ];
    let Some((key, place)) = stated.into_iter().find_map(|(key, place)| Some((key, place?))) else {
        return;
    };
    let pins = file.pins.first().map_or(file.place, |pin| pin.place);
    checker.fault(
        Diagnostic::new(
            "missing-pin",
            pins,
            format!("`{}` has no `signal`: `{key}` says how one is held", file.name),
            "no `signal`",
        )
        .other(place, "of this signal")
        .expected(format!("`signal` among the pins of {what} that reads one"))
        .help(
            "where the signal goes to an input elsewhere, remove these keys, and give that wire of the probe a [[device.plug]]"
                .to_owned(),
        ),
    );
}

fn switch(file: &mut PortFile, what: &str, checker: &mut Checker<'_>) -> Option<SwitchInput> {
    let pull = checker.need(file.pull.take(), "pull", file.place, what);
    let bears = checker.need(
        file.max_input_voltage.take(),
        "max_input_voltage",
        file.place,
        what,
    );
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
        max_input_voltage: bears?,
    })
}

fn thermometer(file: &mut PortFile, what: &str, checker: &mut Checker<'_>) -> Option<PortKind> {
    let place = file.place;
    let circuit = checker.need(file.circuit.take(), "circuit", place, what);
    let pull_up = checker.need(file.pull_up.take(), "pull_up", place, what);
    let reference = checker.need(file.reference.take(), "reference", place, what);
    let adc_bits = checker.need(file.adc_bits.take(), "adc_bits", place, what);
    let pull_up_supply = file.pull_up_supply.take();
    if let (Some(supply), Some(reference)) = (&pull_up_supply, &reference) {
        let apart = (supply.nominal() / reference.nominal()).value;
        // Within this the two are meant to be one voltage.
        if !(0.95..=1.05).contains(&apart) {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    supply.place,
                    "the pull-up hangs on another voltage than the reference",
                    "its supply",
                )
                .other(reference.place, "the reference")
                .expected("within 5 % of the reference")
                .help("a pull-up on another voltage is no plain divider: give reference and pull-up of a divider that reads the same".to_owned()),
            );
        }
    }
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
        pull_up_supply,
        adc_bits: adc_bits?,
        noise,
        amplification: amplification.map_or(Value::exact(si::ratio(1.0)), |given| given.value),
        filter,
    }))
}

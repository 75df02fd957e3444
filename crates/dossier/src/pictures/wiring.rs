//! The wiring: every device with its lead to its port.

use drawing::{Action, Along, Cable, Device, Kind, Mm, MountingHole, Port, Spot, Wire, Wiring, WiringBoard};
use model::machine::Detail;
use plan::{ActionKind, Row, WireRow};
use quantity::Number;
use quantity::si::Length;

use crate::shown::Shown;
use crate::words::plural;

pub(super) fn wiring(shown: &Shown<'_>, prefix: String) -> Wiring {
    let (plan, machine) = (shown.plan, &shown.swap.machine);
    let connected = shown.rows.iter().filter(|row| row.new_port.is_some()).count();
    let title = format!("Wiring of {} on {}", machine.name, plan.board.name);
    let description = format!(
        "{} to the ports of {}; the table of cables says the same in words.",
        plural(connected, "cable goes", "cables go"),
        plan.board.name
    );
    Wiring {
        head: super::head(shown, prefix, &title, description),
        board: board(shown, plan.board),
        devices: shown.rows.iter().map(|row| device(shown, row)).collect(),
        cables: shown
            .rows
            .iter()
            .enumerate()
            .filter_map(|(at, row)| cable(at, row))
            .collect(),
        notes: vec!["Unplug from the mains before you touch a cable.".to_owned()],
    }
}

pub(super) fn mm(length: Length) -> Mm {
    Mm(length.base() * 1e3)
}

pub(super) fn spot(point: model::Point) -> Spot {
    Spot {
        x: mm(point.x),
        y: mm(point.y),
    }
}

fn board(shown: &Shown<'_>, board: &model::board::Board) -> WiringBoard {
    let hole = |at: &model::Located<model::Point>| MountingHole {
        at: spot(at.value),
        diameter: mm(board.outline.hole_diameter.nominal()),
    };
    WiringBoard {
        name: board.name.value.clone(),
        width: mm(board.outline.size.x),
        height: mm(board.outline.size.y),
        holes: board.outline.holes.iter().map(hole).collect(),
        ports: board.ports.iter().map(|port| self::port(shown, port)).collect(),
        front: shown.plan.site.seats.new.front(),
    }
}

fn port(shown: &Shown<'_>, port: &model::board::Port) -> Port {
    let family = shown.swap.catalogue.connectors().get(&port.connector.value);
    Port {
        name: port.name.value.clone(),
        at: spot(port.at.value),
        // A family without a row of contacts is drawn as if it had the commonest pitch.
        pitch: family
            .and_then(|family| family.pitch)
            .map_or(Mm(2.5), |pitch| mm(pitch.nominal())),
        pins: port.pins.iter().map(|pin| pin.value.word().to_owned()).collect(),
        along: Some(match port.along {
            model::Along::X => Along::X,
            model::Along::Y => Along::Y,
        }),
        // Families of box headers say their rows in their name: "box header 2x5 2.54 mm".
        rows: if port.connector.value.starts_with("box header 2x") {
            2
        } else {
            1
        },
    }
}

fn device(shown: &Shown<'_>, row: &Row) -> Device {
    let device = shown.swap.machine.device(row.id);
    Device {
        tag: row.tag.clone(),
        name: row.device.clone(),
        kind: kind(&device.detail),
        note: if device.signal().is_none() && device.detail.sensor().is_some() {
            // The signal runs in another plug.
            device
                .detail
                .sensor()
                .and_then(|sensor| sensor.voltage)
                .map_or_else(String::new, |voltage| {
                    quantity::Value::exact(voltage.nominal()).to_string()
                })
        } else {
            note(&device.detail)
        },
    }
}

fn kind(detail: &Detail) -> Kind {
    match detail.share() {
        Detail::Heater(_) | Detail::Supply(_) => Kind::Power,
        Detail::Motor(_) => Kind::Motion,
        Detail::Fan(_) => Kind::Air,
        Detail::Thermometer(_)
        | Detail::LimitSwitch { .. }
        | Detail::BedProbe(_)
        | Detail::FilamentSwitch(_)
        | Detail::Tachometer(_)
        | Detail::Plug(_) => Kind::Sense,
        Detail::LightStrip(_) | Detail::Panel(_) => Kind::Show,
    }
}

/// What stands small below a device: its rating without tolerances.
fn note(detail: &Detail) -> String {
    use quantity::Value;
    match detail {
        Detail::Heater(heater) => format!(
            "{}{}, {}",
            heater
                .relay
                .as_ref()
                .map_or_else(String::new, |_| format!("drives the {}: ", heater.zone)),
            Value::exact(heater.voltage.nominal()),
            Value::exact(heater.power.nominal())
        ),
        Detail::Supply(supply) => format!(
            "{}, {}",
            Value::exact(supply.voltage.nominal()),
            Value::exact(supply.power.nominal())
        ),
        Detail::Thermometer(thermometer) => thermometer.sensor.value.clone(),
        Detail::Motor(motor) => format!("{} a phase", Value::exact(motor.current.nominal())),
        Detail::Fan(fan) => format!(
            "{}, {}",
            Value::exact(fan.voltage.nominal()),
            Value::exact(fan.current.nominal())
        ),
        Detail::LimitSwitch { sensor, .. } | Detail::BedProbe(sensor) | Detail::FilamentSwitch(sensor) => {
            match &sensor.voltage {
                Some(voltage) => format!("{}, {}", Value::exact(voltage.nominal()), sensor.output.word()),
                None => sensor.output.word().to_owned(),
            }
        }
        Detail::LightStrip(strip) => match &strip.led_count {
            Some(lights) => format!(
                "{}, {}",
                Value::exact(strip.voltage.nominal()),
                plural(lights.value, "light", "lights")
            ),
            None => Value::exact(strip.voltage.nominal()).to_string(),
        },
        Detail::Panel(panel) => panel.interface.value.clone(),
        Detail::Tachometer(_) => "tachometer".to_owned(),
        Detail::Plug(plug) => match (&plug.share, plug.share.sensor()) {
            (Detail::LightStrip(_), _) => "its data".to_owned(),
            (_, Some(sensor)) if sensor.voltage.is_none() => format!("its signal, {}", sensor.output.word()),
            (share, _) => note(share),
        },
    }
}

fn cable(device: usize, row: &Row) -> Option<Cable> {
    let mut actions: Vec<Action> = row.actions.iter().map(|action| drawn(action.kind)).collect();
    actions.dedup();
    Some(Cable {
        device,
        port: row.way?.port.0,
        wires: row.wires.iter().map(wire).collect(),
        actions,
    })
}

fn wire(wire: &WireRow) -> Wire {
    match wire.new_pin {
        Some(pin) => Wire::to(wire.colour.clone(), pin - 1),
        None => Wire::elsewhere(wire.colour.clone(), crate::words::elsewhere(wire)),
    }
}

/// The badge of an action.
fn drawn(kind: ActionKind) -> Action {
    match kind {
        ActionKind::PlugOver => Action::PlugOver,
        ActionKind::RePin => Action::RePin,
        ActionKind::ReCrimp => Action::ReCrimp,
        ActionKind::Clamp => Action::Clamp,
        ActionKind::Adaptor => Action::Adaptor,
        ActionKind::YCable => Action::YCable,
        ActionKind::Splice => Action::Splice,
        ActionKind::Extend => Action::Extend,
        ActionKind::OwnSupply => Action::OwnSupply,
        ActionKind::ExternalSwitch => Action::ExternalSwitch,
        ActionKind::Fuse => Action::Fuse,
        ActionKind::SignalPart => Action::SignalPart,
        ActionKind::NewCable => Action::NewCable,
        ActionKind::LeaveOff => Action::LeaveOff,
    }
}

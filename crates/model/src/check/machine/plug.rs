//! The further plugs of a device: which kinds have them, and what of the device each carries.

use quantity::{Number, Value, si};

use crate::check::{Checker, pins};
use crate::diagnostic::Diagnostic;
use crate::file::machine::{Cable, PlugFile};
use crate::machine::{Detail, Device, DeviceId, Panel, Plug, Sensor};
use crate::source::{Located, Name};
use crate::words::{DeviceKind, Pin};

use super::cable;

/// What a device with further plugs is called by.
pub(super) struct Owner<'a> {
    pub tag: &'a Name,
    pub name: &'a Name,
    pub kind: DeviceKind,
    pub what: &'a str,
    /// Whether its lights are addressed over a data line.
    pub addressed: bool,
}

/// The tag of a further plug, counted from 0: that of the device, with the number of the plug.
pub(super) fn tag(owner: &Name, at: usize, plug: &PlugFile) -> Name {
    Located {
        value: format!("{}.{}", owner.value, at + 2),
        place: plug.place,
    }
}

/// Checks the wires of all plugs together: each function is there once, and the supply comes in by the cable.
pub(super) fn wires(
    own: &Cable,
    plugs: &[PlugFile],
    needed: pins::Needed,
    (owner, supplied): (&Owner<'_>, bool),
    checker: &mut Checker<'_>,
) {
    let contact = matches!(
        owner.kind,
        DeviceKind::LimitSwitch | DeviceKind::FilamentSwitch | DeviceKind::BedProbe
    ) && !supplied;
    let has_plugs = matches!(
        owner.kind,
        DeviceKind::LimitSwitch
            | DeviceKind::FilamentSwitch
            | DeviceKind::BedProbe
            | DeviceKind::Fan
            | DeviceKind::LightStrip
            | DeviceKind::Panel
    );
    if !has_plugs {
        checker.leftover(vec![("plug", plugs[0].place)], owner.what);
        return;
    }
    if contact {
        checker.fault(
            Diagnostic::new(
                "contradiction",
                plugs[0].place,
                format!("a bare contact has one plug: `{}` has more", owner.tag),
                "a further plug",
            )
            .expected("both wires of the contact in [device.cable], or `voltage` and `current` of a sensor"),
        );
        return;
    }
    let mut all = own.pins.clone();
    all.extend(plugs.iter().flat_map(|plug| plug.pins.iter().copied()));
    pins::check_among(&all, &own.pins, needed, (owner.tag, owner.what), checker);
    let is = |wanted: Pin| move |pin: &Located<Pin>| pin.value == wanted;
    let elsewhere = all.iter().find(|pin| pin.value == Pin::Plus);
    if let Some(plus) = elsewhere.filter(|_| !own.pins.is_empty() && !own.pins.iter().any(is(Pin::Plus))) {
        checker.fault(
            Diagnostic::new(
                "contradiction",
                plus.place,
                format!("the supply of `{}` comes in by a further plug", owner.tag),
                "`+` of a further plug alone",
            )
            .other(own.place, "the cable, without `+`")
            .expected("the plug with `+` as [device.cable], the other one as [[device.plug]]"),
        );
    }
    for plug in plugs {
        let known: &[Pin] = match owner.kind {
            DeviceKind::Panel => continue,
            DeviceKind::LightStrip if owner.addressed => &[Pin::Plus, Pin::Minus, Pin::Data],
            DeviceKind::LightStrip => &[Pin::Plus, Pin::Minus],
            DeviceKind::BedProbe => &[Pin::Plus, Pin::Minus, Pin::Signal, Pin::Control],
            _ => &[Pin::Plus, Pin::Minus, Pin::Signal],
        };
        let foreign = |pin: &&Located<Pin>| pin.value != Pin::Unused && !known.contains(&pin.value);
        if let Some(pin) = plug.pins.iter().find(foreign) {
            checker.fault(
                Diagnostic::new(
                    "meaningless-pin",
                    pin.place,
                    format!("a further plug of {} has no wire `{}`", owner.what, pin.value),
                    "not used here",
                )
                .expected(
                    known
                        .iter()
                        .map(|pin| format!("`{pin}`"))
                        .collect::<Vec<_>>()
                        .join(", "),
                ),
            );
        } else if !plug.pins.is_empty()
            && plug
                .pins
                .iter()
                .all(|pin| matches!(pin.value, Pin::Minus | Pin::Unused))
        {
            checker.fault(
                Diagnostic::new(
                    "missing-pin",
                    plug.pins[0].place,
                    format!("a further plug of `{}` carries nothing but ground", owner.tag),
                    "ground alone",
                )
                .expected("a supply or a signal beside it"),
            );
        }
    }
}

/// The plugs of a device as devices of their own, and what is left of its detail for its cable. `first` is the id of the device.
pub(super) fn split(
    plugs: Vec<PlugFile>,
    (own, detail): (&Cable, Detail),
    tachometer: Option<&Sensor>,
    (owner, first): (&Owner<'_>, DeviceId),
    checker: &mut Checker<'_>,
) -> (Detail, Vec<Device>) {
    let further = plugs
        .into_iter()
        .enumerate()
        .map(|(at, file)| {
            let (tag, place) = (tag(owner.tag, at, &file), file.place);
            let interface = file.interface.clone();
            let cable = further(file, own, &tag, owner, checker);
            let share = match tachometer {
                Some(sensor) if cable.pins.iter().any(|pin| pin.value == Pin::Signal) => {
                    Detail::Tachometer(sensor.clone())
                }
                _ => share(&detail, &cable, interface, true),
            };
            let spare = matches!(share, Detail::Tachometer(_));
            Device {
                tag,
                name: owner.name.clone(),
                cable,
                price: None,
                detail: Detail::Plug(Box::new(Plug {
                    of: first,
                    kind: owner.kind,
                    share,
                    spare,
                })),
                place,
            }
        })
        .collect();
    (share(&detail, own, None, false), further)
}

/// A further plug as a cable; what it does not state is as in the one of the device.
fn further(file: PlugFile, own: &Cable, tag: &Name, owner: &Owner<'_>, checker: &mut Checker<'_>) -> Cable {
    if let Some(interface) = file
        .interface
        .as_ref()
        .filter(|_| owner.kind != DeviceKind::Panel)
    {
        checker.leftover(vec![("interface", interface.place)], owner.what);
    }
    let outside = match file.length {
        None => file.outside.or(own.outside),
        Some(_) => file.outside,
    };
    let mut cable = Cable {
        connector: file.connector,
        pins: file.pins,
        colours: file.colours,
        wire: file.wire.unwrap_or(own.wire),
        length: file.length.unwrap_or(own.length),
        outside,
        old_port: file.old_port,
        place: file.place,
    };
    let unknown = owner.kind == DeviceKind::Panel && cable.pins.is_empty();
    cable::checked(&mut cable, tag, unknown, checker);
    cable
}

/// What of a device a cable carries: the supply where it has `+`, the signal where it has that. Of a panel whose pins are not known the supply
/// counts at its cable.
fn share(detail: &Detail, cable: &Cable, interface: Option<Name>, further: bool) -> Detail {
    let has = |wanted: Pin| cable.pins.iter().any(|pin| pin.value == wanted);
    let fed = has(Pin::Plus) || !further && cable.pins.is_empty();
    let nothing = Value::exact(si::ElectricCurrent::from_base(0.0));
    let of = |sensor: &Sensor| Sensor {
        voltage: sensor.voltage.filter(|_| fed),
        current: sensor.current.filter(|_| fed),
        stall_current: sensor.stall_current.filter(|_| fed),
        // A PNP output gives what feeds the sensor by its other plug.
        level: sensor
            .level
            .or(sensor
                .voltage
                .filter(|_| !fed && sensor.output.value == crate::words::Output::Pnp))
            .filter(|_| has(Pin::Signal)),
        max_input_voltage: sensor
            .max_input_voltage
            .or(sensor.voltage)
            .filter(|_| has(Pin::Control)),
        output: sensor.output,
    };
    match detail {
        Detail::LimitSwitch { axis, end, sensor } => Detail::LimitSwitch {
            axis: *axis,
            end: *end,
            sensor: of(sensor),
        },
        Detail::BedProbe(sensor) => Detail::BedProbe(of(sensor)),
        Detail::FilamentSwitch(sensor) => Detail::FilamentSwitch(of(sensor)),
        Detail::LightStrip(strip) if !fed => {
            let mut share = strip.clone();
            share.current = nothing;
            (share.length, share.resistance, share.capacitance) = (None, None, None);
            Detail::LightStrip(share)
        }
        Detail::Panel(panel) => {
            let mut share: Panel = panel.clone();
            if let Some(interface) = interface {
                share.interface = interface;
            }
            if !fed {
                share.current.value = nothing;
            }
            Detail::Panel(share)
        }
        other => other.clone(),
    }
}

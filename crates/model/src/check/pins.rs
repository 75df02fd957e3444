//! The pins of a connector and the wires of a lead: each role and kind needs some, and most of them once.

use super::Checker;
use crate::diagnostic::Diagnostic;
use crate::source::{Located, Name, Place};
use crate::words::{DeviceKind, Pin, Role, Side};

/// Pins of which one of each group must be there.
pub(crate) type Needed = &'static [&'static [Pin]];

const COILS: Needed = &[&[Pin::A1], &[Pin::A2], &[Pin::B1], &[Pin::B2]];
const PROBE: Needed = &[&[Pin::Control]];
const POLES: Needed = &[&[Pin::Plus], &[Pin::Minus]];

/// Pins that the role of a port needs.
pub(crate) fn of_role(role: Role, side: Side) -> Needed {
    match (role, side) {
        (Role::MotorOutput, _) => COILS,
        (Role::SwitchedOutput | Role::HeaterOutput, Side::Low) => &[&[Pin::Plus], &[Pin::SwitchedMinus]],
        (Role::SwitchedOutput | Role::HeaterOutput, Side::High) => &[&[Pin::SwitchedPlus], &[Pin::Minus]],
        (Role::PermanentOutput | Role::SupplyInput, _) => POLES,
        (Role::ThermometerInput, _) => &[&[Pin::Signal, Pin::End1], &[Pin::Minus, Pin::End2]],
        (Role::SwitchInput, _) => &[&[Pin::Signal]],
        (Role::ProbePort, _) => PROBE,
        (Role::LightData, _) => &[&[Pin::Data]],
        (Role::Serial | Role::Display | Role::CardSlot | Role::Usb, _) => &[],
    }
}

/// Wires that a device needs; `supplied` is one with a supply of its own besides its signal.
pub(crate) fn of_kind(kind: DeviceKind, supplied: bool, addressed: bool) -> Needed {
    const CONTACT: Needed = &[&[Pin::End1, Pin::Signal], &[Pin::End2, Pin::Minus]];
    const SENSOR: Needed = &[&[Pin::Plus], &[Pin::Minus], &[Pin::Signal]];
    match kind {
        DeviceKind::Motor => COILS,
        DeviceKind::Heater | DeviceKind::Relay => &[&[Pin::End1, Pin::Plus], &[Pin::End2, Pin::Minus]],
        DeviceKind::Thermometer => CONTACT,
        DeviceKind::LimitSwitch | DeviceKind::FilamentSwitch | DeviceKind::BedProbe if supplied => SENSOR,
        DeviceKind::LimitSwitch | DeviceKind::FilamentSwitch | DeviceKind::BedProbe => CONTACT,
        DeviceKind::LightStrip if addressed => &[&[Pin::Plus], &[Pin::Data], &[Pin::Minus]],
        DeviceKind::LightStrip | DeviceKind::Fan | DeviceKind::Supply => POLES,
        // What of its signals goes where is for `completeness` to ask.
        DeviceKind::Panel => &[],
    }
}

/// Reports pins that stand twice although there can be one only, and those that are not there.
pub(crate) fn check(
    pins: &[Located<Pin>],
    needed: Needed,
    (owner, what): (&Name, &str),
    checker: &mut Checker<'_>,
) {
    check_among(pins, pins, needed, (owner, what), checker);
}

/// The same for the wires of several plugs together; what is missing is told at those of one of them.
pub(crate) fn check_among(
    pins: &[Located<Pin>],
    told: &[Located<Pin>],
    needed: Needed,
    (owner, what): (&Name, &str),
    checker: &mut Checker<'_>,
) {
    let mut doubled = false;
    for (at, pin) in pins.iter().enumerate() {
        let many = matches!(pin.value, Pin::Plus | Pin::Minus | Pin::Unused);
        if !many && let Some(first) = pins[..at].iter().find(|other| other.value == pin.value) {
            doubled = true;
            checker.fault(
                Diagnostic::new(
                    "duplicate-pin",
                    pin.place,
                    format!("`{owner}` has the pin `{}` twice", pin.value),
                    "again here",
                )
                .other(first.place, "first here"),
            );
        }
    }
    // The pin that is missing is mostly the one in whose place another stands twice.
    let (false, Some(first), Some(last)) = (doubled, told.first(), told.last()) else {
        return;
    };
    let has = |group: &&[Pin]| pins.iter().any(|pin| group.contains(&pin.value));
    let said = |group: &&[Pin]| {
        group
            .iter()
            .map(|pin| format!("`{pin}`"))
            .collect::<Vec<_>>()
            .join(" or ")
    };
    let missing: Vec<String> = needed.iter().filter(|group| !has(group)).map(said).collect();
    if !missing.is_empty() {
        let missing = missing.join(" and ");
        let all: Vec<String> = needed.iter().map(said).collect();
        let place = Place {
            end: last.place.end,
            ..first.place
        };
        checker.fault(
            Diagnostic::new(
                "missing-pin",
                place,
                format!("`{owner}` has no {missing}: {what} needs it"),
                format!("no {missing}"),
            )
            .expected(all.join(", ")),
        );
    }
}

//! Which settings must change because of where a device goes: found by comparing the new port with the old one.

use model::board::{PortKind, ThermometerInput};
use model::machine::Detail;
use model::{Direction, Pin, Pull};
use physics::direction::{CoilOrder, Sense, turn_sense};
use quantity::Number;
use serde::Serialize;

use crate::facts::drivers::offered;
use crate::facts::harness::{PinMap, coil_order};
use crate::facts::pair::Pair;

/// A setting that must change, with the reason in its kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// The direction setting of a motor turns round.
    Direction,
    /// The old microsteps cannot be had, so steps per length change.
    Microsteps,
    /// The circuit of a thermometer input is another one.
    ThermometerCircuit,
    /// A switch reads the other way round, or needs another pull.
    SwitchSense,
    /// A fan that ran always is now switched, or the other way round.
    FanControl,
}

/// The settings that this way changes, that of the direction handed in; empty for a new device, whose settings are all new wherever it goes.
#[must_use]
pub fn changes(pair: &Pair<'_>, direction: Option<DirectionChange>) -> Vec<Change> {
    let mut out = Vec::new();
    each(pair, direction, &mut |change| out.push(change));
    out
}

/// How many settings this way changes.
#[must_use]
pub fn count(pair: &Pair<'_>, direction: Option<DirectionChange>) -> i64 {
    let mut count = 0;
    each(pair, direction, &mut |_| count += 1);
    count
}

fn each(pair: &Pair<'_>, direction: Option<DirectionChange>, found: &mut dyn FnMut(Change)) {
    let Some(old) = pair.old_port() else { return };
    match (&pair.device().detail, &old.kind, &pair.port().kind) {
        (Detail::Motor(_), _, PortKind::Motor { .. }) => {
            if direction.is_some_and(|direction| direction.new != direction.old) {
                found(Change::Direction);
            }
            if microsteps(pair).is_some_and(|microsteps| microsteps.old != microsteps.new) {
                found(Change::Microsteps);
            }
        }
        (_, PortKind::Thermometer(old), PortKind::Thermometer(new)) if circuit_differs(old, new) => {
            found(Change::ThermometerCircuit);
        }
        (_, PortKind::Switch(old), PortKind::Switch(new)) => {
            let reads_low = |pull: Pull| pull == Pull::Down;
            if reads_low(old.pull.value) != reads_low(new.pull.value) {
                found(Change::SwitchSense);
            }
        }
        (Detail::Fan(_), old, new) => {
            let always = |kind: &PortKind| matches!(kind, PortKind::Permanent);
            if always(old) != always(new) {
                found(Change::FanControl);
            }
        }
        _ => {}
    }
}

/// Whether two inputs would read the same thermometer differently with one table.
fn circuit_differs(old: &ThermometerInput, new: &ThermometerInput) -> bool {
    let differs = |a: f64, b: f64| (a / b - 1.0).abs() > 1e-3;
    old.circuit.value != new.circuit.value
        || differs(old.pull_up.nominal().base(), new.pull_up.nominal().base())
        || differs(
            old.amplification.nominal().base(),
            new.amplification.nominal().base(),
        )
}

/// A direction setting, old and new.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct DirectionChange {
    /// The sense of lead, socket and driver on the old board together.
    pub old_sense: Sense,
    /// The sense of lead, socket and driver on the new board together.
    pub new_sense: Sense,
    /// The setting of the old controller.
    pub old: Direction,
    /// The setting that makes the axis move as before.
    pub new: Direction,
}

/// The direction setting for a motor at this port; `None` where coils, old port or old setting are not known.
#[must_use]
pub fn new_direction(pair: &Pair<'_>, pins: &PinMap) -> Option<DirectionChange> {
    let device = pair.device();
    let axis = pair
        .swap
        .machine
        .axis(crate::facts::pair::axis_of(&device.detail)?);
    let old = axis.old_direction.as_ref()?.value;
    let old_port = pair.old_port()?;
    let wires: Vec<Pin> = device.cable.pins.iter().map(|pin| pin.value).collect();
    let old_sense = sense_at(&wires, old_port, pair.old_driver()?.direction)?;
    // What stands at each pin of the new socket, after contacts were moved where they had to.
    let mut moved = wires.clone();
    for (wire, pin) in pins.pin_of_wire.iter().enumerate() {
        *moved.get_mut((*pin)?)? = wires[wire];
    }
    let new_sense = sense_at(&moved, pair.port(), pair.driver()?.direction)?;
    let new = if old_sense == new_sense { old } else { turned(old) };
    Some(DirectionChange {
        old_sense,
        new_sense,
        old,
        new,
    })
}

fn sense_at(wires: &[Pin], port: &model::board::Port, turn: Direction) -> Option<Sense> {
    let cable: CoilOrder = coil_order(wires.iter().copied())?;
    let socket = coil_order(port.pins.iter().map(|pin| pin.value))?;
    let driver = if turn == Direction::Reversed {
        Sense::Opposite
    } else {
        Sense::Same
    };
    turn_sense(cable, socket).ok().map(|sense| sense.with(driver))
}

fn turned(turn: Direction) -> Direction {
    match turn {
        Direction::Normal => Direction::Reversed,
        Direction::Reversed => Direction::Normal,
    }
}

/// Microsteps of an axis, before and after.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct MicrostepChange {
    /// The old setting.
    pub old: u32,
    /// The new one: what the axis asks for, the old one, or the finest below it that the driver offers.
    pub new: u32,
}

/// The microsteps of a motor at this port; `None` where the old setting is not known.
#[must_use]
pub fn microsteps(pair: &Pair<'_>) -> Option<MicrostepChange> {
    let axis = pair
        .swap
        .machine
        .axis(crate::facts::pair::axis_of(&pair.device().detail)?);
    let driver = pair.driver()?;
    let old = axis.old_microsteps.as_ref()?.value;
    let wanted = axis.microsteps.as_ref().map_or(old, |wanted| wanted.value);
    Some(MicrostepChange {
        old,
        new: offered(driver, wanted),
    })
}

//! A motor on its driver: alone, or two joined on one.

use catalogue::Limits;
use model::Connection;
use model::board::Driver;
use model::machine::Motor;
use physics::motion;
use quantity::Value;
use quantity::si::{ElectricCurrent, ElectricalResistance};

use crate::facts::axes::{motor, motor_of};
use crate::facts::pair::Pair;
use crate::facts::torque::winding::coil;

/// How the two motors of a driver are joined: by its sockets, or side by side over a Y-lead.
#[must_use]
pub fn joint(pair: &Pair<'_>, driver: &Driver) -> Connection {
    if pair.has_second_socket() {
        driver.motor_connection
    } else {
        Connection::Parallel
    }
}

/// The other motor on the driver: in a whole assignment the one that is there, before that another one of the axis where this is the second.
#[must_use]
pub fn other<'a>(pair: &Pair<'a>) -> Option<&'a Motor> {
    let machine = &pair.swap.machine;
    if let Some(partner) = pair.partner {
        return motor(&machine.device(partner).detail);
    }
    let (_, axis) = motor_of(pair.device()).filter(|_| pair.way.second)?;
    let first = machine.motors_of(axis).find(|id| *id != pair.id)?;
    motor(&machine.device(first).detail)
}

/// The effective current that a driver must give for two motors, or for one alone.
///
/// Side by side the sum of both run currents; one after the other the larger of them, which the weaker motor gets too.
#[must_use]
pub fn total(own: &Motor, other: Option<(&Motor, Connection)>) -> Value<ElectricCurrent> {
    let own = own.told_current();
    match other {
        None => own,
        Some((other, Connection::Parallel)) => own + other.told_current(),
        Some((other, Connection::Series)) => {
            let other = other.told_current();
            Value::corners(|end| motion::series_current(own.at(end), other.at(end)))
        }
    }
}

/// The coils of two motors side by side, this one first; `None` where a file does not state one of them.
#[must_use]
pub fn coils(
    limits: &Limits,
    own: &Motor,
    other: &Motor,
) -> Option<(Value<ElectricalResistance>, Value<ElectricalResistance>)> {
    Some((coil(limits, own)?, coil(limits, other)?))
}

/// What one motor gets of what its driver gives: all of it where it is alone or in series. Side by side the motor with less resistance takes
/// more; half where a resistance is not known.
#[must_use]
pub fn gets(
    limits: &Limits,
    own: &Motor,
    other: Option<(&Motor, Connection)>,
    given: Value<ElectricCurrent>,
) -> Value<ElectricCurrent> {
    let Some((other, Connection::Parallel)) = other else {
        return given;
    };
    match coils(limits, own, other) {
        Some((own, other)) => {
            Value::corners(|end| motion::current_share(given.at(end), own.at(end.other()), other.at(end)))
        }
        None => given.scale(0.5),
    }
}

/// The effective current that a driver must give for this motor, and for the other on it.
#[must_use]
pub fn driver_current(pair: &Pair<'_>) -> Option<Value<ElectricCurrent>> {
    let own = motor(&pair.device().detail)?;
    let Some(other) = other(pair) else {
        return Some(own.told_current());
    };
    Some(total(own, Some((other, joint(pair, pair.driver()?)))))
}

//! A motor on its driver: alone, or two joined on one.

use model::Connection;
use model::board::Driver;
use model::machine::{AxisId, Motor};
use quantity::si::ElectricCurrent;
use quantity::{Number, Value};

use crate::facts::axes::motor;
use crate::facts::pair::Pair;

/// How the two motors of a driver are joined: by its sockets, or side by side over a Y-lead.
#[must_use]
pub fn joint(pair: &Pair<'_>, driver: &Driver) -> Connection {
    if pair.has_second_socket() {
        driver.motor_connection
    } else {
        Connection::Parallel
    }
}

/// The first motor of an axis: the one with which a second shares its driver.
pub(crate) fn first_of<'a>(pair: &Pair<'a>, axis: AxisId) -> Option<&'a Motor> {
    let machine = &pair.swap.machine;
    motor(&machine.device(machine.motors_of(axis).next()?).detail)
}

/// The effective current that a driver must give for this motor, and for the other on it: the first one of the axis where this is
/// the second, whichever it is in a whole assignment.
#[must_use]
pub fn driver_current(pair: &Pair<'_>) -> Option<Value<ElectricCurrent>> {
    let own = motor(&pair.device().detail)?;
    let partner = pair
        .partner
        .and_then(|partner| motor(&pair.swap.machine.device(partner).detail));
    let other = match pair.way.second {
        true => partner.or_else(|| first_of(pair, own.axis)),
        false => partner,
    };
    let (own, Some(other)) = (own.run_current, other.map(|other| other.run_current)) else {
        return Some(own.run_current);
    };
    Some(match joint(pair, pair.driver()?) {
        Connection::Parallel => own + other,
        Connection::Series => Value::corners(|end| own.at(end).larger(other.at(end))),
    })
}

//! What a port bears: its rating, its contacts, its switch; and why a heater that is above that does not go on it directly.

use model::Swap;
use model::board::Port;
use quantity::si::{ElectricCurrent, TemperatureInterval, ThermodynamicTemperature};
use quantity::{Number, Value};

use crate::facts::site::Site;
use crate::facts::switches::switch_of;

/// Why a heater does not go on a port directly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TooMuch {
    /// Above the rating of the port.
    Port,
    /// Above the rating of the port's contacts.
    Contact,
    /// The switch of the port would get too hot.
    Switch,
}

/// What of a port is too weak for a heater that draws so much there; `None` where the port bears it.
#[must_use]
pub fn too_weak(site: &Site<'_>, port: &Port, current: Value<ElectricCurrent>) -> Option<TooMuch> {
    if port.current.is_some_and(|rating| current.high() > rating.low()) {
        return Some(TooMuch::Port);
    }
    if contact_rating(site.swap, port).is_some_and(|rating| current.high() > rating.low()) {
        return Some(TooMuch::Contact);
    }
    let allowed = rise_allowed(site, site.limits().switch_junction_limit.value);
    let switch = switch_of(site.swap, port, current)?;
    // The thermal resistance is assumed, not stated: what refuses is the middle of the assumptions, not their worst end.
    (switch.rise.nominal() > allowed.nominal()).then_some(TooMuch::Switch)
}

/// The rating of one contact of a port, before any share is taken off.
#[must_use]
pub fn contact_rating(swap: &Swap, port: &Port) -> Option<Value<ElectricCurrent>> {
    let connector = swap.catalogue.connectors().get(&port.connector.value)?;
    Some(connector.contact_current)
}

/// By how much a part on the board may get hotter than the air around it, up to a temperature.
#[must_use]
pub fn rise_allowed(site: &Site<'_>, limit: Value<ThermodynamicTemperature>) -> Value<TemperatureInterval> {
    let air = site.air();
    let between = |hot: ThermodynamicTemperature, cold: ThermodynamicTemperature| {
        TemperatureInterval::from_base(hot.base() - cold.base())
    };
    Value::corners(|end| between(limit.at(end), air.at(end.other())))
}

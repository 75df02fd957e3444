//! What a port bears: its rating, its contacts, its switch; and the external switch for a heater that is above that.

use quantity::si::{ElectricCurrent, TemperatureInterval, ThermodynamicTemperature};
use quantity::{Number, Value};

use crate::facts::pair::Pair;
use crate::facts::switches::{Switch, switch_of};

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

/// What is too weak for a heater at this port, so that the port drives an external switch, which feeds the heater by a lead of its own
/// from the supply. `None` for other devices, and where the port bears the heater.
#[must_use]
pub fn external_switch(pair: &Pair<'_>) -> Option<TooMuch> {
    if !pair.device().is_direct_heater() {
        return None;
    }
    let current = pair.current()?;
    if pair
        .port()
        .current
        .is_some_and(|rating| current.high() > rating.low())
    {
        return Some(TooMuch::Port);
    }
    if contact_rating(pair).is_some_and(|rating| current.high() > rating.low()) {
        return Some(TooMuch::Contact);
    }
    let allowed = rise_allowed(pair, pair.limits().switch_junction_limit.value);
    let switch = switch(pair, current)?;
    // The thermal resistance is assumed, not stated: what refuses is the middle of the assumptions, not their worst end.
    (switch.rise.nominal() > allowed.nominal()).then_some(TooMuch::Switch)
}

/// The rating of one contact of a port, before any share is taken off.
#[must_use]
pub fn contact_rating(pair: &Pair<'_>) -> Option<Value<ElectricCurrent>> {
    let connectors = pair.swap.catalogue.connectors();
    let connector = connectors.get(&pair.port().connector.value)?;
    Some(connector.contact_current)
}

/// The switch of a port with a current through it all the time; `None` where there is no switch or the board's file does not
/// tell its resistance.
#[must_use]
pub fn switch(pair: &Pair<'_>, current: Value<ElectricCurrent>) -> Option<Switch> {
    switch_of(pair.swap, pair.port(), current)
}

/// By how much a part on the board may get hotter than the air around it, up to a temperature.
#[must_use]
pub fn rise_allowed(pair: &Pair<'_>, limit: Value<ThermodynamicTemperature>) -> Value<TemperatureInterval> {
    let air = pair.site.air();
    let between = |hot: ThermodynamicTemperature, cold: ThermodynamicTemperature| {
        TemperatureInterval::from_base(hot.base() - cold.base())
    };
    Value::corners(|end| between(limit.at(end), air.at(end.other())))
}

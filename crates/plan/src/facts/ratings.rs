//! What a port bears: its rating, its contacts, its switch; and the external switch for a heater that is above that.

use model::Swap;
use model::board::{Port, PortKind};
use model::machine::Detail;
use physics::{electrics, heat};
use quantity::si::{
    ElectricCurrent, ElectricalResistance, Power, TemperatureInterval, ThermodynamicTemperature,
};
use quantity::{Number, Value};

use crate::facts::setup::Pair;

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
    if !matches!(pair.device().detail, Detail::Heater(_)) {
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

/// The switch of a port with a current through it.
#[derive(Clone, Copy, Debug)]
pub struct Switch {
    /// Its on-resistance when hot.
    pub resistance: Value<ElectricalResistance>,
    /// What it turns into heat.
    pub loss: Value<Power>,
    /// By how much it gets hotter inside than the air around the board.
    pub rise: Value<TemperatureInterval>,
}

/// The switch of a port with a current through it all the time; `None` where there is no switch or the board's file does not
/// tell its resistance.
#[must_use]
pub fn switch(pair: &Pair<'_>, current: Value<ElectricCurrent>) -> Option<Switch> {
    switch_of(pair.swap, pair.port(), current)
}

/// As [`switch`], before it is known what hangs on the port.
pub(crate) fn switch_of(swap: &Swap, port: &Port, current: Value<ElectricCurrent>) -> Option<Switch> {
    let PortKind::Switched {
        resistance: Some(resistance),
        ..
    } = &port.kind
    else {
        return None;
    };
    let limits = swap.catalogue.limits();
    let hot = rising(
        resistance.value,
        limits.switch_hot_resistance_factor.value,
        heat::hot_resistance,
    );
    let loss = rising(current, hot, electrics::loss);
    let theta = limits.switch_thermal_resistance.value;
    let rise = rising(loss, theta, |power, theta| {
        TemperatureInterval::from_base(power.base() * theta.base())
    });
    Some(Switch {
        resistance: hot,
        loss,
        rise,
    })
}

/// By how much a part on the board may get hotter than the air around it, up to a temperature.
#[must_use]
pub fn rise_allowed(pair: &Pair<'_>, limit: Value<ThermodynamicTemperature>) -> Value<TemperatureInterval> {
    let air = pair.air;
    let between = |hot: ThermodynamicTemperature, cold: ThermodynamicTemperature| {
        TemperatureInterval::from_base(hot.base() - cold.base())
    };
    Value::corners(|end| between(limit.at(end), air.at(end.other())))
}

/// A formula that rises with both of its inputs.
fn rising<A: Number, B: Number, R: Number>(a: Value<A>, b: Value<B>, f: fn(A, B) -> R) -> Value<R> {
    Value::corners(|end| f(a.at(end), b.at(end)))
}

//! The switches of outputs: what they turn into heat.

use model::Swap;
use model::board::{Port, PortKind};
use physics::{electrics, heat};
use quantity::si::{ElectricCurrent, ElectricalResistance, Power, TemperatureInterval};
use quantity::{Number, Value};

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

/// A formula that rises with both of its inputs.
fn rising<A: Number, B: Number, R: Number>(a: Value<A>, b: Value<B>, f: fn(A, B) -> R) -> Value<R> {
    Value::corners(|end| f(a.at(end), b.at(end)))
}

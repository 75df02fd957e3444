//! Whether a stall can be told from the back-EMF.

use physics::motion;
use quantity::Value;
use quantity::si::{AngularVelocity, ElectricPotential};

use crate::facts::axes::{motor, shaft_speed};
use crate::facts::pair::Pair;

/// Back-EMF at the homing speed against the least that the driver can tell; `None` where a figure is not stated.
pub(crate) struct StallSignal {
    /// Speed of the shaft at the homing speed.
    pub speed: Value<AngularVelocity>,
    /// Peak of the back-EMF there.
    pub back_emf: Value<ElectricPotential>,
    /// The driver's floor, or the usual share of the supply.
    pub floor: Value<ElectricPotential>,
}

/// See [`StallSignal`].
pub(crate) fn stall_signal(pair: &Pair<'_>) -> Option<StallSignal> {
    let motor = motor(&pair.device().detail)?;
    let axis = pair.swap.machine.axis(motor.axis);
    let speed = shaft_speed(axis, axis.homing_speed?.value);
    let limits = pair.limits();
    let (holding, rated) = (motor.holding_torque?.value, motor.current.value);
    let back_emf =
        Value::corners(|end| motion::back_emf(holding.at(end), rated.at(end.other()), speed.at(end)));
    let floor = pair.driver()?.min_back_emf.map_or_else(
        || {
            let share = limits.stall_back_emf_share.value.nominal();
            pair.supply_voltage().map(|supply| supply * share)
        },
        |floor| floor.value,
    );
    Some(StallSignal {
        speed,
        back_emf,
        floor,
    })
}

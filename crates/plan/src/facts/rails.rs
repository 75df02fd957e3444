//! The rails of a board: at which voltage, and what each draws from the one that feeds it.

use model::board::{Board, Port, PortKind, RailId};
use model::machine::{DeviceId, Supply};
use model::{Located, RailSource, Swap};
use quantity::si::{ElectricCurrent, ElectricPotential};
use quantity::{Value, si};

/// The voltage of the machine's supply; where it has several, that of the first.
#[must_use]
pub fn supply_voltage(swap: &Swap) -> Value<ElectricPotential> {
    // A machine without supply is refused by the loader.
    swap.machine
        .supplies()
        .next()
        .map_or(Value::exact(si::volt(f64::NAN)), |(_, supply)| {
            supply.voltage.value
        })
}

/// The voltage of the supply that the old board had.
#[must_use]
pub fn old_supply_voltage(swap: &Swap) -> Value<ElectricPotential> {
    let stated = swap
        .machine
        .supplies()
        .next()
        .and_then(|(_, supply)| supply.old_voltage);
    stated.map_or_else(|| supply_voltage(swap), |old| old.value)
}

/// The voltages that a port of the old board gave: none, one, or those that its jumper offers.
#[must_use]
pub fn old_voltages(swap: &Swap, port: &Port) -> Vec<Value<ElectricPotential>> {
    let rails = swap.old.rails_of(port).into_iter();
    let made = rails.map(|rail| swap.old.rail(rail).made.as_ref());
    made.map(|made| made.map_or_else(|| old_supply_voltage(swap), |made| made.voltage.value))
        .collect()
}

/// The voltage of a rail: as the board makes it, or the machine's supply for the input.
#[must_use]
pub fn rail_voltage(swap: &Swap, board: &Board, rail: RailId) -> Value<ElectricPotential> {
    board
        .rail(rail)
        .made
        .as_ref()
        .map_or_else(|| supply_voltage(swap), |made| made.voltage.value)
}

/// What a load on a rail draws from the rail that feeds it.
#[must_use]
pub fn drawn_from_feeder(
    swap: &Swap,
    board: &Board,
    rail: RailId,
    load: Value<ElectricCurrent>,
) -> Value<ElectricCurrent> {
    let Some(made) = &board.rail(rail).made else {
        return load;
    };
    match made.source.value {
        RailSource::Linear => load,
        // A second supply from outside takes nothing from the board.
        RailSource::External => load.scale(0.0),
        RailSource::Switching => {
            let feeder = rail_voltage(swap, board, made.fed_by);
            let power = load * made.voltage.value;
            power / made.efficiency / feeder
        }
    }
}

/// What feeds a rail that comes from outside the board.
#[derive(Clone, Copy, Debug)]
pub enum Outside<'a> {
    /// A further supply of the machine, of the voltage of the rail.
    Supply(DeviceId, &'a Supply),
    /// Nothing that the machine's file describes.
    Unknown,
}

/// What feeds a rail from outside; `None` where the board makes it, and for the input.
#[must_use]
pub fn fed_from_outside<'a>(swap: &'a Swap, board: &Board, rail: RailId) -> Option<Outside<'a>> {
    let made = board.rail(rail).made.as_ref();
    let made = made.filter(|made| made.source.value == RailSource::External)?;
    let alike = |supply: &Supply| {
        let voltage = supply.voltage.value;
        voltage.low() <= made.voltage.high() && made.voltage.low() <= voltage.high()
    };
    let mut further = swap.machine.supplies().skip(1);
    Some(
        further
            .find(|(_, supply)| alike(supply))
            .map_or(Outside::Unknown, |(id, supply)| Outside::Supply(id, supply)),
    )
}

/// The voltage of the supply in front of a rail, for what is fed from that supply beside the board.
#[must_use]
pub fn supply_before(swap: &Swap, board: &Board, rail: RailId) -> Value<ElectricPotential> {
    match outside_before(swap, board, rail) {
        Some(Outside::Supply(_, supply)) => supply.voltage.value,
        Some(Outside::Unknown) => rail_voltage(swap, board, rail),
        None => supply_voltage(swap),
    }
}

/// What feeds a rail from outside, itself or by way of the rails that feed it; `None` where that is the first supply of the machine.
#[must_use]
pub fn outside_before<'a>(swap: &'a Swap, board: &Board, rail: RailId) -> Option<Outside<'a>> {
    let mut at = rail;
    loop {
        if let Some(outside) = fed_from_outside(swap, board, at) {
            return Some(outside);
        }
        at = board.rail(at).made.as_ref()?.fed_by;
    }
}

/// What a rail gives: its rating, or what the supply outside gives that feeds it, where that is less. `None` for the input.
#[must_use]
pub fn rating(swap: &Swap, board: &Board, rail: RailId) -> Option<Located<Value<ElectricCurrent>>> {
    let made = board.rail(rail).made.as_ref()?;
    let Some(Outside::Supply(_, supply)) = fed_from_outside(swap, board, rail) else {
        return Some(made.current);
    };
    let gives = supply.power.value / supply.voltage.value;
    Some(if gives.low() < made.current.low() {
        Located {
            value: gives,
            place: supply.power.place,
        }
    } else {
        made.current
    })
}

/// The rail that a supply input brings in: the input of the board, or a rail that comes from outside.
#[must_use]
pub fn brought_by(board: &Board, port: &Port) -> RailId {
    let mut rails = board.rails_of(port).into_iter();
    let comes = |rail: &RailId| {
        let made = board.rail(*rail).made.as_ref();
        made.is_some_and(|made| made.source.value == RailSource::External)
    };
    rails
        .find(comes)
        .filter(|_| matches!(port.kind, PortKind::SupplyInput))
        .unwrap_or(RailId::INPUT)
}

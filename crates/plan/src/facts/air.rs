//! The air around the board: as the machine's file states it, or as the losses of the board make it.

use model::board::{Board, Driver, Port, PortKind, RailId};
use model::machine::{Case, Detail, DeviceId, Fan, Motor};
use model::{Cooled, RailSource, Swap};
use physics::heat::{self, FilmCoefficient};
use physics::{Working, interval, named, work};
use quantity::si::{
    Area, ElectricCurrent, ElectricalResistance, Power, ThermalConductance, ThermodynamicTemperature,
};
use quantity::{Number, Value};

use crate::facts::axes;
use crate::facts::drivers::Loss;
use crate::facts::loads;
use crate::facts::rails::{drawn_from_feeder, rail_voltage, supply_voltage};
use crate::facts::switches::switch_of;

/// The air around the board while printing: as stated, else the room warmed by the most that this board can lose, whatever goes where.
///
/// The checks of pairs need it before it is known what goes where: each motor counts with the worst driver of the board, each other
/// load with the worst switch that bears it, each rail with all that may hang on it. What the assignment makes of it is never warmer.
#[must_use]
pub fn in_case(swap: &Swap, board: &Board) -> Value<ThermodynamicTemperature> {
    if let Some(stated) = swap.machine.case.air {
        return stated.value;
    }
    let devices = || swap.machine.device_ids().map(|(id, device)| (id, &device.detail));
    let worst = |losses: &mut dyn Iterator<Item = Value<Power>>| {
        losses.reduce(|worst, next| if next.high() > worst.high() { next } else { worst })
    };
    let drivers = devices().filter_map(|(id, detail)| match detail {
        Detail::Motor(motor) => {
            let current = driven(swap, board, motor, id);
            worst(
                &mut board
                    .drivers
                    .iter()
                    .filter_map(|driver| bridges(swap, driver, current)),
            )
        }
        _ => None,
    });
    // The loss rises with the resistance: of the ports that bear a current, the first by that loses most.
    let mut by_resistance: Vec<&Port> = board
        .ports
        .iter()
        .filter(|port| resistance(port).is_some())
        .collect();
    by_resistance.sort_by(|one, other| {
        let most = |port| resistance(port).map_or(0.0, |resistance| resistance.high().base());
        most(other).total_cmp(&most(one))
    });
    let switches = devices().filter_map(|(_, detail)| {
        let current = long_current(swap, detail)?;
        let bear = |port: &&Port| port.current.is_none_or(|rating| current.high() <= rating.low());
        let port = by_resistance.iter().copied().find(bear)?;
        Some(switch_of(swap, port, current)?.loss)
    });
    let rails = board.rails.iter().enumerate().filter_map(|(at, rail)| {
        let made = rail.made.as_ref()?;
        let used: Value<Power> = made.board_current * rail_voltage(swap, board, RailId(at));
        Some(used + making(swap, board, RailId(at), most_on_rail(swap, board, RailId(at))))
    });
    let none = Value::exact(Power::from_base(0.0));
    let losses = drivers
        .chain(switches)
        .chain(rails)
        .fold(none, |sum, next| sum + next);
    warmed(
        swap.ambient.temperature.value,
        losses,
        conductance(swap, board_fan(swap).is_some()),
    )
}

fn resistance(port: &Port) -> Option<Value<ElectricalResistance>> {
    match &port.kind {
        PortKind::Switched { resistance, .. } => resistance.as_ref().map(|resistance| resistance.value),
        _ => None,
    }
}

/// What the driver of a motor gives at most: where motors are more than drivers, a further motor of an axis may hang beside the first.
fn driven(swap: &Swap, board: &Board, motor: &Motor, id: DeviceId) -> Value<ElectricCurrent> {
    let motors = swap
        .machine
        .device_ids()
        .filter(|(_, device)| matches!(device.detail, Detail::Motor(_)));
    let first = swap.machine.motors_of(motor.axis).next();
    match first.filter(|first| *first != id && motors.count() > board.drivers.len()) {
        Some(first) => match axes::motor(&swap.machine.device(first).detail) {
            Some(first) => motor.run_current + first.run_current,
            None => motor.run_current,
        },
        None => motor.run_current,
    }
}

/// What a device draws for long, whatever the port: heaters at the supply of the machine. Motors have drivers in place of switches.
fn long_current(swap: &Swap, detail: &Detail) -> Option<Value<ElectricCurrent>> {
    match detail {
        Detail::Motor(_) | Detail::Supply(_) => None,
        Detail::Heater(heater) => {
            let hot = heater.working_temperature.value;
            loads::current(detail, Some(supply_voltage(swap)), hot)
        }
        _ => loads::current(detail, None, swap.ambient.temperature.value),
    }
}

/// The most that may hang on a rail: the board itself, each device made for a voltage like its own, and the rails that it feeds; no more
/// than it gives.
fn most_on_rail(swap: &Swap, board: &Board, rail: RailId) -> Value<ElectricCurrent> {
    let none = Value::exact(ElectricCurrent::from_base(0.0));
    let Some(made) = &board.rail(rail).made else {
        return none;
    };
    let limits = swap.catalogue.limits();
    let alike = |detail: &&Detail| {
        loads::voltage_band(detail, limits)
            .is_some_and(|band| band.low() <= made.voltage.high() && made.voltage.low() <= band.high())
    };
    let devices = swap.machine.device_ids().map(|(_, device)| &device.detail);
    let drawn = devices
        .filter(alike)
        .filter_map(|detail| long_current(swap, detail));
    let fed = (0..board.rails.len()).map(RailId).filter(|fed| {
        board
            .rail(*fed)
            .made
            .as_ref()
            .is_some_and(|made| made.fed_by == rail)
    });
    let fed = fed.map(|fed| drawn_from_feeder(swap, board, fed, most_on_rail(swap, board, fed)));
    let all = drawn.chain(fed).fold(none, |sum, next| sum + next) + made.board_current;
    let most = made.current.value;
    Value::corners(|end| all.at(end).smaller(most.high()))
}

/// What is lost where a rail is made, with a load on it.
pub(crate) fn making(swap: &Swap, board: &Board, rail: RailId, load: Value<ElectricCurrent>) -> Value<Power> {
    let none = Power::from_base(0.0);
    let Some(made) = &board.rail(rail).made else {
        return Value::exact(none);
    };
    let out = rail_voltage(swap, board, rail);
    let loss: Value<Power> = match made.source.value {
        // What comes from outside is made outside.
        RailSource::External => return Value::exact(none),
        RailSource::Linear if out.low() <= rail_voltage(swap, board, made.fed_by).high() => {
            (rail_voltage(swap, board, made.fed_by) - out) * load
        }
        // A linear rail above its feeder is a slip of a file: whatever makes it loses at least what a converter does.
        // One expression: what it gives stands in what it takes as well.
        _ => Value::corners(|end| {
            let given: Power = out.at(end) * load.at(end);
            given * (1.0 / made.efficiency.at(end.other()).base() - 1.0)
        }),
    };
    // Nothing is gained in a rail.
    Value::corners(|end| loss.at(end).larger(none))
}

/// Where the air comes to with a loss into it.
fn warmed(
    room: Value<ThermodynamicTemperature>,
    losses: Value<Power>,
    leaves: Value<ThermalConductance>,
) -> Value<ThermodynamicTemperature> {
    Value::corners(|end| heat::final_temperature(room.at(end), losses.at(end), leaves.at(end.other())))
}

/// The fan over the electronics, with its tag.
#[must_use]
pub fn board_fan(swap: &Swap) -> Option<(&str, &Fan)> {
    swap.machine
        .device_ids()
        .find_map(|(_, device)| match &device.detail {
            Detail::Fan(fan) if fan.cools == Cooled::Board => Some((device.tag.value.as_str(), fan)),
            _ => None,
        })
}

/// What both bridges of a driver turn into heat at a run current (effective): nothing while the motor is off, at the most this. `None` where
/// the board's file does not state enough.
#[must_use]
pub fn bridges(swap: &Swap, driver: &Driver, current: Value<ElectricCurrent>) -> Option<Value<Power>> {
    let loss = Loss::of(swap, driver, current)?.total();
    Some(Value::between(Power::from_base(0.0), loss.nominal(), loss.high()))
}

/// What leaves the place of the board to the room, per kelvin, with or without its fan; from its walls where nothing is stated.
#[must_use]
pub fn conductance(swap: &Swap, fan: bool) -> Value<ThermalConductance> {
    let (case, limits) = (&swap.machine.case, swap.catalogue.limits());
    if let (true, Some(stated)) = (fan, case.thermal_conductance_with_fan) {
        return stated.value;
    }
    let walls = case.thermal_conductance.map_or_else(
        || {
            let inputs = (walls(case), limits.case_loss_tolerance.value);
            interval(inputs, |(area, off)| {
                heat::wall_loss(FilmCoefficient::still(), area, off)
            })
        },
        |stated| stated.value,
    );
    if !fan {
        return walls;
    }
    let inputs = (limits.board_fan_area.value, limits.board_fan_speed.value);
    walls + interval(inputs, |(area, speed)| heat::airflow_conductance(area, speed))
}

fn walls(case: &Case) -> Value<Area> {
    let (x, y, z) = (case.size.x, case.size.y, case.height.nominal());
    Value::exact(Area::from_base(
        2.0 * (x.base() * y.base() + (x.base() + y.base()) * z.base()),
    ))
}

/// How [`conductance`] comes about; empty where it is stated.
#[must_use]
pub fn conductance_workings(swap: &Swap, fan: bool) -> Vec<Working> {
    let (case, limits) = (&swap.machine.case, swap.catalogue.limits());
    let mut workings = Vec::new();
    if fan && case.thermal_conductance_with_fan.is_some() {
        return workings;
    }
    if case.thermal_conductance.is_none() {
        let inputs = (
            named("A", "walls around the board", walls(case)),
            named(
                "k",
                "how far the film coefficient may be off",
                limits.case_loss_tolerance.value,
            ),
        );
        let loss = |(area, off)| heat::wall_loss(FilmCoefficient::still(), area, off);
        workings.push(work(&heat::WALL_LOSS, "G", inputs, loss).working);
    }
    if fan {
        let inputs = (
            named("A", "free area of the board fan", limits.board_fan_area.value),
            named("v", "speed of the air in it", limits.board_fan_speed.value),
        );
        let moved = |(area, speed)| heat::airflow_conductance(area, speed);
        workings.push(work(&heat::AIRFLOW_CONDUCTANCE, "G", inputs, moved).working);
    }
    workings
}

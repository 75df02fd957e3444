//! Which ways each device could be connected, what each way costs, and why others are refused.

use model::board::{Board, Port, PortId, PortKind, PortSupply, RailId};
use model::machine::UNKNOWN_PORT as UNKNOWN;
use model::machine::{Detail, Device, DeviceId};
use model::{DeviceKind, Mount, Pin, Role, Side, Swap};
use quantity::Number;
use serde::Serialize;

use crate::facts::harness::Part;
use crate::facts::rails::{Outside, brought_by, fed_from_outside, rail_voltage, supply_voltage};
use crate::facts::shopping::{minutes_of, part_price};
use crate::facts::{Pair, PairFacts, Site, Way, kinematics, loads};
use crate::rules::checks::{PAIR_CHECKS, run_pair};
use crate::rules::judging::{ByHarm, Judge};

/// What a way costs; compared in this order, after unassigned devices and wishes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct WayCost {
    /// Cautions of the checks of this pair that the plan does not deal with, by harm.
    pub decide: ByHarm,
    /// Settings that have to change because of it.
    pub settings: i64,
    /// Minutes of work on cables, that of fitting the parts that mend its blockers among them.
    pub minutes: i64,
    /// Price of the parts it needs, in hundredths; parts without a price count nothing.
    pub price: i64,
    /// Millimetres of lead inside the case.
    pub millimetres: i64,
    /// Square of the distance between the place of the device among those of its kind and of the port among those of its
    /// role: among equals, the first device then takes the first port, the second the second.
    pub disorder: i64,
}

/// Why a device cannot be at a port.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "why", rename_all = "kebab-case")]
pub enum Refusal {
    /// The port is for something else.
    Role {
        /// What the device is.
        device: DeviceKind,
        /// What the port is for.
        port: Role,
    },
    /// They speak different interfaces.
    Interface,
    /// A check gives a blocker that no part mends.
    Check {
        /// Its identifier.
        check: &'static str,
    },
}

/// A way with its cost, or refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Candidate {
    /// The way.
    pub way: Way,
    /// What it costs, or why it cannot be.
    pub outcome: Result<WayCost, Refusal>,
}

/// All ways of one device on one board whose role fits, each judged.
#[must_use]
pub fn candidates(site: &Site<'_>, id: DeviceId) -> Vec<Candidate> {
    let ports = site.board.port_ids();
    ports
        .flat_map(|(port, _)| candidates_at(site, id, port))
        .collect()
}

/// The ways of one device at one port, each judged; none where its role does not fit.
pub(crate) fn candidates_at(site: &Site<'_>, id: DeviceId, at: PortId) -> Vec<Candidate> {
    let (swap, board) = (site.swap, site.board);
    let (device, port) = (swap.machine.device(id), board.port(at));
    if role_fits(device, port).is_err() || !brings_in(swap, board, id, port) {
        return Vec::new();
    }
    let ways = ways(swap, board, device, at, port).into_iter();
    ways.map(|way| Candidate {
        way,
        outcome: judge(&Pair::new(site, id, way).facts()),
    })
    .collect()
}

/// Whether a supply belongs at a port: the first of the machine at the input of the board, a further one where its rail comes in from outside.
fn brings_in(swap: &Swap, board: &Board, id: DeviceId, port: &Port) -> bool {
    if !matches!(swap.machine.device(id).detail, Detail::Supply(_)) {
        return true;
    }
    let first = swap
        .machine
        .supplies()
        .next()
        .is_some_and(|(first, _)| first == id);
    let rail = brought_by(board, port);
    match fed_from_outside(swap, board, rail) {
        None => first && rail == RailId::INPUT,
        Some(Outside::Supply(own, _)) => own == id,
        Some(Outside::Unknown) => false,
    }
}

/// Judges one way: its cost, or the check that refuses it.
///
/// # Errors
/// The refusal, where a check gives a blocker.
pub fn judge(pair: &PairFacts<'_>) -> Result<WayCost, Refusal> {
    let mut judge = Judge::counting();
    for check in PAIR_CHECKS {
        run_pair(check, pair, &mut judge);
        if let Some(check) = judge.first_blocker() {
            return Err(Refusal::Check { check });
        }
    }
    let way = pair.site.seats.new_way(pair.way.port).map(|way| way.length());
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a few thousand millimetres at the most"
    )]
    let millimetres = way.map_or(0, |way| (way.base() * 1e3).round() as i64);
    Ok(WayCost {
        decide: judge.to_decide(),
        settings: pair.changed_settings(),
        minutes: pair.job().minutes
            + judge
                .parts()
                .iter()
                .map(|part| minutes_of(pair.swap, part))
                .sum::<i64>(),
        price: price(pair, judge.parts()),
        millimetres,
        disorder: disorder(pair),
    })
}

/// What the parts of a way cost: those of its cable, those that mend its blockers, and a driver to be plugged in.
fn price(pair: &PairFacts<'_>, mending: &[Part]) -> i64 {
    let parts = pair.job().parts.iter().chain(mending);
    let of_parts = parts.filter_map(|part| {
        let each = part_price(pair.swap, &part.name)?;
        Some(each.times(part.count).hundredths())
    });
    let driver = pair
        .driver()
        .filter(|driver| driver.mount == Mount::Socketed && !pair.way.second)
        .and_then(|driver| driver.price.as_ref())
        .map_or(0, |price| price.value.hundredths());
    of_parts.sum::<i64>() + driver
}

fn disorder(pair: &Pair<'_>) -> i64 {
    let (kind, role) = (pair.device().kind(), pair.port().role());
    let machine = &pair.swap.machine;
    let device = machine.devices[..pair.id.0]
        .iter()
        .filter(|device| device.kind() == kind)
        .count();
    let port = pair.board.ports[..pair.way.port.0]
        .iter()
        .filter(|port| port.role() == role)
        .count();
    let distance = i64::try_from(device.abs_diff(port)).unwrap_or(i64::MAX >> 32);
    distance * distance
}

/// Whether the role of a port suits the kind of a device.
///
/// # Errors
/// The refusal, where it does not.
pub fn role_fits(device: &Device, port: &Port) -> Result<(), Refusal> {
    let wired = |function| device.has_wire(function);
    let fits = match (device.detail.share(), &port.kind) {
        (Detail::Heater(_) | Detail::Fan(_), PortKind::Switched { .. })
        | (Detail::Fan(_), PortKind::Permanent)
        | (Detail::Thermometer(_), PortKind::Thermometer(_))
        | (Detail::Motor(_), PortKind::Motor { .. })
        | (Detail::BedProbe(_), PortKind::Probe { .. })
        | (Detail::Tachometer(_), PortKind::Switch(_))
        | (Detail::Supply(_), PortKind::SupplyInput) => true,
        // What carries no more than the supply of a sensor goes to whatever gives one all the time.
        (
            Detail::LimitSwitch { .. } | Detail::FilamentSwitch(_) | Detail::BedProbe(_),
            PortKind::Permanent,
        ) => device.signal().is_none() && !wired(Pin::Control),
        // A probe that needs no control is a switch with a supply.
        (
            Detail::LimitSwitch { .. } | Detail::FilamentSwitch(_) | Detail::BedProbe(_),
            PortKind::Switch(_),
        ) => !wired(Pin::Control),
        (Detail::LightStrip(strip), PortKind::LightData { .. }) => {
            strip.led_count.is_some() && (wired(Pin::Data) || device.cable.pins.is_empty())
        }
        (Detail::LightStrip(strip), PortKind::Switched { .. } | PortKind::Permanent)
            if strip.led_count.is_none() =>
        {
            true
        }
        // The supply alone of addressed lights: a switched minus would leave their data without its ground.
        (Detail::LightStrip(_), PortKind::Switched { side: Side::High, .. } | PortKind::Permanent) => {
            !wired(Pin::Data)
        }
        (Detail::Panel(panel), PortKind::Line { interface, .. }) => {
            let (own, other) = (&panel.interface.value, &interface.value);
            // One that nobody knows may be any.
            if own != other && ![own, other].iter().any(|name| name.as_str() == UNKNOWN) {
                return Err(Refusal::Interface);
            }
            true
        }
        _ => false,
    };
    if fits {
        Ok(())
    } else {
        Err(Refusal::Role {
            device: device.kind(),
            port: port.role(),
        })
    }
}

/// The ways to use one port: each rail that it can carry, with and without a converter, and both sockets of a driver.
fn ways(swap: &Swap, board: &Board, device: &Device, id: PortId, port: &Port) -> Vec<Way> {
    if let (Detail::Motor(motor), PortKind::Motor { driver }) = (&device.detail, &port.kind) {
        return motor_ways(swap, board, device, (id, *driver), motor.axis);
    }
    let rails: Vec<Option<RailId>> = match port.supply {
        _ if is_fed_elsewhere(swap, device) => vec![None],
        PortSupply::None => vec![None],
        _ => board.rails_of(port).into_iter().map(Some).collect(),
    };
    let mut out: Vec<Way> = rails
        .iter()
        .map(|rail| Way {
            port: id,
            rail: *rail,
            own_supply: false,
            second: false,
        })
        .collect();
    if let Some(rail) = wants_converter(swap, board, device, &rails) {
        out.push(Way {
            port: id,
            rail,
            own_supply: true,
            second: false,
        });
    }
    out
}

/// Whether a plug takes nothing from the rail of its port: another one of its device brings the supply.
fn is_fed_elsewhere(swap: &Swap, device: &Device) -> bool {
    let of_several = device.plug().is_some()
        || swap
            .machine
            .tagged(&device.tag.value)
            .is_some_and(|id| swap.machine.plugs_of(id).nth(1).is_some());
    of_several && !device.cable.pins.is_empty() && !device.has_wire(Pin::Plus)
}

/// Where a device may have a converter of its own: lights always (their rail may be too weak), others where no rail suits.
fn wants_converter(
    swap: &Swap,
    board: &Board,
    device: &Device,
    rails: &[Option<RailId>],
) -> Option<Option<RailId>> {
    let rated = loads::rated_voltage(&device.detail).filter(|_| !is_fed_elsewhere(swap, device))?;
    let supply = supply_voltage(swap);
    if rated.nominal() >= supply.low() {
        return None;
    }
    match device.detail.share() {
        Detail::LightStrip(strip) if strip.led_count.is_some() => rails.first().copied(),
        Detail::Fan(_) | Detail::LightStrip(_) => {
            // Of the rails that the port can carry, the one that feeds a converter: the highest.
            let suits = |rail: &Option<RailId>| {
                rail.is_some_and(|rail| {
                    let voltage = rail_voltage(swap, board, rail).nominal();
                    (voltage / rated.nominal()).base() > 0.9 && (voltage / rated.nominal()).base() < 1.1
                })
            };
            if rails.iter().any(suits) {
                return None;
            }
            let voltage = |rail: &Option<RailId>| {
                rail.map_or(0.0, |rail| rail_voltage(swap, board, rail).nominal().base())
            };
            let best = rails
                .iter()
                .copied()
                .max_by(|a, b| voltage(a).total_cmp(&voltage(b)))?;
            (voltage(&best) > rated.nominal().base()).then_some(best)
        }
        _ => None,
    }
}

/// A motor takes the first socket of a driver; the further motors of its axis may share the driver as its second.
fn motor_ways(
    swap: &Swap,
    board: &Board,
    device: &Device,
    (port, driver): (PortId, model::board::DriverId),
    axis: model::machine::AxisId,
) -> Vec<Way> {
    let sockets: Vec<PortId> = board.sockets(driver).collect();
    let rail = Some(RailId::INPUT);
    let mut out = Vec::new();
    if sockets.first() == Some(&port) {
        out.push(Way {
            port,
            rail,
            own_supply: false,
            second: false,
        });
    }
    let primary = swap.machine.motors_of(axis).next();
    let is_primary = primary.is_some_and(|primary| swap.machine.device(primary).tag == device.tag);
    // Carriages that move by themselves need a driver each.
    let may_share = !kinematics::carries_each(&swap.machine, swap.machine.axis(axis));
    if !is_primary && may_share && sockets.last() == Some(&port) {
        out.push(Way {
            port,
            rail,
            own_supply: false,
            second: true,
        });
    }
    out
}

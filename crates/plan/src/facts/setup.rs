//! What checks look at: one device at one port, or a whole assignment on one board.

use catalogue::Limits;
use model::board::{Board, Driver, Port, PortId, PortKind, RailId};
use model::machine::{Detail, Device, DeviceId};
use model::{Swap, WishKind};
use quantity::Value;
use quantity::si::{ElectricCurrent, ElectricPotential, ThermodynamicTemperature};
use serde::Serialize;

use crate::facts::air;
use crate::facts::loads;
use crate::facts::place::Seats;
use crate::facts::rails::{rail_voltage, supply_voltage};

/// One way to connect a device: a port, the rail that supplies it there, and what stands in between.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Way {
    /// The port.
    pub port: PortId,
    /// The rail that supplies the device; `None` where the port supplies nothing.
    pub rail: Option<RailId>,
    /// The device has a converter of its own from the machine's supply: the port gives just its signal, or switches the converter.
    pub own_supply: bool,
    /// The second motor on a driver: in the driver's second socket, or over a Y-lead where it has one socket.
    pub second: bool,
}

/// One device at one port of one board.
#[derive(Clone, Copy, Debug)]
pub struct Pair<'a> {
    /// The swap.
    pub swap: &'a Swap,
    /// The board in question.
    pub board: &'a Board,
    /// How it and the old board sit in the case.
    pub seats: &'a Seats,
    /// The air around the board, from [`air::in_case`]: alike for all pairs, so that it is worked out once.
    pub air: Value<ThermodynamicTemperature>,
    /// The device.
    pub id: DeviceId,
    /// How it is connected.
    pub way: Way,
    /// The other motor on its driver; known only in a whole assignment.
    pub partner: Option<DeviceId>,
}

impl<'a> Pair<'a> {
    /// The limits, with the swap's own in place of the catalogue's.
    #[must_use]
    pub fn limits(&self) -> &'a Limits {
        self.swap.catalogue.limits()
    }
    /// The device.
    #[must_use]
    pub fn device(&self) -> &'a Device {
        self.swap.machine.device(self.id)
    }
    /// The port.
    #[must_use]
    pub fn port(&self) -> &'a Port {
        self.board.port(self.way.port)
    }
    /// The port of the old board; `None` for a new device.
    #[must_use]
    pub fn old_port(&self) -> Option<&'a Port> {
        old_port(self.swap, self.device())
    }
    /// The driver behind the port, for a motor.
    #[must_use]
    pub fn driver(&self) -> Option<&'a Driver> {
        driver(self.board, self.port())
    }
    /// The driver behind the old port, for a motor.
    #[must_use]
    pub fn old_driver(&self) -> Option<&'a Driver> {
        driver(&self.swap.old, self.old_port()?)
    }
    /// The voltage at the port, from the rail of this way; `None` where the port supplies nothing.
    #[must_use]
    pub fn rail_voltage(&self) -> Option<Value<ElectricPotential>> {
        self.way
            .rail
            .map(|rail| rail_voltage(self.swap, self.board, rail))
    }
    /// The supply voltage of the machine, which feeds the motors.
    #[must_use]
    pub fn supply_voltage(&self) -> Value<ElectricPotential> {
        supply_voltage(self.swap)
    }
    /// The name of the rail of this way.
    #[must_use]
    pub fn rail_name(&self) -> Option<&'a str> {
        self.way
            .rail
            .map(|rail| self.board.rail(rail).name.value.as_str())
    }
    /// The voltage that the device gets: from the rail, or its own rated one where it has a converter.
    #[must_use]
    pub fn device_voltage(&self) -> Option<Value<ElectricPotential>> {
        if self.way.own_supply {
            return loads::rated_voltage(&self.device().detail);
        }
        self.rail_voltage()
    }
    /// The largest current between port and device at the voltage that it gets: that of a cold heater.
    #[must_use]
    pub fn current(&self) -> Option<Value<ElectricCurrent>> {
        let cold = self.limits().ambient_cold_start.value;
        loads::current(&self.device().detail, self.device_voltage(), cold)
    }
    /// The largest current between port and device that flows for long: that of a hot heater.
    #[must_use]
    pub fn long_current(&self) -> Option<Value<ElectricCurrent>> {
        match &self.device().detail {
            detail @ Detail::Heater(heater) => {
                let hot = heater.working_temperature.value;
                loads::current(detail, self.device_voltage(), hot)
            }
            _ => self.current(),
        }
    }
    /// "F1 part fan", the way a sentence names the device.
    #[must_use]
    pub fn device_name(&self) -> String {
        name_of(self.device())
    }
    /// The name of the port.
    #[must_use]
    pub fn port_name(&self) -> &'a str {
        &self.port().name.value
    }
}

/// Why not all needed devices of an assignment could be served, in a sentence.
pub type Clash = fn(&Setup<'_>) -> String;

/// A whole assignment on one board.
#[derive(Clone, Copy, Debug)]
pub struct Setup<'a> {
    /// The swap.
    pub swap: &'a Swap,
    /// The board in question.
    pub board: &'a Board,
    /// How it and the old board sit in the case.
    pub seats: &'a Seats,
    /// How each device is connected, in the order of the devices; `None` where it is left out.
    pub ways: &'a [Option<Way>],
    /// Says which needed devices cannot be served together; asked where some are left out. Handed in by whoever assigns, for neither facts
    /// nor rules know how that is done.
    pub clash: Option<Clash>,
    /// The air around the board, from [`air::in_case`].
    pub air: Value<ThermodynamicTemperature>,
}

impl<'a> Setup<'a> {
    /// An assignment, with the air that its board is reckoned to work in.
    #[must_use]
    pub fn new(swap: &'a Swap, board: &'a Board, seats: &'a Seats, ways: &'a [Option<Way>]) -> Self {
        Self {
            swap,
            board,
            seats,
            ways,
            clash: None,
            air: air::in_case(swap, board),
        }
    }
    /// With what says why devices are left out.
    #[must_use]
    pub fn explained_by(self, clash: Clash) -> Self {
        Self {
            clash: Some(clash),
            ..self
        }
    }
    /// The limits, with the swap's own in place of the catalogue's.
    #[must_use]
    pub fn limits(&self) -> &'a Limits {
        self.swap.catalogue.limits()
    }
    /// All connected devices.
    pub fn pairs(&self) -> impl Iterator<Item = Pair<'a>> + use<'a> {
        let setup = *self;
        (0..self.ways.len()).filter_map(move |at| setup.pair(DeviceId(at)))
    }
    /// A device with its way, where it is connected.
    #[must_use]
    pub fn pair(&self, id: DeviceId) -> Option<Pair<'a>> {
        self.ways[id.0].map(|way| Pair {
            swap: self.swap,
            board: self.board,
            seats: self.seats,
            air: self.air,
            id,
            way,
            partner: self.partner(id, way),
        })
    }
    /// The other device on the driver of a motor's way.
    fn partner(&self, id: DeviceId, way: Way) -> Option<DeviceId> {
        let driver = |way: Way| match self.board.port(way.port).kind {
            PortKind::Motor { driver } => Some(driver),
            _ => None,
        };
        let own = driver(way)?;
        let shares = |at: &usize| *at != id.0 && self.ways[*at].and_then(driver) == Some(own);
        (0..self.ways.len()).find(shares).map(DeviceId)
    }
    /// The devices at a port; two only where motors share it by a Y-lead.
    pub fn at(&self, port: PortId) -> impl Iterator<Item = Pair<'a>> + use<'a> {
        self.pairs().filter(move |pair| pair.way.port == port)
    }
    /// The voltage of a rail of the board.
    #[must_use]
    pub fn rail_voltage(&self, rail: RailId) -> Value<ElectricPotential> {
        rail_voltage(self.swap, self.board, rail)
    }
    /// The supply voltage of the machine.
    #[must_use]
    pub fn supply_voltage(&self) -> Value<ElectricPotential> {
        supply_voltage(self.swap)
    }
    /// Whether a wish of that kind names the device.
    #[must_use]
    pub fn wished(&self, device: DeviceId, kind: WishKind) -> bool {
        self.swap
            .wishes
            .iter()
            .any(|wish| wish.kind == kind && wish.devices.contains(&device))
    }
}

/// The port of the old board that a device was on.
#[must_use]
pub fn old_port<'a>(swap: &'a Swap, device: &Device) -> Option<&'a Port> {
    let name = device.lead.old_port.as_ref()?;
    swap.old.port_named(&name.value).map(|id| swap.old.port(id))
}

/// The driver behind a motor output.
#[must_use]
pub fn driver<'a>(board: &'a Board, port: &Port) -> Option<&'a Driver> {
    match port.kind {
        PortKind::Motor { driver } => Some(board.driver(driver)),
        _ => None,
    }
}

/// "F1 part fan", the way a sentence names a device.
#[must_use]
pub fn name_of(device: &Device) -> String {
    format!("{} ({})", device.tag.value, device.name.value)
}

/// The axis of a motor.
#[must_use]
pub fn axis_of(detail: &Detail) -> Option<model::machine::AxisId> {
    match detail {
        Detail::Motor(motor) => Some(motor.axis),
        _ => None,
    }
}

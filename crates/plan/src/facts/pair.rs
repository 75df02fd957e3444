//! One device in one way at one port: what the files say of it.

use catalogue::Limits;
use model::Swap;
use model::board::{Board, Driver, Port, PortId, PortKind, RailId};
use model::machine::{AxisId, Detail, Device, DeviceId};
use quantity::Value;
use quantity::si::{ElectricCurrent, ElectricPotential};
use serde::Serialize;

use crate::facts::loads;
use crate::facts::site::Site;

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
    /// The board at its machine.
    pub site: &'a Site<'a>,
    /// The swap.
    pub swap: &'a Swap,
    /// The board in question.
    pub board: &'a Board,
    /// The device.
    pub id: DeviceId,
    /// How it is connected.
    pub way: Way,
    /// The other motor on its driver; known only in a whole assignment.
    pub partner: Option<DeviceId>,
}

impl<'a> Pair<'a> {
    /// A device in a way, before it is known what else is on the board.
    #[must_use]
    pub fn new(site: &'a Site<'a>, id: DeviceId, way: Way) -> Self {
        Self {
            site,
            swap: site.swap,
            board: site.board,
            id,
            way,
            partner: None,
        }
    }
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
    /// Whether the driver of the port has two sockets.
    #[must_use]
    pub fn has_second_socket(&self) -> bool {
        match self.port().kind {
            PortKind::Motor { driver } => self.board.sockets(driver).count() > 1,
            _ => false,
        }
    }
    /// The voltage at the port, from the rail of this way; `None` where the port supplies nothing.
    #[must_use]
    pub fn rail_voltage(&self) -> Option<Value<ElectricPotential>> {
        self.way.rail.map(|rail| self.site.rail_voltage(rail))
    }
    /// The supply voltage of the machine, which feeds the motors.
    #[must_use]
    pub fn supply_voltage(&self) -> Value<ElectricPotential> {
        self.site.supply_voltage()
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

/// The port of the old board that a device was on.
#[must_use]
pub fn old_port<'a>(swap: &'a Swap, device: &Device) -> Option<&'a Port> {
    let name = device.cable.old_port.as_ref()?;
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
pub fn axis_of(detail: &Detail) -> Option<AxisId> {
    match detail {
        Detail::Motor(motor) => Some(motor.axis),
        _ => None,
    }
}

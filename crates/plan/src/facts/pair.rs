//! One device in one way at one port: what the files say of it.

use catalogue::Limits;
use model::Swap;
use model::board::{Board, Driver, Port, PortKind};
use model::machine::{AxisId, Detail, Device, DeviceId};
use quantity::Value;
use quantity::si::{ElectricCurrent, ElectricPotential};

use crate::facts::feed::Feed;
use crate::facts::loads;
use crate::facts::site::Site;
pub use crate::facts::way::Way;

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
    /// What feeds the device on this way.
    #[must_use]
    pub fn feed(&self) -> Feed<'a> {
        Feed::of(self.site, self.device(), self.way)
    }
    /// The voltage at the beginning of the device's lead, wherever that begins: at the port, at an external switch, at a converter.
    #[must_use]
    pub fn device_voltage(&self) -> Option<Value<ElectricPotential>> {
        self.feed().voltage
    }
    /// The largest current of the device at the voltage that it gets: that of a cold heater.
    #[must_use]
    pub fn current(&self) -> Option<Value<ElectricCurrent>> {
        self.current_at(self.device_voltage())
    }
    /// The largest current of the device at a voltage: that of a cold heater.
    #[must_use]
    pub fn current_at(&self, voltage: Option<Value<ElectricPotential>>) -> Option<Value<ElectricCurrent>> {
        let cold = self.limits().ambient_cold_start.value;
        loads::current(&self.device().detail, voltage, cold)
    }
    /// The largest current of the device that flows for long, at a voltage: that of a hot heater.
    #[must_use]
    pub fn long_current_at(
        &self,
        voltage: Option<Value<ElectricPotential>>,
    ) -> Option<Value<ElectricCurrent>> {
        match &self.device().detail {
            detail @ Detail::Heater(heater) => {
                loads::current(detail, voltage, heater.working_temperature.value)
            }
            _ => self.current_at(voltage),
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

/// What a heater heats, as a sentence names it: of a relay its load, "the bed (driven by relay RB)"; any other heater by itself.
#[must_use]
pub fn heated_name(device: &Device) -> String {
    match &device.detail {
        Detail::Heater(heater) if heater.relay.is_some() => {
            format!("the {} (driven by relay {})", heater.zone, device.tag.value)
        }
        _ => name_of(device),
    }
}

/// The axis of a motor.
#[must_use]
pub fn axis_of(detail: &Detail) -> Option<AxisId> {
    match detail {
        Detail::Motor(motor) => Some(motor.axis),
        _ => None,
    }
}

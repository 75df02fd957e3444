//! One way to connect a device.

use model::board::{PortId, RailId};
use serde::Serialize;

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

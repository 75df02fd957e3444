//! The wiring picture: which lead goes from which device to which port, wire by wire.
//!
//! How it is laid out:
//! 1. The ports lie on the board to scale, each with its name beside it ([`sockets`]).
//! 2. Each lead gets from its port to the rim of the board, no two meeting ([`escape`]).
//! 3. The devices stand around the board in the order in which their leads leave it ([`arrange`]), so that
//! 4. levels above and below the board and a channel on each side bring the leads home with few crossings ([`outer`]).
//!
//! If a name or a lead finds no place, all is tried again at a larger scale. What still finds none is not forced
//! through: the lead's line is left out, arrow heads mark both ends, and port and card name each other.

mod arrange;
mod attempt;
mod cards;
mod escape;
mod inner;
mod legend;
mod outer;
mod paint;
mod plan;
mod routed;
mod sizes;
mod sockets;
mod stacks;
mod tracks;

pub use routed::{Routed, RoutedCable};

use crate::geometry::{Mm, Spot};
use crate::plot::Along;
use crate::sheet::{Head, Layout};

/// Draws the wiring.
///
/// A lead whose device or port does not exist is left out. Measures beyond those of any board are cut: sides at 600 mm,
/// ports at 20 mm outside the board, pitches at 20 mm.
pub fn wiring(input: &Wiring, layout: Layout) -> String {
    paint::painted(&cleaned(input), layout).0
}

/// The geometry of the same picture.
pub fn route(input: &Wiring, layout: Layout) -> Routed {
    paint::painted(&cleaned(input), layout).1
}

/// Without leads that lead nowhere, and with measures that a board can have: a slip of the pen in a file must not make
/// a sheet of a kilometre.
fn cleaned(input: &Wiring) -> Wiring {
    let mut input = input.clone();
    let (devices, ports) = (input.devices.len(), input.board.ports.len());
    input.cables.retain(|l| l.device < devices && l.port < ports);
    let board = &mut input.board;
    board.width = within(board.width, 1.0, 600.0);
    board.height = within(board.height, 1.0, 600.0);
    let (width, height) = (board.width.0, board.height.0);
    let near = |at: Spot| Spot {
        x: within(at.x, -20.0, width + 20.0),
        y: within(at.y, -20.0, height + 20.0),
    };
    for port in &mut board.ports {
        port.at = near(port.at);
        port.pitch = within(port.pitch, 0.0, 20.0);
    }
    for hole in &mut board.holes {
        hole.at = near(hole.at);
        hole.diameter = within(hole.diameter, 0.0, 50.0);
    }
    input
}

fn within(length: Mm, low: f64, high: f64) -> Mm {
    Mm(if length.0.is_finite() {
        length.0.clamp(low, high)
    } else {
        low
    })
}

/// What a card calls a port.
fn port_title(input: &Wiring, port: usize) -> String {
    let port = input.board.ports.get(port);
    port.map_or_else(String::new, |port| port.name.clone())
}

/// A board with its ports, the devices around it, and the leads between them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wiring {
    /// Prefix, title, description.
    pub head: Head,
    /// The new board.
    pub board: WiringBoard,
    /// Everything that is plugged in, and what is left off: a device without a lead.
    pub devices: Vec<Device>,
    /// What connects them.
    pub cables: Vec<Cable>,
    /// Sentences below the picture, such as cautions.
    pub notes: Vec<String>,
}

/// The board, in its own coordinates: x right and y up from the lower left corner.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WiringBoard {
    /// Its name.
    pub name: String,
    /// Width.
    pub width: Mm,
    /// Height in the plane.
    pub height: Mm,
    /// Mounting holes.
    pub holes: Vec<MountingHole>,
    /// Ports, used or not.
    pub ports: Vec<Port>,
    /// Which of its edges (bottom, left, top, right) faces the front of the machine, where that is known.
    pub front: Option<&'static str>,
}

/// A mounting hole.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MountingHole {
    /// Middle.
    pub at: Spot,
    /// Diameter.
    pub diameter: Mm,
}

/// A port as a connector.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Port {
    /// Name as printed on the board.
    pub name: String,
    /// Middle of the connector.
    pub at: Spot,
    /// Distance of its pins.
    pub pitch: Mm,
    /// Names of its pins, pin 1 first.
    pub pins: Vec<String>,
    /// Which way its pins run from pin 1: left to right, or bottom to top. Without it, along the nearest edge.
    pub along: Option<Along>,
    /// Number of rows of pins; 0 counts as 1.
    pub rows: usize,
}

/// Something that is plugged in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Device {
    /// The tag tied to its lead, such as `T07`.
    pub tag: String,
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// A short remark, such as `24 V, 40 W`.
    pub note: String,
}

/// What a device does, in groups that are drawn alike.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kind {
    /// Supply and heaters.
    #[default]
    Power,
    /// Motors.
    Motion,
    /// Fans.
    Air,
    /// Thermometers, switches, probes.
    Sense,
    /// Lights, panels, data.
    Show,
}

/// The wires from one device to one port.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cable {
    /// Index of the device.
    pub device: usize,
    /// Index of the port.
    pub port: usize,
    /// Its wires.
    pub wires: Vec<Wire>,
    /// What has to be done to it.
    pub actions: Vec<Action>,
}

/// One wire.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wire {
    /// IEC 60757 letters, such as `RD` or `RDBU`.
    pub letters: String,
    /// Index of the pin of the port; `None` where the wire does not end at this port.
    pub pin: Option<usize>,
    /// What becomes of a wire without a pin, such as `insulate` or `to 12 V`.
    pub elsewhere: String,
}

/// What has to be done to a lead.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Action {
    /// The old plug fits as it is.
    PlugOver,
    /// Contacts change places in the housing.
    RePin,
    /// New contacts are crimped on.
    ReCrimp,
    /// Ferrules go under a clamp.
    Clamp,
    /// The lead is made longer.
    Extend,
    /// Two leads are joined.
    Splice,
    /// Two devices share a port over a Y-lead.
    YCable,
    /// An adaptor goes in between.
    Adaptor,
    /// A level shifter goes in between.
    LevelShifter,
    /// Another part goes into the signal, such as a resistor.
    SignalPart,
    /// The device gets a supply of its own.
    OwnSupply,
    /// The port drives a switch module, which feeds the device.
    ExternalSwitch,
    /// A fuse goes into the lead.
    Fuse,
    /// A new lead is made.
    NewCable,
    /// The device is not connected to this board.
    LeaveOff,
}

impl Wire {
    /// A wire that ends at a pin of the port, counted from 0.
    pub fn to(letters: impl Into<String>, pin: usize) -> Self {
        Self {
            letters: letters.into(),
            pin: Some(pin),
            elsewhere: String::new(),
        }
    }

    /// A wire that does not end at the port, with what becomes of it.
    pub fn elsewhere(letters: impl Into<String>, words: impl Into<String>) -> Self {
        Self {
            letters: letters.into(),
            pin: None,
            elsewhere: words.into(),
        }
    }
}

impl Action {
    /// The words on its badge.
    pub const fn words(self) -> &'static str {
        match self {
            Self::PlugOver => "move plug",
            Self::RePin => "re-pin",
            Self::ReCrimp => "re-crimp",
            Self::Clamp => "clamp",
            Self::Extend => "extend",
            Self::Splice => "splice",
            Self::YCable => "Y-lead",
            Self::Adaptor => "adaptor",
            Self::LevelShifter => "level shifter",
            Self::SignalPart => "signal part",
            Self::OwnSupply => "own supply",
            Self::ExternalSwitch => "external switch",
            Self::Fuse => "fuse",
            Self::NewCable => "new cable",
            Self::LeaveOff => "leave off",
        }
    }
}

impl Kind {
    /// The word in the legend.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Power => "power",
            Self::Motion => "motion",
            Self::Air => "air",
            Self::Sense => "sensing",
            Self::Show => "light and panel",
        }
    }
}

//! A machine as checked: references resolved, and for each kind of device just what that kind has.

use quantity::si::{
    Acceleration, Capacitance, ElectricCurrent, ElectricPotential, ElectricalResistance, Force, HeatCapacity,
    Inductance, Length, Mass, MomentOfInertia, Power, Ratio, ResistancePerLength, ThermalConductance,
    ThermodynamicTemperature, Time, Torque, Velocity,
};
use quantity::{Price, Value};

use crate::board::ids;
pub use crate::file::machine::{Bed, BedScrew, Cable, Case, Geometry, KeepOut, Opening};
use crate::source::{Located, Name, Place};
use crate::words::{
    Cooled, DeviceKind, Direction, Element, End, Homing, Kinematics, Material, Output, Pin, RelayKind, Zone,
};

ids! {
    /// An axis by its place in [`Machine::axes`].
    AxisId
    /// A device by its place in [`Machine::devices`].
    DeviceId
}

/// A machine without its controller board.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// What it is called.
    pub name: Name,
    /// Whether it is made up for an example.
    pub invented: bool,
    /// How its axes move the nozzle.
    pub kinematics: Kinematics,
    /// Lengths and angles that the kinematics need beyond the axes.
    pub geometry: Option<Geometry>,
    /// The place where the board sits.
    pub case: Case,
    /// The bed and its screws, where they were described.
    pub bed: Option<Bed>,
    /// Axes.
    pub axes: Vec<Axis>,
    /// Everything that is plugged into a board, or shall be.
    pub devices: Vec<Device>,
}

/// How a device is called everywhere: by its tag, with a word in front where that alone could be taken for a pin, a step or a value (`2`, `24V`).
#[must_use]
pub fn called(tag: &str) -> String {
    let digits = tag.trim_start_matches(|letter: char| letter.is_ascii_digit() || ".,-/".contains(letter));
    let letters = digits.chars().count();
    let like_a_number = tag.starts_with(|letter: char| letter.is_ascii_digit()) && letters <= 2;
    if like_a_number {
        format!("tag{tag}")
    } else {
        tag.to_owned()
    }
}

impl Machine {
    /// A device by its id.
    #[must_use]
    pub fn device(&self, id: DeviceId) -> &Device {
        &self.devices[id.0]
    }
    /// An axis by its id.
    #[must_use]
    pub fn axis(&self, id: AxisId) -> &Axis {
        &self.axes[id.0]
    }
    /// Its heaters, those behind a relay among them, each with its device.
    pub fn heaters(&self) -> impl Iterator<Item = (&Device, &Heater)> {
        self.devices.iter().filter_map(|device| match &device.detail {
            Detail::Heater(heater) => Some((device, &**heater)),
            _ => None,
        })
    }
    /// The device with that tag, in whatever case its letters are.
    #[must_use]
    pub fn tagged(&self, tag: &str) -> Option<DeviceId> {
        let tag = called(tag);
        self.devices
            .iter()
            .position(|device| device.tag.value.eq_ignore_ascii_case(&tag))
            .map(DeviceId)
    }
    /// All devices with their ids.
    pub fn device_ids(&self) -> impl Iterator<Item = (DeviceId, &Device)> {
        self.devices
            .iter()
            .enumerate()
            .map(|(at, device)| (DeviceId(at), device))
    }
    /// The device that a plug belongs to; any other device itself.
    #[must_use]
    pub fn owner(&self, id: DeviceId) -> DeviceId {
        match &self.device(id).detail {
            Detail::Plug(plug) => plug.of,
            _ => id,
        }
    }
    /// All that is plugged in for a device: itself, with its cable, and its further plugs; none for a plug.
    pub fn plugs_of(&self, id: DeviceId) -> impl Iterator<Item = DeviceId> + '_ {
        let further = move |device: &Device| matches!(&device.detail, Detail::Plug(plug) if plug.of == id);
        self.device_ids()
            .filter(move |(own, device)| (*own == id && device.plug().is_none()) || further(device))
            .map(|(own, _)| own)
    }
    /// What is plugged in for a device, by any of its plugs, and has a wire of that function.
    #[must_use]
    pub fn carrier(&self, id: DeviceId, function: Pin) -> Option<DeviceId> {
        let mut plugs = self.plugs_of(self.owner(id));
        plugs.find(|plug| self.device(*plug).has_wire(function))
    }
    /// The motors of an axis.
    pub fn motors_of(&self, axis: AxisId) -> impl Iterator<Item = DeviceId> + '_ {
        self.device_ids()
            .filter(move |(_, device)| matches!(&device.detail, Detail::Motor(motor) if motor.axis == axis))
            .map(|(id, _)| id)
    }
    /// The supplies of the machine.
    pub fn supplies(&self) -> impl Iterator<Item = (DeviceId, &Supply)> {
        self.device_ids().filter_map(|(id, device)| match &device.detail {
            Detail::Supply(supply) => Some((id, supply)),
            _ => None,
        })
    }
}

/// An axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Its letter.
    pub name: Name,
    /// The mechanics.
    pub drive: Drive,
    /// Turns of the motor per turn of pulley, screw or wheel.
    pub ratio: Value<Ratio>,
    /// Whether the file states the ratio; else it is assumed to be 1.
    pub ratio_stated: bool,
    /// Length of travel.
    pub travel: Option<Located<Value<Length>>>,
    /// The highest speed that is asked of it.
    pub max_speed: Located<Value<Velocity>>,
    /// The highest acceleration that is asked of it.
    pub acceleration: Option<Located<Value<Acceleration>>>,
    /// How it finds its home position where nothing senses it.
    pub homing: Option<Located<Homing>>,
    /// The speed at which it looks for its end.
    pub homing_speed: Option<Located<Value<Velocity>>>,
    /// The mass it moves.
    pub mass: Option<Located<Value<Mass>>>,
    /// The force that moves it slowly.
    pub friction: Option<Located<Value<Force>>>,
    /// The share of the weight that its motors lift, where it is stated.
    pub weight_share: Option<Located<Value<Ratio>>>,
    /// The share of its work that the drive passes on, where it is stated.
    pub efficiency: Option<Located<Value<Ratio>>>,
    /// The sudden change of speed that is asked of it.
    pub corner_speed: Option<Located<Value<Velocity>>>,
    /// The sense that the old controller was set to.
    pub old_direction: Option<Located<Direction>>,
    /// The microsteps that the old controller was set to.
    pub old_microsteps: Option<Located<u32>>,
    /// The microsteps wanted on the new board.
    pub microsteps: Option<Located<u32>>,
    /// Where its table begins.
    pub place: Place,
}

/// The mechanics between motor and carriage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Drive {
    /// A toothed belt.
    Belt {
        /// Distance of teeth.
        pitch: Located<Value<Length>>,
        /// Teeth of the pulley, at least 5.
        teeth: Located<u32>,
    },
    /// A lead screw.
    Screw {
        /// Travel per turn.
        lead: Located<Value<Length>>,
    },
    /// A driven wheel that moves filament.
    Extruder {
        /// Effective diameter.
        wheel: Located<Value<Length>>,
    },
}

/// The word for an old port that nobody knows.
pub const UNKNOWN_PORT: &str = "unknown";
/// The word for the colour of a wire that is not known.
pub const UNKNOWN_COLOUR: &str = "--";

/// Anything plugged into a board.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// The tag tied to its lead.
    pub tag: Name,
    /// What people call it.
    pub name: Name,
    /// Its wires.
    pub cable: Cable,
    /// What it costs, where it must still be bought.
    pub price: Option<Located<Price>>,
    /// What it is.
    pub detail: Detail,
    /// Where its table begins.
    pub place: Place,
}

impl Device {
    /// Its kind as one word.
    #[must_use]
    pub fn kind(&self) -> DeviceKind {
        match self.detail {
            Detail::Heater(ref heater) if heater.relay.is_some() => DeviceKind::Relay,
            Detail::Heater(_) => DeviceKind::Heater,
            Detail::Thermometer(_) => DeviceKind::Thermometer,
            Detail::Motor(_) => DeviceKind::Motor,
            Detail::Fan(_) => DeviceKind::Fan,
            Detail::LimitSwitch { .. } => DeviceKind::LimitSwitch,
            Detail::BedProbe(_) => DeviceKind::BedProbe,
            Detail::FilamentSwitch(_) => DeviceKind::FilamentSwitch,
            Detail::LightStrip(_) => DeviceKind::LightStrip,
            Detail::Panel(_) => DeviceKind::Panel,
            Detail::Supply(_) => DeviceKind::Supply,
            Detail::Tachometer(_) => DeviceKind::Fan,
            Detail::Plug(ref plug) => plug.kind,
        }
    }
    /// The plug that this is, where it is a further one of a device.
    #[must_use]
    pub fn plug(&self) -> Option<&Plug> {
        match &self.detail {
            Detail::Plug(plug) => Some(plug),
            _ => None,
        }
    }
    /// Whether its cable has a wire of that function.
    #[must_use]
    pub fn has_wire(&self, function: Pin) -> bool {
        self.cable.pins.iter().any(|pin| pin.value == function)
    }
    /// The sensor whose signal runs in its cable.
    #[must_use]
    pub fn signal(&self) -> Option<&Sensor> {
        let sensor = self.detail.share().sensor()?;
        let wires = [Pin::Signal, Pin::End1, Pin::End2];
        let carried = self.cable.pins.is_empty() || wires.iter().any(|wire| self.has_wire(*wire));
        carried.then_some(sensor)
    }
    /// Whether its cable carries the power of a heater: of a relay it carries the control signal.
    #[must_use]
    pub fn is_direct_heater(&self) -> bool {
        matches!(&self.detail, Detail::Heater(heater) if heater.relay.is_none())
    }
    /// Whether it was not connected to the old board.
    #[must_use]
    pub fn is_new(&self) -> bool {
        self.cable.old_port.is_none()
    }
    /// Whether it was connected to the old board at a port that nobody knows.
    #[must_use]
    pub fn is_from_unknown_port(&self) -> bool {
        self.cable
            .old_port
            .as_ref()
            .is_some_and(|port| port.value == UNKNOWN_PORT)
    }
}

/// What a device is, with what belongs to it.
#[derive(Clone, Debug, PartialEq)]
pub enum Detail {
    /// Turns power into heat, by itself or behind a relay.
    Heater(Box<Heater>),
    /// Measures temperature.
    Thermometer(Thermometer),
    /// A stepping motor.
    Motor(Motor),
    /// A fan.
    Fan(Fan),
    /// Tells the end of an axis.
    LimitSwitch {
        /// The axis.
        axis: AxisId,
        /// The end.
        end: End,
        /// Its circuit.
        sensor: Sensor,
    },
    /// Tells the height of the bed.
    BedProbe(Sensor),
    /// Tells whether there is filament.
    FilamentSwitch(Sensor),
    /// Lights.
    LightStrip(LightStrip),
    /// Display and knobs.
    Panel(Panel),
    /// The power supply.
    Supply(Supply),
    /// Tells how fast a fan turns; only ever the share of a plug.
    Tachometer(Sensor),
    /// A further plug of another device.
    Plug(Box<Plug>),
}

impl Detail {
    /// What the wires of this cable are for: of a plug its share in its device, of anything else itself.
    #[must_use]
    pub fn share(&self) -> &Detail {
        match self {
            Detail::Plug(plug) => &plug.share,
            own => own,
        }
    }
    /// The circuit of a switch or switching sensor.
    #[must_use]
    pub fn sensor(&self) -> Option<&Sensor> {
        match self {
            Detail::LimitSwitch { sensor, .. }
            | Detail::BedProbe(sensor)
            | Detail::FilamentSwitch(sensor)
            | Detail::Tachometer(sensor) => Some(sensor),
            _ => None,
        }
    }
}

/// A further plug of a device, which goes to a port of its own.
///
/// Whoever counts devices passes it over; whoever judges a cable at a port looks at its share.
#[derive(Clone, Debug, PartialEq)]
pub struct Plug {
    /// The device.
    pub of: DeviceId,
    /// The kind of the device.
    pub kind: DeviceKind,
    /// What of the device its wires carry: the same detail, without the supply where the plug has no `+`.
    pub share: Detail,
    /// Whether the device works without it: a fan without its tachometer.
    pub spare: bool,
}

/// A heater.
#[derive(Clone, Debug, PartialEq)]
pub struct Heater {
    /// What it heats.
    pub zone: Zone,
    /// Its rated supply.
    pub voltage: Located<Value<ElectricPotential>>,
    /// Its power at the rated supply, at the temperature `rated_at`.
    pub power: Located<Value<Power>>,
    /// What its track is made of.
    pub element: Element,
    /// The temperature at which its power is stated.
    pub rated_at: Value<ThermodynamicTemperature>,
    /// The highest temperature that is asked of it.
    pub working_temperature: Located<Value<ThermodynamicTemperature>>,
    /// The temperature that its weakest part bears.
    pub temperature_limit: Option<Located<Value<ThermodynamicTemperature>>>,
    /// Heat capacity of the heated part.
    pub heat_capacity: Option<Located<Value<HeatCapacity>>>,
    /// Heat lost per kelvin above the room.
    pub thermal_conductance: Option<Located<Value<ThermalConductance>>>,
    /// The bodies that it warms.
    pub bodies: Vec<Body>,
    /// Parts that bear no more than a temperature, each by its name.
    pub parts: Vec<Part>,
    /// Heat that goes over to the second body for each kelvin between the two; `None` where there is but one body.
    pub coupling: Option<Located<Value<ThermalConductance>>>,
    /// Heat capacity of the second body.
    pub second_capacity: Option<Located<Value<HeatCapacity>>>,
    /// Heat that the second body loses per kelvin above the room.
    pub second_conductance: Option<Located<Value<ThermalConductance>>>,
    /// Time from a change of power to the first change at the thermometer.
    pub dead_time: Option<Located<Value<Time>>>,
    /// The temperature at which a thermal cut-out or fuse opens the heater's circuit.
    pub cut_out: Option<Located<Value<ThermodynamicTemperature>>>,
    /// The relay that switches it; the cable of the device is then that of its control input.
    pub relay: Option<Relay>,
}

/// The control side of a relay or contactor.
#[derive(Clone, Debug, PartialEq)]
pub struct Relay {
    /// How it switches.
    pub kind: Located<RelayKind>,
    /// The range of its control input.
    pub voltage: Located<Value<ElectricPotential>>,
    /// What its control input draws.
    pub current: Located<Value<ElectricCurrent>>,
}

/// A body that a heater warms.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    /// What it is.
    pub name: Name,
    /// What it is made of.
    pub material: Material,
    /// Length, width and height, each above zero.
    pub size: [Value<Length>; 3],
    /// Whether it belongs to the second body.
    pub second: bool,
}

/// A part that bears no more than a temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What it is.
    pub name: Name,
    /// The highest temperature that it bears.
    pub temperature_limit: Located<Value<ThermodynamicTemperature>>,
    /// Whether it has the temperature of the second body.
    pub second: bool,
}

/// A thermometer.
#[derive(Clone, Debug, PartialEq)]
pub struct Thermometer {
    /// What it measures.
    pub zone: Zone,
    /// Its kind, by its name in the catalogue.
    pub sensor: Name,
    /// The highest temperature at which it works.
    pub working_temperature: Option<Located<Value<ThermodynamicTemperature>>>,
}

/// A two-phase stepping motor.
#[derive(Clone, Debug, PartialEq)]
pub struct Motor {
    /// The axis it moves.
    pub axis: AxisId,
    /// Rated current per phase, both phases on.
    pub current: Located<Value<ElectricCurrent>>,
    /// Resistance of one winding.
    pub resistance: Option<Located<Value<ElectricalResistance>>>,
    /// Inductance of one winding.
    pub inductance: Option<Located<Value<Inductance>>>,
    /// Torque with both phases at the rated current.
    pub holding_torque: Option<Located<Value<Torque>>>,
    /// Moment of inertia of the rotor and of what sits on its shaft.
    pub rotor_inertia: Option<Located<Value<MomentOfInertia>>>,
    /// Full steps per turn.
    pub steps_per_turn: u32,
    /// The effective current it shall run at.
    pub run_current: Value<ElectricCurrent>,
}

impl Motor {
    /// The effective current that a plan and its settings give it: the one of its file, and never more than it is rated for.
    #[must_use]
    pub fn told_current(&self) -> Value<ElectricCurrent> {
        let most = self.current.high();
        Value::corners(|end| {
            let asked = self.run_current.at(end);
            if asked > most { most } else { asked }
        })
    }
}

/// A fan.
#[derive(Clone, Debug, PartialEq)]
pub struct Fan {
    /// What it cools.
    pub cools: Cooled,
    /// Its rated supply.
    pub voltage: Located<Value<ElectricPotential>>,
    /// Its largest current.
    pub current: Located<Value<ElectricCurrent>>,
}

/// The circuit of a switch or a switching sensor.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensor {
    /// Its output.
    pub output: Located<Output>,
    /// Its supply; `None` for a bare contact.
    pub voltage: Option<Located<Value<ElectricPotential>>>,
    /// Its largest current from that supply.
    pub current: Option<Located<Value<ElectricCurrent>>>,
    /// The level it drives, or to which it is pulled up inside.
    pub level: Option<Located<Value<ElectricPotential>>>,
    /// The largest voltage that its control input bears; `None` where it has no control input or nothing is said.
    pub max_input_voltage: Option<Located<Value<ElectricPotential>>>,
    /// Current of a probe's servo or coil while it is held fast; `None` for other sensors, and where nothing is said.
    pub stall_current: Option<Located<Value<ElectricCurrent>>>,
}

/// Lights.
#[derive(Clone, Debug, PartialEq)]
pub struct LightStrip {
    /// Its supply.
    pub voltage: Located<Value<ElectricPotential>>,
    /// Its largest current; 0 at a plug without `+`.
    pub current: Value<ElectricCurrent>,
    /// Number of lights where each is addressed over a data line.
    pub led_count: Option<Located<u32>>,
    /// Its length.
    pub length: Option<Located<Value<Length>>>,
    /// Resistance of both supply tracks together, per length.
    pub resistance: Option<Located<Value<ResistancePerLength>>>,
    /// Capacitors at its supply.
    pub capacitance: Option<Located<Value<Capacitance>>>,
}

/// Display and knobs.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// What it speaks, in the words of its maker.
    pub interface: Name,
    /// Its supply.
    pub voltage: Located<Value<ElectricPotential>>,
    /// Its largest current.
    pub current: Located<Value<ElectricCurrent>>,
    /// The level it sends.
    pub level: Option<Located<Value<ElectricPotential>>>,
    /// The largest voltage that its inputs bear.
    pub max_input_voltage: Option<Located<Value<ElectricPotential>>>,
}

/// The power supply of the machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Its output voltage.
    pub voltage: Located<Value<ElectricPotential>>,
    /// The power it can give.
    pub power: Located<Value<Power>>,
    /// The voltage of the supply that it replaces, where that differs.
    pub old_voltage: Option<Located<Value<ElectricPotential>>>,
}

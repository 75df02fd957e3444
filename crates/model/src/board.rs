//! A board as checked: references resolved, and for each role just what that role has.

use quantity::si::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Ratio, ThermalResistance, Time,
};
use quantity::{Price, Range, Value};

pub use crate::file::board::{Input, Outline, Processor};
use crate::read::Point;
use crate::source::{Located, Name, Place};
use crate::words::{
    Along, Circuit, Connection, CurrentDefinition, Direction, Edge, Mount, Pin, Pull, RailSource, Role,
    SetBy, Side,
};

macro_rules! ids {
    ($($(#[doc = $doc:literal])* $name:ident)*) => { $(
        $(#[doc = $doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
        pub struct $name(pub usize);
    )* };
}
pub(crate) use ids;

ids! {
    /// A rail by its place in [`Board::rails`].
    RailId
    /// A driver by its place in [`Board::drivers`].
    DriverId
    /// A jumper by its place in [`Board::jumpers`].
    JumperId
    /// A port by its place in [`Board::ports`].
    PortId
}

impl RailId {
    /// The rail that carries the supply of the machine; every board has it.
    pub const INPUT: RailId = RailId(0);
}

/// A controller board.
#[derive(Clone, Debug, PartialEq)]
pub struct Board {
    /// The name by which the swap calls it.
    pub name: Name,
    /// Its file inside the swap folder.
    pub path: String,
    /// Whether it is made up for an example.
    pub invented: bool,
    /// What it costs, where that is known.
    pub price: Option<Located<Price>>,
    /// Size, height and holes.
    pub outline: Outline,
    /// The supply that it bears.
    pub input: Input,
    /// The processor.
    pub processor: Processor,
    /// Rails; the first one is [`RailId::INPUT`].
    pub rails: Vec<Rail>,
    /// Motor drivers.
    pub drivers: Vec<Driver>,
    /// Jumpers that choose rails.
    pub jumpers: Vec<Jumper>,
    /// Ports, in the order of the file.
    pub ports: Vec<Port>,
    /// Where the board's table begins.
    pub place: Place,
}

impl Board {
    /// The port of that name.
    #[must_use]
    pub fn port_named(&self, name: &str) -> Option<PortId> {
        self.ports
            .iter()
            .position(|port| port.name.value == name)
            .map(PortId)
    }
    /// A port by its id.
    #[must_use]
    pub fn port(&self, id: PortId) -> &Port {
        &self.ports[id.0]
    }
    /// A rail by its id.
    #[must_use]
    pub fn rail(&self, id: RailId) -> &Rail {
        &self.rails[id.0]
    }
    /// A driver by its id.
    #[must_use]
    pub fn driver(&self, id: DriverId) -> &Driver {
        &self.drivers[id.0]
    }
    /// The rail of that name.
    #[must_use]
    pub fn rail_named(&self, name: &str) -> Option<RailId> {
        self.rails
            .iter()
            .position(|rail| rail.name.value == name)
            .map(RailId)
    }
    /// All ports with their ids.
    pub fn port_ids(&self) -> impl Iterator<Item = (PortId, &Port)> {
        self.ports.iter().enumerate().map(|(at, port)| (PortId(at), port))
    }
    /// The motor outputs of a driver.
    pub fn sockets(&self, driver: DriverId) -> impl Iterator<Item = PortId> + '_ {
        self.port_ids()
            .filter(move |(_, port)| matches!(port.kind, PortKind::Motor { driver: own } if own == driver))
            .map(|(id, _)| id)
    }
    /// The rails that a port can carry: none, one, or those that its jumper offers.
    #[must_use]
    pub fn rails_of(&self, port: &Port) -> Vec<RailId> {
        match port.supply {
            PortSupply::None => Vec::new(),
            PortSupply::Rail(rail) => vec![rail],
            PortSupply::Jumper(jumper) => self.jumpers[jumper.0].rails.clone(),
        }
    }
}

/// A supply inside a board.
#[derive(Clone, Debug, PartialEq)]
pub struct Rail {
    /// Its name on the board.
    pub name: Name,
    /// How it is made; `None` for the input rail, which is the supply of the machine itself.
    pub made: Option<MadeRail>,
}

/// A supply that is made on the board.
#[derive(Clone, Debug, PartialEq)]
pub struct MadeRail {
    /// How it is made.
    pub source: Located<RailSource>,
    /// Its voltage.
    pub voltage: Located<Value<ElectricPotential>>,
    /// The largest current.
    pub current: Located<Value<ElectricCurrent>>,
    /// What the board itself draws from it; zero where nothing is said.
    pub board_current: Value<ElectricCurrent>,
    /// The rail that feeds it; following it always ends at the input.
    pub fed_by: RailId,
    /// Efficiency, for a switching converter.
    pub efficiency: Value<Ratio>,
    /// Time in which it comes up.
    pub start_time: Option<Located<Value<Time>>>,
}

/// A jumper that chooses the rail of the ports that name it, one rail for all of them, or one that does something else.
#[derive(Clone, Debug, PartialEq)]
pub struct Jumper {
    /// Its name on the board.
    pub name: Name,
    /// The rails it offers; none where it has another purpose.
    pub rails: Vec<RailId>,
    /// What it does, where it chooses no rail.
    pub purpose: Option<Name>,
    /// How it must stand in this machine.
    pub position: Option<Name>,
    /// The driver whose stall signal it joins to a switch input.
    pub stall_signal: Option<(DriverId, PortId)>,
}

/// A motor driver.
#[derive(Clone, Debug, PartialEq)]
pub struct Driver {
    /// Its name on the board.
    pub name: Name,
    /// Soldered or on a socket.
    pub mount: Mount,
    /// Its price, where it is not part of the board.
    pub price: Option<Located<Price>>,
    /// Smallest and largest current, as `current_definition` says.
    pub current: Located<Range<ElectricCurrent>>,
    /// How `current` is meant.
    pub current_definition: CurrentDefinition,
    /// How the current is set.
    pub law: CurrentLaw,
    /// On-resistance of high and low switch of one phase together.
    pub on_resistance: Option<Located<Value<ElectricalResistance>>>,
    /// Time of one edge when a switch turns on or off.
    pub edge_time: Option<Located<Value<Time>>>,
    /// How often the current of a phase is chopped.
    pub chopper_frequency: Option<Located<Value<Frequency>>>,
    /// From junction to air without heat sink.
    pub thermal_resistance: Option<Located<Value<ThermalResistance>>>,
    /// From junction to air with its heat sink.
    pub thermal_resistance_with_sink: Option<Located<Value<ThermalResistance>>>,
    /// Whether the heat sink comes with the board.
    pub heat_sink: bool,
    /// The finest microstep setting, a power of two.
    pub max_microsteps: Located<u32>,
    /// The one microstep setting where it is fixed.
    pub fixed_microsteps: Option<Located<u32>>,
    /// Whether the motor stands without a sound.
    pub silent_at_standstill: bool,
    /// Whether the driver measures the load.
    pub stall_detection: bool,
    /// The smallest back-EMF at which the load signal can be used.
    pub min_back_emf: Option<Located<Value<ElectricPotential>>>,
    /// The sense in which it turns for a rising direction signal.
    pub direction: Direction,
    /// How its sockets join two motors.
    pub motor_connection: Connection,
    /// Whether the file states it; side by side is assumed where it does not.
    pub connection_stated: bool,
    /// The motor supply it bears, where that is narrower than the board's.
    pub voltage: Option<Located<Range<ElectricPotential>>>,
    /// Where its table begins.
    pub place: Place,
}

impl Driver {
    /// Smallest and largest current as effective values.
    #[must_use]
    pub fn rms_range(&self) -> Range<ElectricCurrent> {
        let factor = match self.current_definition {
            CurrentDefinition::Peak => core::f64::consts::FRAC_1_SQRT_2,
            CurrentDefinition::Rms => 1.0,
        };
        Range::new(self.current.low() * factor, self.current.high() * factor)
    }
    /// Whether a microstep setting can be made.
    #[must_use]
    pub fn offers(&self, microsteps: u32) -> bool {
        match self.fixed_microsteps {
            Some(fixed) => *fixed == microsteps,
            None => microsteps.is_power_of_two() && microsteps <= *self.max_microsteps,
        }
    }
    /// How its current is set.
    #[must_use]
    pub fn set_by(&self) -> SetBy {
        match self.law {
            CurrentLaw::Levels { .. } => SetBy::Bus,
            CurrentLaw::SenseResistor { .. } | CurrentLaw::PerAmpere { .. } => SetBy::Trimmer,
        }
    }
}

/// How the set current follows from the setting. Currents are as [`Driver::current_definition`] says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CurrentLaw {
    /// `I = Vref / (gain · Rs)`.
    SenseResistor {
        /// The gain.
        gain: Value<Ratio>,
        /// The sense resistor Rs.
        resistor: Value<ElectricalResistance>,
        /// The smallest change of Vref that a hand can set.
        step: Value<ElectricPotential>,
    },
    /// `Vref = I · k`.
    PerAmpere {
        /// Vref at one ampere.
        reference: Value<ElectricPotential>,
        /// The smallest change of Vref that a hand can set.
        step: Value<ElectricPotential>,
    },
    /// `I = largest · n / levels` for a whole n.
    Levels {
        /// Number of levels.
        levels: u32,
    },
}

/// A place on a board where a lead goes.
#[derive(Clone, Debug, PartialEq)]
pub struct Port {
    /// Its name on the board.
    pub name: Name,
    /// What it is for, with what belongs to that.
    pub kind: PortKind,
    /// The connector, by its name in the catalogue.
    pub connector: Name,
    /// Functions of its pins, pin 1 first.
    pub pins: Vec<Located<Pin>>,
    /// Centre of the connector.
    pub at: Located<Point>,
    /// Direction of its row of pins.
    pub along: Along,
    /// Where its supply comes from.
    pub supply: PortSupply,
    /// Largest current that it can deliver (or take, for the supply input).
    pub current: Option<Located<Value<ElectricCurrent>>>,
    /// The processor pin.
    pub processor_pin: Option<Name>,
    /// The number or name by which the settings of its controller call it.
    pub number: Option<Name>,
    /// The timer that pulses it.
    pub timer: Option<Name>,
    /// Ports that cannot be used together with this one.
    pub excludes: Vec<PortId>,
    /// Why the firmware cannot drive it, where that is so.
    pub undriven: Option<Name>,
    /// Where its table begins.
    pub place: Place,
}

impl Port {
    /// The role as one word.
    #[must_use]
    pub fn role(&self) -> Role {
        match self.kind {
            PortKind::Switched { heater: false, .. } => Role::SwitchedOutput,
            PortKind::Switched { heater: true, .. } => Role::HeaterOutput,
            PortKind::Permanent => Role::PermanentOutput,
            PortKind::Motor { .. } => Role::MotorOutput,
            PortKind::Thermometer(_) => Role::ThermometerInput,
            PortKind::Switch(_) => Role::SwitchInput,
            PortKind::Probe { .. } => Role::ProbePort,
            PortKind::Line { display: false, .. } => Role::Serial,
            PortKind::Line { display: true, .. } => Role::Display,
            PortKind::LightData { .. } => Role::LightData,
            PortKind::CardSlot { .. } => Role::CardSlot,
            PortKind::Usb { .. } => Role::Usb,
            PortKind::SupplyInput => Role::SupplyInput,
        }
    }
}

/// Where the supply of a port comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PortSupply {
    /// It has none.
    None,
    /// Always this rail.
    Rail(RailId),
    /// The rail that this jumper chooses.
    Jumper(JumperId),
}

/// The role of a port with what belongs to it.
#[derive(Clone, Debug, PartialEq)]
pub enum PortKind {
    /// A switched or heater output.
    Switched {
        /// Whether it is built for heaters.
        heater: bool,
        /// The pole that is switched.
        side: Side,
        /// Whether it can be pulsed; `None` where the file does not tell.
        pwm: Option<bool>,
        /// On-resistance of the switch.
        resistance: Option<Located<Value<ElectricalResistance>>>,
    },
    /// Carries its rail whenever the board has power.
    Permanent,
    /// The two coils of a motor.
    Motor {
        /// The driver behind it.
        driver: DriverId,
    },
    /// Measures a thermometer.
    Thermometer(ThermometerInput),
    /// Reads a switch.
    Switch(SwitchInput),
    /// Control and signal of a bed probe.
    Probe {
        /// The signal side; `None` where the port has no pin for it, and the signal goes to an input elsewhere.
        input: Option<SwitchInput>,
        /// The level of the control output.
        level: Located<Value<ElectricPotential>>,
    },
    /// A serial line or a display.
    Line {
        /// Whether it is made for a panel.
        display: bool,
        /// What it speaks, in the words of its maker.
        interface: Name,
        /// The level that it sends.
        level: Located<Value<ElectricPotential>>,
        /// The highest voltage that its inputs bear.
        max_input_voltage: Located<Value<ElectricPotential>>,
    },
    /// The data line of addressable lights.
    LightData {
        /// The level that it sends.
        level: Located<Value<ElectricPotential>>,
        /// The resistor in series.
        series_resistor: Option<Located<Value<ElectricalResistance>>>,
    },
    /// Takes a memory card.
    CardSlot {
        /// The edge at which it opens.
        edge: Located<Edge>,
    },
    /// USB to a computer.
    Usb {
        /// The edge at which it opens.
        edge: Located<Edge>,
    },
    /// Where the supply arrives.
    SupplyInput,
}

/// The circuit of a thermometer input.
#[derive(Clone, Debug, PartialEq)]
pub struct ThermometerInput {
    /// Divider or amplifier.
    pub circuit: Located<Circuit>,
    /// The pull-up.
    pub pull_up: Located<Value<ElectricalResistance>>,
    /// The reference of the converter.
    pub reference: Located<Value<ElectricPotential>>,
    /// What feeds the pull-up, where that is another supply of the same voltage; `None` where the reference does, so that it cancels.
    pub pull_up_supply: Option<Located<Value<ElectricPotential>>>,
    /// Bits of the converter, 8 ..= 24.
    pub adc_bits: Located<u32>,
    /// Noise at the converter, effective value.
    pub noise: Option<Located<Value<ElectricPotential>>>,
    /// Amplification between divider and converter; 1 for a plain divider.
    pub amplification: Value<Ratio>,
    /// Time constant of the filter.
    pub filter: Option<Located<Value<Time>>>,
}

/// The circuit of an input that reads a switch.
#[derive(Clone, Debug, PartialEq)]
pub struct SwitchInput {
    /// What holds it when nothing is connected.
    pub pull: Located<Pull>,
    /// The value of that resistor.
    pub pull_resistor: Option<Located<Value<ElectricalResistance>>>,
    /// The highest voltage that the pin bears.
    pub max_input_voltage: Located<Value<ElectricPotential>>,
}

//! `boards/*.toml` as written.

use quantity::si::{
    Capacitance, ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Length, Ratio,
    ThermalResistance, Time,
};
use quantity::{Memory, Price, Range, Value};

use crate::read::{Map, Needed, Point, record};
use crate::source::{Located, Name};
use crate::words::{
    Along, Circuit, Connection, CurrentDefinition, Direction, Edge, Lengths, Mount, Origin, Pull, RailSource,
    Role, SetBy, Side,
};

record! {
    /// A controller board: what it bears, offers, and where everything sits on it.
    pub struct BoardFile("board") {
        /// The name by which the swap calls the board.
        name: Needed<Name>,
        /// Whether the board is made up for an example.
        invented: Option<Located<bool>>,
        /// What the board costs.
        price: Option<Located<Price>>,
        /// Size, height and holes.
        outline: Needed<Outline>,
        /// The supply that the board bears.
        input: Needed<Input>,
        /// The processor.
        processor: Needed<Processor>,
        /// Supplies made on the board, by name; the rail `input` is always there.
        rails: Map<RailFile>,
        /// Motor drivers.
        driver: Vec<DriverFile>,
        /// Jumpers that choose the rail of one or more ports.
        jumper: Vec<JumperFile>,
        /// Places where leads go; at least one.
        port: Vec<PortFile>,
    }
}

record! {
    /// Size, height and holes of a board.
    pub struct Outline("outline") {
        /// Width (x) and depth (y).
        size: Located<Point>,
        /// The corner from which places on the board count; lower left where nothing is said. From an upper corner y counts downward.
        origin: Option<Located<Origin>>,
        /// The unit of lengths that are bare numbers in this drawing; mm where nothing is said.
        unit: Option<Located<Lengths>>,
        /// Height of the tallest part above the lower face, plugs included.
        height: Located<Value<Length>>,
        /// Centres of the mounting holes, from the corner of `origin`.
        holes: Vec<Located<Point>>,
        /// Diameter of the mounting holes.
        hole_diameter: Located<Value<Length>>,
    }
}

record! {
    /// The supply input of a board.
    pub struct Input("input") {
        /// The voltages that the board bears.
        voltage: Located<Range<ElectricPotential>>,
        /// The largest current through the input terminals.
        current: Located<Value<ElectricCurrent>>,
        /// The rating of the fuse on the board, if there is one.
        fuse: Option<Located<Value<ElectricCurrent>>>,
        /// The capacitors behind the input, all together.
        capacitance: Option<Located<Value<Capacitance>>>,
        /// The largest current of the motor drivers together, if the maker states one.
        motor_current: Option<Located<Value<ElectricCurrent>>>,
        /// Whether it bears a supply whose poles are exchanged; where nothing is said, it does not.
        reverse_polarity: Option<Located<bool>>,
    }
}

record! {
    /// The processor of a board.
    pub struct Processor("processor") {
        /// The core, such as "Cortex-M4F".
        core: Name,
        /// The clock.
        clock: Located<Value<Frequency>>,
        /// Memory for the image.
        flash: Located<Memory>,
        /// Working memory.
        ram: Located<Memory>,
        /// Address at which the flash begins.
        flash_start: Option<Located<u32>>,
        /// Address at which the working memory begins.
        ram_start: Option<Located<u32>>,
        /// Memory that the boot loader keeps for itself.
        boot_offset: Option<Located<Memory>>,
        /// The name under which the boot loader takes an image from a card, such as "OSIER.BIN" or "*.BIN"; "none" where it loads over a cable.
        image_name: Option<Name>,
        /// The supply of the processor's pins.
        logic: Located<Value<ElectricPotential>>,
        /// Steps per second that the board makes over all motors together, as its maker or a measurement states.
        step_rate: Located<Value<Frequency>>,
    }
}

record! {
    /// A supply made on the board.
    pub struct RailFile("rail") {
        /// How the rail is made.
        source: Located<RailSource>,
        /// Its voltage.
        voltage: Located<Value<ElectricPotential>>,
        /// The largest current of the rail.
        current: Located<Value<ElectricCurrent>>,
        /// What the board itself draws from it.
        board_current: Option<Located<Value<ElectricCurrent>>>,
        /// The rail that feeds it; `input` where nothing is said.
        fed_by: Option<Name>,
        /// Time in which it comes up after the board gets power.
        start_time: Option<Located<Value<Time>>>,
        /// Efficiency of a switching converter; 85 % ± 8 % where nothing is said.
        efficiency: Option<Located<Value<Ratio>>>,
    }
}

record! {
    /// A motor driver.
    pub struct DriverFile("driver") {
        /// Its name on the board.
        name: Name,
        /// Soldered or on a socket.
        mount: Located<Mount>,
        /// Price of the driver where it is not part of the board.
        price: Option<Located<Price>>,
        /// The smallest and largest current it can be set to.
        current: Located<Range<ElectricCurrent>>,
        /// Whether that current is meant as peak or as effective value.
        current_definition: Located<CurrentDefinition>,
        /// How the current is set.
        set_by: Located<SetBy>,
        /// Trimmer: the sense resistor.
        sense_resistor: Option<Located<Value<ElectricalResistance>>>,
        /// Trimmer: the gain in `I = Vref / (gain · Rs)`.
        gain: Option<Located<Value<Ratio>>>,
        /// Trimmer without sense resistor: reference voltage at 1 A.
        reference_at_one_ampere: Option<Located<Value<ElectricPotential>>>,
        /// Trimmer: the smallest change of the reference voltage that a hand can set.
        trimmer_step: Option<Located<Value<ElectricPotential>>>,
        /// Bus: the number of current levels from zero to the largest current.
        levels: Option<Located<u32>>,
        /// On-resistance of high and low switch of one phase together.
        on_resistance: Option<Located<Value<ElectricalResistance>>>,
        /// Time of one edge when a switch turns on or off; where both half bridges of a phase switch at once, twice that.
        edge_time: Option<Located<Value<Time>>>,
        /// How often the current of a phase is chopped.
        chopper_frequency: Option<Located<Value<Frequency>>>,
        /// From junction to the air of the case, without heat sink.
        thermal_resistance: Option<Located<Value<ThermalResistance>>>,
        /// From junction to the air of the case, with the heat sink that is meant for it.
        thermal_resistance_with_sink: Option<Located<Value<ThermalResistance>>>,
        /// Whether the heat sink comes with the board.
        heat_sink: Option<Located<bool>>,
        /// The finest microstep setting; powers of two below it are offered as well.
        max_microsteps: Located<u32>,
        /// The one microstep setting, where it cannot be changed.
        fixed_microsteps: Option<Located<u32>>,
        /// Whether the motor stands without a sound.
        silent_at_standstill: Option<Located<bool>>,
        /// Whether the driver measures the load.
        stall_detection: Option<Located<bool>>,
        /// The smallest back-EMF at which the load signal can be used.
        min_back_emf: Option<Located<Value<ElectricPotential>>>,
        /// The sense in which it turns for a rising direction signal.
        direction: Option<Located<Direction>>,
        /// How its sockets join two motors, where it has two.
        motor_connection: Option<Located<Connection>>,
        /// The largest motor supply it bears, where that is less than the board's.
        voltage: Option<Located<Range<ElectricPotential>>>,
    }
}

record! {
    /// A jumper: one that chooses the rail of the ports that name it, or one that does something else.
    pub struct JumperFile("jumper") {
        /// Its name on the board.
        name: Name,
        /// The rails it can choose; at least one, where it chooses a rail.
        rails: Vec<Name>,
        /// In place of `rails`: what it does, such as "supplies the processor from USB".
        purpose: Option<Name>,
        /// How it must stand in this machine, beside `purpose`, such as "off" or "pins 1 and 2".
        position: Option<Name>,
        /// The driver whose stall signal it joins to `port`, where that is its purpose.
        driver: Option<Name>,
        /// The switch input that then carries the stall signal and must stay empty.
        port: Option<Name>,
    }
}

record! {
    /// A place on the board where a lead goes.
    pub struct PortFile("port") {
        /// Its name on the board.
        name: Name,
        /// What it is for.
        role: Located<Role>,
        /// Its connector, by a name of the catalogue.
        connector: Name,
        /// The functions of its pins in their order, pin 1 first.
        pins: Vec<Located<crate::words::Pin>>,
        /// Centre of the connector from the lower left corner of the board.
        at: Located<Point>,
        /// The direction in which the pins follow each other; `x` where nothing is said.
        along: Option<Located<Along>>,
        /// The rail that supplies it.
        rail: Option<Name>,
        /// The jumper that chooses its rail.
        jumper: Option<Name>,
        /// The largest current of the port.
        current: Option<Located<Value<ElectricCurrent>>>,
        /// On-resistance of its switch.
        switch_resistance: Option<Located<Value<ElectricalResistance>>>,
        /// The pole that is switched.
        side: Option<Located<Side>>,
        /// Whether the switch can be pulsed.
        pwm: Option<Located<bool>>,
        /// The driver behind a motor output.
        driver: Option<Name>,
        /// The processor pin.
        processor_pin: Option<Name>,
        /// The number or name by which the settings of its controller call it, as they count serial ports.
        number: Option<Name>,
        /// The timer that pulses it; ports on one timer share their pulse frequency.
        timer: Option<Name>,
        /// Ports that cannot be used together with this one.
        excludes: Vec<Name>,
        /// The circuit of a thermometer input.
        circuit: Option<Located<Circuit>>,
        /// The pull-up of a thermometer input.
        pull_up: Option<Located<Value<ElectricalResistance>>>,
        /// The reference of the analogue converter.
        reference: Option<Located<Value<ElectricPotential>>>,
        /// What feeds the pull-up, where that is another supply than the reference of the converter, of the same voltage.
        pull_up_supply: Option<Located<Value<ElectricPotential>>>,
        /// Bits of the analogue converter.
        adc_bits: Option<Located<u32>>,
        /// Noise at the analogue converter, effective value.
        noise: Option<Located<Value<ElectricPotential>>>,
        /// Amplification of a platinum amplifier.
        amplification: Option<Located<Value<Ratio>>>,
        /// Time constant of the filter in front of the converter.
        filter: Option<Located<Value<Time>>>,
        /// The resistor that holds the input.
        pull: Option<Located<Pull>>,
        /// Its value.
        pull_resistor: Option<Located<Value<ElectricalResistance>>>,
        /// The highest voltage that its pin bears.
        max_input_voltage: Option<Located<Value<ElectricPotential>>>,
        /// The level of an output that carries data or control.
        level: Option<Located<Value<ElectricPotential>>>,
        /// The resistor in series with a data output.
        series_resistor: Option<Located<Value<ElectricalResistance>>>,
        /// What a display or serial port speaks, in the words of its maker.
        interface: Option<Name>,
        /// The edge at which a card slot or USB opens.
        edge: Option<Located<Edge>>,
        /// Why the firmware of this processor cannot drive the port, where that is so.
        undriven: Option<Name>,
    }
}

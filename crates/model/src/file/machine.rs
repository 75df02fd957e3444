//! `machine.toml` as written.

use quantity::si::{
    Acceleration, Angle, Capacitance, ElectricCurrent, ElectricPotential, ElectricalResistance, Force,
    HeatCapacity, Inductance, Length, Mass, MomentOfInertia, Power, Ratio, ResistancePerLength, StepDensity,
    ThermalConductance, ThermodynamicTemperature, Time, Torque, Velocity,
};
use quantity::{Price, Value, WireSize};

use crate::read::{Needed, Point, record};
use crate::source::{Located, Name};
use crate::words::{
    Cooled, DeviceKind, Direction, DriveKind, Edge, End, Homing, Kinematics, Lengths, Material, Origin,
    Output, Pin, Zone,
};
use crate::words::{Element, RelayKind, Role, Sense};

record! {
    /// A machine without its controller board.
    pub struct MachineFile("machine") {
        /// What the machine is called.
        name: Needed<Name>,
        /// Whether the machine is made up for an example.
        invented: Option<Located<bool>>,
        /// How its axes move the nozzle.
        kinematics: Needed<Located<Kinematics>>,
        /// Lengths and angles that the kinematics need beyond the axes: of a delta, of a belt bed.
        geometry: Option<Geometry>,
        /// The place where the board sits.
        case: Needed<Case>,
        /// The bed and the screws that it stands on.
        bed: Option<Bed>,
        /// Axes.
        axis: Vec<AxisFile>,
        /// Everything that is plugged into a board, or shall be; a supply at least.
        device: Vec<DeviceFile>,
    }
}

record! {
    /// Lengths and angles of a delta or of a belt bed.
    pub struct Geometry("geometry") {
        /// Delta: length of the arms between their joints.
        arm: Option<Located<Value<Length>>>,
        /// Delta: from the middle of the bed to a tower, less both joint offsets.
        radius: Option<Located<Value<Length>>>,
        /// Delta: from the middle of the bed to the farthest point that is printed.
        reach: Option<Located<Value<Length>>>,
        /// Delta: the mass that hangs on the arms; `mass` of an axis is that of its carriage.
        nozzle_mass: Option<Located<Value<Mass>>>,
        /// Belt bed: angle between the gantry and the belt.
        tilt: Option<Located<Value<Angle>>>,
    }
}

record! {
    /// The place in the case where the board sits; its plane has the origin at the lower left inner corner.
    pub struct Case("case") {
        /// Free width (x) and depth (y).
        size: Located<Point>,
        /// The corner from which places in the case count; lower left where nothing is said. From an upper corner y counts downward.
        origin: Option<Located<Origin>>,
        /// The unit of lengths that are bare numbers in this drawing; mm where nothing is said.
        unit: Option<Located<Lengths>>,
        /// Free height above the posts.
        height: Located<Value<Length>>,
        /// Centres of the posts.
        standoffs: Vec<Located<Point>>,
        /// The screws of the posts, such as "M3".
        screw_size: Name,
        /// Air around the board while printing; worked out from what warms it where nothing is said.
        air: Option<Located<Value<ThermodynamicTemperature>>>,
        /// Heat that leaves the closed place of the board for each kelvin above the room, fans at rest.
        thermal_conductance: Option<Located<Value<ThermalConductance>>>,
        /// The same with the board fan running.
        thermal_conductance_with_fan: Option<Located<Value<ThermalConductance>>>,
        /// Where the leads come in.
        entry: Option<Located<Point>>,
        /// Where something stands in the way.
        keep_out: Vec<KeepOut>,
        /// Holes in the wall for plugs and cards.
        opening: Vec<Opening>,
    }
}

record! {
    /// The bed, in the coordinates in which the nozzle is told to go.
    pub struct Bed("bed") {
        /// The screws that it stands on.
        screw: Vec<BedScrew>,
    }
}

record! {
    /// A screw that the bed stands on.
    pub struct BedScrew("bed screw") {
        /// What it is called, such as "front left".
        name: Name,
        /// Where it carries the bed.
        at: Located<Point>,
        /// Travel of the bed for one turn.
        pitch: Located<Value<Length>>,
        /// The sense, as seen by whoever turns it, that raises the bed.
        raises: Located<Sense>,
        /// Whether it cannot be turned; the others are then turned to its height.
        fixed: Option<Located<bool>>,
    }
}

record! {
    /// A part of the case where less height is free.
    pub struct KeepOut("keep-out") {
        /// What stands there.
        name: Name,
        /// Its lower left corner.
        at: Located<Point>,
        /// Its width and depth.
        size: Located<Point>,
        /// The height that is still free above the posts there; zero where nothing may be.
        height: Located<Value<Length>>,
    }
}

record! {
    /// A hole in the wall of the case.
    pub struct Opening("opening") {
        /// What is plugged in through it: `card slot` or `USB`.
        role: Located<Role>,
        /// The wall it is in.
        edge: Located<Edge>,
        /// Where it begins along the wall, from the lower or left corner.
        from: Located<Value<Length>>,
        /// Where it ends.
        to: Located<Value<Length>>,
    }
}

record! {
    /// An axis: what moves it and how fast it shall go.
    pub struct AxisFile("axis") {
        /// Its letter.
        name: Name,
        /// The mechanics.
        drive: Located<DriveKind>,
        /// Belt: distance of teeth.
        pitch: Option<Located<Value<Length>>>,
        /// Belt: teeth of the motor's pulley.
        teeth: Option<Located<u32>>,
        /// Lead screw: travel per turn.
        lead: Option<Located<Value<Length>>>,
        /// Geared extruder: effective diameter of the wheel that moves the filament.
        wheel: Option<Located<Value<Length>>>,
        /// Geared extruder, in place of `wheel` and `ratio`: the steps that were set on the old controller, at `old_microsteps`.
        old_steps: Option<Located<Value<StepDensity>>>,
        /// Turns of the motor per turn of pulley, screw or wheel; 1 where nothing is said; a geared extruder should state it.
        ratio: Option<Located<Value<Ratio>>>,
        /// Length of travel.
        travel: Option<Located<Value<Length>>>,
        /// The highest speed that is asked of it.
        max_speed: Located<Value<Velocity>>,
        /// The highest acceleration that is asked of it.
        acceleration: Option<Located<Value<Acceleration>>>,
        /// How it finds its home position where nothing senses it.
        homing: Option<Located<Homing>>,
        /// The speed at which it looks for its end.
        homing_speed: Option<Located<Value<Velocity>>>,
        /// The mass it moves.
        mass: Option<Located<Value<Mass>>>,
        /// The force that moves it slowly: a pull with a spring balance, or of an extruder the force that pushes the filament.
        friction: Option<Located<Value<Force>>>,
        /// The share of the weight of its mass that its motors lift: 1 straight up, 0 level; 1 for a lead screw, else 0 where nothing is said.
        weight_share: Option<Located<Value<Ratio>>>,
        /// The share of its work that the drive passes on.
        efficiency: Option<Located<Value<Ratio>>>,
        /// The sudden change of speed that is asked of it, as at a corner.
        corner_speed: Option<Located<Value<Velocity>>>,
        /// The sense that the old controller was set to.
        old_direction: Option<Located<Direction>>,
        /// The microsteps that the old controller was set to.
        old_microsteps: Option<Located<u32>>,
        /// The microsteps wanted on the new board; the old ones where nothing is said.
        microsteps: Option<Located<u32>>,
    }
}

record! {
    /// Anything plugged into a board, with its lead. Which keys it may have depends on its kind.
    pub struct DeviceFile("device") {
        /// The tag tied to its lead; one like a number is shown with `tag` in front.
        tag: Name,
        /// What people call it.
        name: Name,
        /// What it is.
        kind: Located<DeviceKind>,
        /// Its wires, up to the board.
        cable: Needed<Cable>,
        /// Its further plugs, where its wires go to more than one port; the device has all of them connected, or none.
        plug: Vec<PlugFile>,
        /// What it costs, where it must still be bought.
        price: Option<Located<Price>>,
        /// Its rated supply; of a relay the range of its control input.
        voltage: Option<Located<Value<ElectricPotential>>>,
        /// Its current: rated for a motor (per phase, both phases on), of its control input for a relay, largest for anything else.
        current: Option<Located<Value<ElectricCurrent>>>,
        /// Its power at the rated supply: of a heater or a relay's load when it is hot, of a supply what it can give.
        power: Option<Located<Value<Power>>>,
        /// How a relay switches its load.
        relay: Option<Located<RelayKind>>,
        /// The voltage of a relay's load, such as that of the mains; `voltage` is that of its control input.
        load_voltage: Option<Located<Value<ElectricPotential>>>,
        /// What a heater, a relay's load or a thermometer belongs to.
        zone: Option<Located<Zone>>,
        /// What the heater's track is made of.
        element: Option<Located<Element>>,
        /// The temperature of the heater's track at which its power is stated; 20 °C where nothing is said.
        rated_at: Option<Located<Value<ThermodynamicTemperature>>>,
        /// The highest temperature that is asked of it.
        working_temperature: Option<Located<Value<ThermodynamicTemperature>>>,
        /// The temperature that its weakest part bears.
        temperature_limit: Option<Located<Value<ThermodynamicTemperature>>>,
        /// Heat capacity of the heated part; from its bodies where nothing is said.
        heat_capacity: Option<Located<Value<HeatCapacity>>>,
        /// Heat lost per kelvin above the room.
        thermal_conductance: Option<Located<Value<ThermalConductance>>>,
        /// The bodies that the heater warms, for their heat capacity.
        body: Vec<BodyFile>,
        /// Parts that bear no more than a temperature, each by its name.
        part: Vec<PartFile>,
        /// Heat that goes over to the second body for each kelvin between the two.
        coupling: Option<Located<Value<ThermalConductance>>>,
        /// Heat capacity of the second body; from its bodies where nothing is said.
        second_capacity: Option<Located<Value<HeatCapacity>>>,
        /// Heat that the second body loses per kelvin above the room.
        second_conductance: Option<Located<Value<ThermalConductance>>>,
        /// Time from a change of power to the first change at the thermometer.
        dead_time: Option<Located<Value<Time>>>,
        /// The temperature at which a thermal cut-out or fuse on the part opens the heater's circuit by itself.
        cut_out: Option<Located<Value<ThermodynamicTemperature>>>,
        /// The kind of thermometer, by a name of the catalogue.
        sensor: Option<Name>,
        /// The axis that a motor moves or a switch ends.
        axis: Option<Name>,
        /// The end of the axis that a switch tells.
        end: Option<Located<End>>,
        /// Resistance of one winding.
        resistance: Option<Located<Value<ElectricalResistance>>>,
        /// Inductance of one winding.
        inductance: Option<Located<Value<Inductance>>>,
        /// Torque with both phases at the rated current.
        holding_torque: Option<Located<Value<Torque>>>,
        /// Moment of inertia of the rotor and of what sits on its shaft; usual for a frame of 42 mm where nothing is said.
        rotor_inertia: Option<Located<Value<MomentOfInertia>>>,
        /// Full steps per turn; 200 where nothing is said.
        steps_per_turn: Option<Located<u32>>,
        /// The current that it shall run at, effective value; 85 % of the rated one where nothing is said.
        run_current: Option<Located<Value<ElectricCurrent>>>,
        /// What a fan cools.
        cools: Option<Located<Cooled>>,
        /// The output of a switch or sensor; of a fan that of its tachometer, where a further plug carries it.
        output: Option<Located<Output>>,
        /// The level of a push-pull or PNP output, or of the pull-up inside the device; of a PNP output its supply less its drop where nothing is said.
        level: Option<Located<Value<ElectricPotential>>>,
        /// The largest voltage that its control or data input bears; its supply where nothing is said.
        max_input_voltage: Option<Located<Value<ElectricPotential>>>,
        /// Number of lights of an addressable strip; a plain strip has none.
        led_count: Option<Located<u32>>,
        /// Largest current of one light.
        current_per_led: Option<Located<Value<ElectricCurrent>>>,
        /// Length of a light strip.
        strip_length: Option<Located<Value<Length>>>,
        /// Resistance of both supply tracks of the strip together, per length.
        strip_resistance: Option<Located<Value<ResistancePerLength>>>,
        /// Capacitors at the supply of a light strip.
        capacitance: Option<Located<Value<Capacitance>>>,
        /// Current of a probe's servo or coil while it is held fast.
        stall_current: Option<Located<Value<ElectricCurrent>>>,
        /// Voltage of the supply that this one replaces, where it differs.
        old_voltage: Option<Located<Value<ElectricPotential>>>,
        /// What a panel speaks, in the words of its maker.
        interface: Option<Name>,
    }
}

record! {
    /// A body that a heater warms: its heat capacity follows from size and material.
    pub struct BodyFile("body") {
        /// What it is.
        name: Name,
        /// What it is made of.
        material: Located<Material>,
        /// Length, width and height of its material: the volume counts, holes taken off.
        size: Vec<Located<Value<Length>>>,
        /// Whether it belongs to the second body, warmed through the first: the sheet on a bed, a nozzle.
        second: Option<Located<bool>>,
    }
}

record! {
    /// A part that bears no more than a temperature.
    pub struct PartFile("part") {
        /// What it is.
        name: Name,
        /// The highest temperature that it bears.
        temperature_limit: Located<Value<ThermodynamicTemperature>>,
        /// Whether it has the temperature of the second body.
        second: Option<Located<bool>>,
    }
}

record! {
    /// The wires from one device to the board.
    pub struct Cable("cable") {
        /// The connector at its board end, by a name of the catalogue.
        connector: Name,
        /// What its wires are for, in the order of the connector, pin 1 first; at least one.
        pins: Vec<Located<Pin>>,
        /// Their colours in the same order, IEC 60757 letters; one for each wire, or none at all.
        colours: Vec<Name>,
        /// Size of the wires.
        wire: Located<WireSize>,
        /// Length from the device to the board end.
        length: Located<Value<Length>>,
        /// Length of its way outside the case: from the device to where leads come in.
        outside: Option<Located<Value<Length>>>,
        /// The port of the old board, or "unknown"; a device without was not connected to it.
        old_port: Option<Name>,
    }
}

record! {
    /// A further plug of a device: wires that go to another port than those of its cable.
    pub struct PlugFile("plug") {
        /// The connector at its board end, by a name of the catalogue.
        connector: Name,
        /// What its wires are for, in the order of the connector, pin 1 first; of a panel none where they are not known.
        pins: Vec<Located<Pin>>,
        /// Their colours in the same order, IEC 60757 letters; one for each wire, or none at all.
        colours: Vec<Name>,
        /// Size of the wires; as in the cable where nothing is said.
        wire: Option<Located<WireSize>>,
        /// Length from the device to the board end; as in the cable where nothing is said.
        length: Option<Located<Value<Length>>>,
        /// Length of its way outside the case; as in the cable where neither this nor its length is said.
        outside: Option<Located<Value<Length>>>,
        /// The port of the old board, or "unknown"; a plug without was not connected to it.
        old_port: Option<Name>,
        /// What a panel speaks at this plug; as the panel where nothing is said.
        interface: Option<Name>,
    }
}

//! Every value of a model that may carry a tolerance, visited in a fixed order: for whoever draws machines at random, or
//! moves one value at a time.
//!
//! Each type is taken apart with all its fields named, so a new field does not compile until it is listed here: a value that
//! a draw forgets would stay at its nominal without anybody's noticing. Ranges of what a part *bears* are no tolerances and
//! are left alone.

use quantity::{AnyValue, Memory, Price, Quantity, Range, Value, WireSize};

use crate::board::{
    Board, CurrentLaw, Driver, DriverId, JumperId, MadeRail, Port, PortId, PortKind, PortSupply, Rail,
    RailId, SwitchInput, ThermometerInput,
};
use crate::file::board::{Input, Outline, Processor};
use crate::machine::{
    Axis, AxisId, Bed, BedScrew, Body, Cable, Case, Detail, Device, DeviceId, Drive, Fan, Geometry, Heater,
    KeepOut, LightStrip, Machine, Motor, Opening, Panel, Part, Plug, Relay, Sensor, Supply, Thermometer,
};
use crate::read::Point;
use crate::source::{Located, Place};
use crate::swap::Ambient;
use crate::words::{
    Along, Circuit, Connection, Cooled, CurrentDefinition, DeviceKind, Direction, Edge, Element, End, Homing,
    Kinematics, Lengths, Material, Mount, Origin, Output, Pin, Pull, RailSource, RelayKind, Role, Sense,
    Side, Zone,
};

/// Sees each value in turn and may put another in its place.
pub trait Visitor {
    /// What comes until the matching [`Visitor::leave`] belongs to the thing of this name: a tag, a port, an axis.
    fn enter(&mut self, _name: &str) {}
    /// The end of what [`Visitor::enter`] began.
    fn leave(&mut self) {}
    /// A value: its key as in the files, where it was written if it was, and itself. What is returned takes its place.
    fn value(&mut self, key: &'static str, place: Option<Place>, value: AnyValue) -> Option<AnyValue>;
}

/// Something that holds values with tolerances, or is one.
pub trait Toleranced {
    /// Shows every value to the visitor, in an order that depends on nothing but the structure.
    fn visit(&mut self, key: &'static str, place: Option<Place>, visitor: &mut dyn Visitor);
}

impl<Q: Quantity> Toleranced for Value<Q> {
    fn visit(&mut self, key: &'static str, place: Option<Place>, visitor: &mut dyn Visitor) {
        if let Some(new) = visitor.value(key, place, AnyValue::from(*self)) {
            *self = Value::between(
                Q::from_base(new.low),
                Q::from_base(new.nominal),
                Q::from_base(new.high),
            );
        }
    }
}

impl<T: Toleranced> Toleranced for Located<T> {
    fn visit(&mut self, key: &'static str, _: Option<Place>, visitor: &mut dyn Visitor) {
        self.value.visit(key, Some(self.place), visitor);
    }
}

impl<T: Toleranced> Toleranced for Option<T> {
    fn visit(&mut self, key: &'static str, place: Option<Place>, visitor: &mut dyn Visitor) {
        if let Some(inner) = self {
            inner.visit(key, place, visitor);
        }
    }
}

impl<T: Toleranced> Toleranced for Box<T> {
    fn visit(&mut self, key: &'static str, place: Option<Place>, visitor: &mut dyn Visitor) {
        (**self).visit(key, place, visitor);
    }
}

impl<T: Toleranced, const N: usize> Toleranced for [T; N] {
    fn visit(&mut self, key: &'static str, place: Option<Place>, visitor: &mut dyn Visitor) {
        for item in self {
            item.visit(key, place, visitor);
        }
    }
}

impl<T: Toleranced> Toleranced for Vec<T> {
    fn visit(&mut self, key: &'static str, place: Option<Place>, visitor: &mut dyn Visitor) {
        for item in self {
            item.visit(key, place, visitor);
        }
    }
}

impl<Q> Toleranced for Range<Q> {
    fn visit(&mut self, _: &'static str, _: Option<Place>, _: &mut dyn Visitor) {}
}

/// Types without a value that could be off.
macro_rules! certain {
    ($($kind:ty),* $(,)?) => { $(
        impl Toleranced for $kind {
            fn visit(&mut self, _: &'static str, _: Option<Place>, _: &mut dyn Visitor) {}
        }
    )* };
}

certain! {
    bool, u32, String, Price, Memory, WireSize, Place, Point, AxisId, DeviceId, DeviceKind, DriverId, JumperId, PortId, RailId, PortSupply,
    Along, Circuit, Edge, End, Cooled, Connection, Homing, Kinematics, Material, CurrentDefinition, Mount, Output, Pin, Pull, RailSource, RelayKind, Role, Sense, Side,
    Element, Direction, Zone, Lengths, Origin,
}

/// Structs, with all their fields: `named` where a field says whose values these are; `band` for a field whose bounds say what the
/// thing is made for, not how far it may be off.
macro_rules! parts {
    ($($kind:ident $(named $name:ident)? $(band $band:ident)? { $($field:ident),* $(,)? })*) => { $(
        impl Toleranced for $kind {
            fn visit(&mut self, _: &'static str, _: Option<Place>, visitor: &mut dyn Visitor) {
                let Self { $($band: _,)? $($field),* } = self;
                $(visitor.enter(&$name.value);)?
                $($field.visit(stringify!($field), None, visitor);)*
                $(let _ = &$name; visitor.leave();)?
            }
        }
    )* };
}

parts! {
    Ambient { temperature, place }

    Machine { name, invented, kinematics, geometry, case, bed, axes, devices }
    Bed { screw, place }
    BedScrew named name { name, at, pitch, raises, fixed, place }
    Geometry { arm, radius, reach, nozzle_mass, tilt, place }
    Case { size, origin, unit, height, standoffs, screw_size, air, thermal_conductance, thermal_conductance_with_fan, entry, keep_out, opening, place }
    KeepOut named name { name, at, size, height, place }
    Opening { role, edge, from, to, place }
    Axis named name {
        name, drive, ratio, ratio_stated, homing, travel, max_speed, acceleration, homing_speed, mass, old_direction, old_microsteps,
        microsteps, friction, weight_share, efficiency, corner_speed, place,
    }
    Device named tag { tag, name, cable, price, detail, place }
    Cable { connector, pins, colours, wire, length, outside, old_port, place }
    Heater {
        zone, voltage, power, element, rated_at, working_temperature, temperature_limit, heat_capacity, thermal_conductance, bodies,
        parts, coupling, second_capacity, second_conductance, dead_time, cut_out, relay,
    }
    Relay band voltage { kind, current }
    Body named name { name, material, size, second }
    Part named name { name, temperature_limit, second }
    Thermometer { zone, sensor, working_temperature }
    Motor { axis, current, resistance, inductance, holding_torque, rotor_inertia, steps_per_turn, run_current }
    Fan band voltage { cools, current }
    Sensor band voltage { output, current, level, max_input_voltage, stall_current }
    LightStrip band voltage { current, led_count, length, resistance, capacitance }
    Panel band voltage { interface, current, level, max_input_voltage }
    Supply { voltage, power, old_voltage }
    Plug { of, kind, share, spare }

    Board named name {
        name, path, invented, price, outline, input, processor, rails, drivers, jumpers, ports, place,
    }
    Outline { size, origin, unit, height, holes, hole_diameter, place }
    Input { voltage, current, fuse, motor_current, reverse_polarity, capacitance, place }
    Processor { core, clock, flash, ram, flash_start, ram_start, boot_offset, image_name, logic, step_rate, place }
    Rail named name { name, made }
    MadeRail { source, voltage, current, board_current, fed_by, efficiency, start_time }
    Driver named name {
        name, mount, price, current, current_definition, law, on_resistance, edge_time, chopper_frequency, thermal_resistance,
        thermal_resistance_with_sink, heat_sink, max_microsteps, fixed_microsteps, silent_at_standstill, stall_detection, min_back_emf, direction, motor_connection, connection_stated, voltage,
        place,
    }
    Port named name {
        name, kind, connector, pins, at, along, supply, current, processor_pin, number, timer, excludes, undriven, place,
    }
    ThermometerInput { circuit, pull_up, reference, pull_up_supply, adc_bits, noise, amplification, filter }
    SwitchInput { pull, pull_resistor, max_input_voltage }
}

impl Toleranced for crate::board::Jumper {
    fn visit(&mut self, _: &'static str, _: Option<Place>, _: &mut dyn Visitor) {
        let Self {
            name: _,
            rails: _,
            purpose: _,
            position: _,
            stall_signal: _,
        } = self;
    }
}

/// Enums: each variant with all its fields.
macro_rules! variants {
    ($($kind:ident { $($variant:ident { $($field:ident),* })* ; $($inner:ident)* ; $($bare:ident)* })*) => { $(
        impl Toleranced for $kind {
            fn visit(&mut self, _key: &'static str, _place: Option<Place>, visitor: &mut dyn Visitor) {
                match self {
                    $(Self::$variant { $($field),* } => { $($field.visit(stringify!($field), None, visitor);)* })*
                    $(Self::$inner(inner) => inner.visit(_key, _place, visitor),)*
                    $(Self::$bare => {})*
                }
            }
        }
    )* };
}

variants! {
    Drive { Belt { pitch, teeth } Screw { lead } Extruder { wheel } ; ; }
    Detail {
        LimitSwitch { axis, end, sensor } ;
        Heater Thermometer Motor Fan BedProbe FilamentSwitch LightStrip Panel Supply Tachometer Plug ;
    }
    CurrentLaw { SenseResistor { gain, resistor, step } PerAmpere { reference, step } Levels { levels } ; ; }
    PortKind {
        Switched { heater, side, pwm, resistance }
        Motor { driver }
        Probe { input, level }
        Line { display, interface, level, max_input_voltage }
        LightData { level, series_resistor }
        CardSlot { edge }
        Usb { edge } ;
        Thermometer Switch ;
        Permanent SupplyInput
    }
}

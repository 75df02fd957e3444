//! The limits that checks hold values against: one typed field a limit, so that a typo does not compile.

use quantity::si::{
    Acceleration, Angle, AngularVelocity, Area, ElectricCurrent, ElectricPotential, ElectricalResistance,
    Force, Frequency, Length, MassDensity, MomentOfInertia, Power, Ratio, ResistancePerLength,
    SpecificHeatCapacity, TemperatureCoefficient, TemperatureInterval, ThermalResistance,
    ThermodynamicTemperature, Time, Torque, Velocity, VolumeRate,
};
use quantity::{AnyValue, Quantity, Value, parse_value};
use serde::Deserialize;
use toml::Spanned;

use crate::near::nearest;
use crate::table::{Document, Row, RowFault, Sure, Table, own_statement};

/// One limit, or one value that is assumed where a file states none.
///
/// It is `Copy`, and its words live as long as the process. Were they owned, each early return of a function that
/// builds all limits would free each limit built so far: code that grows with the square of their number, and took a
/// minute to compile.
#[derive(Clone, Copy, Debug)]
pub struct Limit<Q> {
    /// Its key in `limits.toml`.
    pub key: &'static str,
    /// Its value.
    pub value: Value<Q>,
    /// Why this figure and no other.
    pub reason: &'static str,
    /// Key of the source.
    pub source: &'static str,
    /// How far to trust the figure.
    pub sure: Sure,
}

/// A limit whose kind is known only at run time, for lists of all limits.
#[derive(Clone, Debug)]
pub struct AnyLimit<'a> {
    /// Its key in `limits.toml`.
    pub key: &'static str,
    /// What it is, in one sentence.
    pub what: &'static str,
    /// Its value.
    pub value: AnyValue,
    /// Why this figure and no other.
    pub reason: &'a str,
    /// Key of the source.
    pub source: &'a str,
    /// How far to trust the figure.
    pub sure: Sure,
}

macro_rules! limits {
    ($(#[doc = $what:literal] $name:ident: $quantity:ty = $key:literal;)*) => {
        /// All limits. Each field is one row of `data/limits.toml`.
        #[derive(Clone, Debug)]
        pub struct Limits {
            $(#[doc = $what] #[doc = concat!("\n\nKey: `", $key, "`.")] pub $name: Limit<$quantity>,)*
        }

        impl Limits {
            /// The key of every limit, in the order of the file.
            pub const KEYS: &'static [&'static str] = &[$($key),*];

            /// Every limit, for lists.
            #[must_use]
            pub fn all(&self) -> Vec<AnyLimit<'_>> {
                vec![$(self.$name.any($what),)*]
            }

            /// Reads a `limits.toml` that holds every limit.
            ///
            /// # Errors
            /// Every fault of the text, also each limit that is missing.
            pub fn read(text: &str) -> Result<Self, Vec<RowFault>> {
                let mut document = Document::new(text);
                let rows = known_rows(&mut document);
                $(let $name = typed::<$quantity>(&rows, $key, &mut document);
                if rows.get($key).is_none() {
                    document.fault(0..0, format!("the limit `{}` is missing", $key));
                })*
                document.end()?;
                // A missing limit has left through the faults above.
                Ok(Self { $($name: $name.ok_or_else(Vec::new)?,)* })
            }

            /// These limits with those of a user's file in place of their own.
            ///
            /// # Errors
            /// Every fault of the text, also each key that is no limit.
            pub fn overridden(mut self, text: &str) -> Result<Self, Vec<RowFault>> {
                let mut document = Document::new(text);
                let rows = known_rows(&mut document);
                $(if let Some(limit) = typed::<$quantity>(&rows, $key, &mut document) {
                    self.$name = limit;
                })*
                document.end()?;
                Ok(self)
            }

            /// Shows each limit with its key to a visitor; what it returns takes the place of the value. For draws within the tolerances.
            pub fn vary(&mut self, visitor: &mut dyn FnMut(&'static str, AnyValue) -> Option<AnyValue>) {
                $(self.$name.vary(visitor);)*
            }
        }
    };
}

limits! {
    // Supply
    /// Half the width of the supply's voltage where the machine file states no tolerance.
    supply_voltage_tolerance: Ratio = "supply.voltage_tolerance";
    /// The share of its rating that a supply may give for long.
    supply_continuous_share: Ratio = "supply.continuous_share";
    /// Air temperature from which open-frame supplies give less than their rating.
    supply_derating_from: ThermodynamicTemperature = "supply.derating_from";
    /// The share of its rating that a supply loses with each kelvin of air above that.
    supply_derating: TemperatureCoefficient = "supply.derating";
    /// The highest DC voltage of a protective extra-low-voltage circuit.
    supply_extra_low_voltage_dc: ElectricPotential = "supply.extra_low_voltage_dc";
    /// The highest AC voltage of a protective extra-low-voltage circuit.
    supply_extra_low_voltage_ac: ElectricPotential = "supply.extra_low_voltage_ac";
    // Board input and fuses
    /// The share of a board's rated input current that may flow for long.
    input_continuous_share: Ratio = "input.continuous_share";
    /// The share of its rating that a fuse may carry for long.
    fuse_continuous_share: Ratio = "fuse.continuous_share";
    /// The multiple of the rating from which a blade fuse is certain to open within seconds.
    fuse_opens_at: Ratio = "fuse.opens_at";
    /// The share of its rating that a supply gives into a short circuit before it limits.
    supply_fault_share: Ratio = "supply.fault_share";
    // Devices
    /// How far the voltage at a fan, light or panel may lie from its rating.
    device_voltage_tolerance: Ratio = "device.voltage_tolerance";
    /// Share of its rated voltage above which a fan, light, sensor or panel is refused.
    device_overvoltage_blocker: Ratio = "device.overvoltage_blocker";
    /// Share of its rated voltage below which a fan, light, sensor or panel is refused.
    device_undervoltage_blocker: Ratio = "device.undervoltage_blocker";
    /// Share of its rated power from which a heater is given a caution.
    heater_power_excess_caution: Ratio = "heater.power_excess_caution";
    /// Share of its rated power from which a heater is refused.
    heater_power_excess_blocker: Ratio = "heater.power_excess_blocker";
    /// Tolerance of a heater's resistance where the machine file states none.
    heater_resistance_tolerance: Ratio = "heater.resistance_tolerance";
    /// Share of its rated power below which a heater is refused.
    heater_power_shortfall_blocker: Ratio = "heater.power_shortfall_blocker";
    /// Share of its rated power below which a heater is given a caution.
    heater_power_shortfall_caution: Ratio = "heater.power_shortfall_caution";
    /// Step of a motor current as a share of it, above which a setting may miss the current by much.
    motor_current_step_coarse: Ratio = "motor.current_step_coarse";
    /// Heat of a motor at its rated current, least of the trade.
    motor_rated_heat_low: Power = "motor.rated_heat_low";
    /// Heat of a motor at its rated current, most of the trade.
    motor_rated_heat_high: Power = "motor.rated_heat_high";
    /// Power of a fan, most of the trade.
    fan_power_high: Power = "fan.power_high";
    /// Power of a fan, least of the trade.
    fan_power_low: Power = "fan.power_low";
    /// Time constant of a motor winding, inductance over resistance, least of the trade.
    motor_winding_time_low: Time = "motor.winding_time_low";
    /// Time constant of a motor winding, inductance over resistance, most of the trade.
    motor_winding_time_high: Time = "motor.winding_time_high";
    /// Holding torque of a motor that turns one watt into heat, least of the trade; it goes with the root of the heat.
    motor_torque_at_one_watt_low: Torque = "motor.torque_at_one_watt_low";
    /// Holding torque of a motor that turns one watt into heat, most of the trade; it goes with the root of the heat.
    motor_torque_at_one_watt_high: Torque = "motor.torque_at_one_watt_high";
    /// By how much the voltage of a rail may be off the one in its name.
    rail_name_tolerance: Ratio = "rail.name_tolerance";
    /// Distance of the LEDs of a strip, least of the trade.
    light_pitch_low: Length = "light.pitch_low";
    /// Distance of the LEDs of a strip, most of the trade.
    light_pitch_high: Length = "light.pitch_high";
    /// So far a reading may fall after such a step of the load.
    control_load_fall: TemperatureInterval = "control.load_fall";
    /// Share of what a heated part loses that it may lose more all at once.
    control_load_step: Ratio = "control.load_step";
    /// By how much the control of a heater may pass what is asked of it.
    heater_overshoot: TemperatureInterval = "heater.overshoot";
    /// Temperature of the hot end from which the heat-sink fan must run.
    fan_switch_on_temperature: ThermodynamicTemperature = "fan.switch_on_temperature";
    // Currents of ports, contacts and switches
    /// The share of a port's rated current that may flow for long.
    port_continuous_share: Ratio = "port.continuous_share";
    /// The share of a contact's rated current that may flow for long.
    contact_continuous_share: Ratio = "contact.continuous_share";
    /// Rise of temperature at which contact ratings are commonly stated.
    contact_temperature_rise: TemperatureInterval = "contact.temperature_rise";
    /// On-resistance of a switch when hot, as a multiple of that at 25 °C.
    switch_hot_resistance_factor: Ratio = "switch.hot_resistance_factor";
    /// Junction to air of a switch on a small copper area, where the board file states none.
    switch_thermal_resistance: ThermalResistance = "switch.thermal_resistance";
    /// Highest junction temperature of a switch that a check accepts.
    switch_junction_limit: ThermodynamicTemperature = "switch.junction_limit";
    /// Junction temperature of a switch from which a caution is given.
    switch_junction_caution: ThermodynamicTemperature = "switch.junction_caution";
    /// Temperature up to which the contacts of a connector may get, their own rise included, where its row states none.
    contact_temperature_limit: ThermodynamicTemperature = "contact.temperature_limit";
    // Rails inside the board
    /// The share of a rail's rated current that may flow for long.
    rail_continuous_share: Ratio = "rail.continuous_share";
    /// Tolerance of a rail's voltage where the board file states none.
    rail_voltage_tolerance: Ratio = "rail.voltage_tolerance";
    /// What the board itself draws from its 5 V rail: processor, drivers, indicators.
    rail_board_own_current: ElectricCurrent = "rail.board_own_current";
    /// Time in which a switching converter brings its rail up.
    rail_soft_start: Time = "rail.soft_start";
    /// Resistance inside a supply that bounds an inrush from its own capacitors.
    supply_source_resistance: ElectricalResistance = "supply.source_resistance";
    /// Current of a small 5 V servo or a solenoid of a probe while it moves.
    servo_peak_current: ElectricCurrent = "servo.peak_current";
    // Light strips
    /// Voltage at the far end of a 5 V strip below which colours shift.
    light_supply_low: ElectricPotential = "light.supply_low";
    /// Resistance of both supply tracks of a flexible strip together, per length.
    light_strip_resistance: ResistancePerLength = "light.strip_resistance";
    /// The least series resistor that is usual in the data line of a light strip.
    light_series_resistor_least: ElectricalResistance = "light.series_resistor_least";
    /// The largest series resistor that is usual in the data line of a light strip.
    light_series_resistor_most: ElectricalResistance = "light.series_resistor_most";
    /// Voltage below which the blue of an addressable light is dark.
    light_blue_dark: ElectricPotential = "light.blue_dark";
    /// Voltage below which the red of an addressable light is dark too, and the light draws nothing.
    light_red_dark: ElectricPotential = "light.red_dark";
    /// Share of its blue that the last light must keep.
    light_blue_share: Ratio = "light.blue_share";
    // Logic levels
    /// Distance that a level must keep from a threshold.
    logic_noise_margin: ElectricPotential = "logic.noise_margin";
    /// Smallest pull-up that an open-collector output sinks without trouble.
    logic_pullup_strong: ElectricalResistance = "logic.pullup_strong";
    /// Largest pull-up with which a switch lead of a metre is quiet.
    logic_pullup_weak: ElectricalResistance = "logic.pullup_weak";
    // Thermometer inputs
    /// Lowest share of the reference at which an input still measures.
    thermometer_share_low: Ratio = "thermometer.share_low";
    /// Highest share of the reference at which an input still measures.
    thermometer_share_high: Ratio = "thermometer.share_high";
    /// What an input must be able to read above the working temperature.
    thermometer_headroom: TemperatureInterval = "thermometer.headroom";
    /// Step of one code of the converter at a working temperature from which a caution is given.
    thermometer_resolution_caution: TemperatureInterval = "thermometer.resolution_caution";
    /// Step of one code from which an input is refused.
    thermometer_resolution_blocker: TemperatureInterval = "thermometer.resolution_blocker";
    /// Error of a kept old table or pull-up from which a caution is given.
    thermometer_table_error_caution: TemperatureInterval = "thermometer.table_error_caution";
    /// Error of a kept old table or pull-up from which the setting must be changed before any heat.
    thermometer_table_error_blocker: TemperatureInterval = "thermometer.table_error_blocker";
    /// Self-heating from which a caution is given.
    thermometer_self_heating_caution: TemperatureInterval = "thermometer.self_heating_caution";
    /// Tolerance of a pull-up where the board file states none.
    thermometer_pullup_tolerance: Ratio = "thermometer.pullup_tolerance";
    /// Noise of a thermometer input, rms at the pin, where the board file states none.
    thermometer_converter_noise: ElectricPotential = "thermometer.converter_noise";
    /// Working temperatures of a hot end, where the machine file states none.
    hotend_working: ThermodynamicTemperature = "hotend.working";
    /// Working temperatures of a bed, where the machine file states none.
    bed_working: ThermodynamicTemperature = "bed.working";
    // Leads
    /// Voltage lost along a lead, out and back, as a share of the supply, from which a caution is given.
    lead_drop_caution: Ratio = "lead.drop_caution";
    /// Voltage lost along a lead from which it is refused.
    lead_drop_blocker: Ratio = "lead.drop_blocker";
    /// Temperature of the copper of a lead in a printer.
    lead_copper_temperature: ThermodynamicTemperature = "lead.copper_temperature";
    /// What a lead must be longer than the straight way to its port.
    lead_reserve: Length = "lead.reserve";
    // Switches
    /// Smallest current through a mechanical switch that keeps its contacts clean.
    endstop_wetting_current: ElectricCurrent = "endstop.wetting_current";
    // Motors, drivers, axes
    /// Share of a motor's rated current that is set by default.
    motor_current_share: Ratio = "motor.current_share";
    /// Share of a motor's rated current below which a caution is given.
    motor_current_share_low: Ratio = "motor.current_share_low";
    /// Step of a driver's current setting from which a caution is given.
    motor_current_step_caution: Ratio = "motor.current_step_caution";
    /// Tolerance of a motor's winding resistance where none is stated.
    motor_resistance_tolerance: Ratio = "motor.resistance_tolerance";
    /// Resistance of a motor's winding at work, as a multiple of that at 20 °C.
    motor_hot_resistance_factor: Ratio = "motor.hot_resistance_factor";
    /// Tolerance of a motor's inductance where none is stated.
    motor_inductance_tolerance: Ratio = "motor.inductance_tolerance";
    /// Heat in both windings of a usual motor at its rated current.
    motor_winding_heat: Power = "motor.winding_heat";
    /// What iron and bearings of a motor take of its holding torque, as a share for each rad/s.
    motor_drag: Time = "motor.drag";
    /// Share of the torque at speed that must be left over.
    motor_torque_reserve: Ratio = "motor.torque_reserve";
    /// Highest case temperature of a motor that a check accepts.
    motor_case_temperature: ThermodynamicTemperature = "motor.case_temperature";
    /// On-resistance of both switches of a phase where the board's file states none.
    driver_on_resistance: ElectricalResistance = "driver.on_resistance";
    /// Time of one edge of a motor driver where the board's file states none.
    driver_edge_time: Time = "driver.edge_time";
    /// What a driver itself takes from the supply of the motors.
    driver_supply_current: ElectricCurrent = "driver.supply_current";
    /// How often a motor driver chops its current where the board's file does not state it.
    driver_chopper_frequency: Frequency = "driver.chopper_frequency";
    /// Highest junction temperature of a driver that a check accepts.
    driver_junction_limit: ThermodynamicTemperature = "driver.junction_limit";
    /// Junction temperature of a driver from which a caution is given.
    driver_junction_caution: ThermodynamicTemperature = "driver.junction_caution";
    /// Thermal resistance with a fan blowing over the drivers as a share of that without.
    driver_forced_air_factor: Ratio = "driver.forced_air_factor";
    /// Distance of the old steps per length from those of the mechanics from which a caution is given.
    steps_deviation_caution: Ratio = "steps.deviation_caution";
    /// Distance from which one of the two must be wrong.
    steps_deviation_blocker: Ratio = "steps.deviation_blocker";
    /// Share of a processor's step rate that the fastest move may need.
    processor_step_rate_share: Ratio = "processor.step_rate_share";
    /// Motor speed up to which a driver can tell load from the back-EMF.
    stall_speed_high: AngularVelocity = "stall.speed_high";
    /// Back-EMF at homing speed, as a share of the supply, that homing by stall detection needs.
    stall_back_emf_share: Ratio = "stall.back_emf_share";
    /// Difference in torque from which an axis counts as weaker or stronger than on the old board.
    motor_torque_change: Ratio = "motor.torque_change";
    /// Friction of an axis that runs on a belt, where the machine file states none.
    axis_friction: Force = "axis.friction";
    /// Angle between gantry and belt of a belt bed, where the machine file states none.
    belt_bed_tilt: Angle = "belt_bed.tilt";
    /// Moment of inertia of the rotor of a motor, where the machine file states none.
    motor_rotor_inertia: MomentOfInertia = "motor.rotor_inertia";
    /// Share of its work that a belt drive passes on.
    drive_belt_efficiency: Ratio = "drive.belt_efficiency";
    /// Share of its work that a plain lead screw passes on.
    drive_screw_efficiency: Ratio = "drive.screw_efficiency";
    // Mechanics
    /// Free room around the outline of a board.
    board_clearance: Length = "board.clearance";
    /// Free room above the highest part of a board.
    board_clearance_above: Length = "board.clearance_above";
    /// Screws that must fit so that a board counts as held.
    board_screws_needed: Ratio = "board.screws_needed";
    /// How far a hole of a board lies from its drawn place.
    hole_position_tolerance: Length = "hole.position_tolerance";
    /// How far a standoff of a case lies from its measured place.
    standoff_position_tolerance: Length = "standoff.position_tolerance";
    /// How far a card slot or USB socket may stand off the middle of its opening beyond the free gap.
    opening_play: Length = "opening.play";
    /// Width of a plug whose family has none in the table, where it must pass an opening.
    opening_plug_width: Length = "opening.plug_width";
    /// Thickness of an adaptor plate.
    plate_thickness: Length = "plate.thickness";
    /// Height of the distance pieces between an adaptor plate and its board.
    plate_spacer: Length = "plate.spacer";
    // Surroundings
    /// Temperature of the room, where the swap file states none.
    ambient_room: ThermodynamicTemperature = "ambient.room";
    /// The hottest that the air at the place of a board usually gets; above it a fan is called for.
    ambient_bay: ThermodynamicTemperature = "ambient.bay";
    /// Temperature of a bed at a cold start, for its highest current.
    ambient_cold_start: ThermodynamicTemperature = "ambient.cold_start";
    // Protection and bring-up
    /// How near to its goal a heat-up is watched no more.
    protection_near_goal: TemperatureInterval = "protection.near_goal";
    /// What a protection window keeps on each of its sides.
    protection_margin: Ratio = "protection.margin";
    /// Share of the true rise that a slipped thermometer still shows.
    protection_slipped_share: Ratio = "protection.slipped_share";
    /// Fall of a healthy part below its goal.
    protection_healthy_fall: TemperatureInterval = "protection.healthy_fall";
    /// Shortest time of a protection window.
    protection_shortest: Time = "protection.shortest_time";
    /// Longest time of a protection window.
    protection_longest: Time = "protection.longest_time";
    /// Time constant of a thermometer that hangs in the air, where its catalogue row states none.
    thermometer_in_air: Time = "thermometer.in_air";
    /// Time from a change of power to the first change at the thermometer of a hot end.
    hotend_dead_time: Time = "hotend.dead_time";
    /// Time from a change of power to the first change at the thermometer of a bed.
    bed_dead_time: Time = "bed.dead_time";
    /// Share of full power that holds a temperature, from which control has little left.
    heater_duty_caution: Ratio = "heater.duty_caution";
    /// Heat-up time of a hot end from which it is worth a note.
    hotend_heat_up: Time = "hotend.heat_up";
    /// Heat-up time of a bed from which it is worth a note.
    bed_heat_up: Time = "bed.heat_up";
    /// Time above its continuous share that a supply bears while all heats up.
    supply_overload_time: Time = "supply.overload_time";
    /// Time from one computation of a temperature control to the next.
    control_sample_time: Time = "control.sample_time";
    /// Period of the pulses of a heater.
    control_pulse_period: Time = "control.pulse_period";
    /// Gain margin that a control keeps at the worst corner of the process.
    control_gain_margin: Ratio = "control.gain_margin";
    /// The most that a designed control may overshoot at the worst corner of the process.
    control_overshoot: TemperatureInterval = "control.overshoot";
    /// How far the loss of a case that was computed from its walls may be off.
    case_loss_tolerance: Ratio = "case.loss_tolerance";
    /// Free area of the board fan.
    board_fan_area: Area = "fan.board_area";
    /// Speed of the air in the board fan.
    board_fan_speed: Velocity = "fan.board_speed";
    /// Temperature from which a PTFE liner that reaches the nozzle gives off harmful fumes.
    liner_limit: ThermodynamicTemperature = "liner.limit";
    /// How far thermometers of a cold machine may differ from each other.
    bringup_ambient_spread: TemperatureInterval = "bringup.ambient_spread";
    /// Share of the working current for the first motion of a motor.
    bringup_first_current_share: Ratio = "bringup.first_current_share";
    /// Target of the first heating of a hot end.
    bringup_first_heat: ThermodynamicTemperature = "bringup.first_heat";
    /// Temperature at which each heated sensor is compared with an independent thermometer.
    bringup_reference_temperature: ThermodynamicTemperature = "bringup.reference_temperature";
    /// Difference from an independent thermometer above which no part is heated further.
    bringup_reference_difference: TemperatureInterval = "bringup.reference_difference";
    /// Accuracy of a hand-held meter on its resistance range.
    meter_resistance_accuracy: Ratio = "meter.resistance_accuracy";
    /// Accuracy of a hand-held meter on its DC voltage range.
    meter_voltage_accuracy: Ratio = "meter.voltage_accuracy";
    /// How many digits a hand-held meter may be off beside its share.
    meter_digits: Ratio = "meter.digits";
    /// How many steps a range of a hand-held meter has.
    meter_counts: Ratio = "meter.counts";
    /// One digit in the lowest range for resistances.
    meter_ohm_step: ElectricalResistance = "meter.ohm_step";
    /// One digit in the lowest range for voltages.
    meter_volt_step: ElectricPotential = "meter.volt_step";
    /// Resistance of the leads and tips of a hand-held meter.
    meter_lead_resistance: ElectricalResistance = "meter.lead_resistance";
    /// Smallest resistance between a heater and the frame.
    insulation_minimum: ElectricalResistance = "insulation.minimum";
    /// Largest resistance of the protective conductor from inlet to frame that is customarily accepted.
    earth_resistance: ElectricalResistance = "earth.resistance";
    /// Wait after unplugging before work on wiring.
    safety_discharge_wait: Time = "safety.discharge_wait";
    // Computing
    /// Share of the free flash that an image may fill before a caution is given.
    image_flash_share: Ratio = "image.flash_share";
    /// Share of the RAM that fixed data may fill before a caution is given.
    image_ram_share: Ratio = "image.ram_share";
    // Measurements
    /// The height of the first layer where nothing is said.
    measured_first_layer: Length = "measured.first_layer";
    /// The share of the first layer's height by which it may be off.
    measured_bed_error_share: Ratio = "measured.bed_error_share";
    /// The largest error that an offset of Z may have.
    measured_offset_error: Length = "measured.offset_error";
    /// The largest share of trials that may fail.
    measured_failure_chance: Ratio = "measured.failure_chance";
    /// How sure a number of trials is to show that.
    measured_confidence: Ratio = "measured.confidence";
    /// The largest share by which the extruder's feed may be off.
    measured_feed_error: Ratio = "measured.feed_error";
    /// The largest share by which an axis may be off.
    measured_travel_error: Ratio = "measured.travel_error";
    /// The largest share by which the width of a wall may be off.
    measured_wall_error: Ratio = "measured.wall_error";
    /// The share by which a setting that a measurement was taken under may differ from that of the machine.
    measured_same_setting: Ratio = "measured.same_setting";
    /// Accuracy of a meter where nothing is said, as a share of its reading.
    measured_meter_accuracy: Ratio = "measured.meter_accuracy";
    /// How far the voltage of a supply itself falls from no load to its rated current.
    measured_supply_regulation: Ratio = "measured.supply_regulation";
    /// The heat in a joint of the supply from which on it counts as bad.
    measured_joint_heat: Power = "measured.joint_heat";
    /// Differences of two boards within this are none that anybody would mind.
    measured_equal_within: TemperatureInterval = "measured.equal_within";
    /// The factor by which a measured process may be off what the files say before it is likely that of another heater.
    measured_other_heater_far: Ratio = "measured.other_heater_far";
    /// The factor within which a measured process fits another heater.
    measured_other_heater_near: Ratio = "measured.other_heater_near";
    /// By how much a log may go above the highest temperature that is asked of its heater.
    measured_over_working: TemperatureInterval = "measured.over_working";
    /// The highest temperature of a driver's case where nothing is said.
    measured_driver_case_temperature: ThermodynamicTemperature = "measured.driver_case_temperature";
    /// From junction to the top of the case of a driver.
    measured_junction_to_case: ThermalResistance = "measured.junction_to_case";
    // Workload
    /// Flow that a plain hot end melts, where none was measured.
    workload_melt_flow: VolumeRate = "workload.melt_flow";
    /// Density of the plastic that is printed.
    workload_plastic_density: MassDensity = "workload.plastic_density";
    /// Heat that the plastic takes up for each kelvin, melting included, spread over the way from room to nozzle.
    workload_plastic_heat: SpecificHeatCapacity = "workload.plastic_heat";
    /// Diameter of the filament, where the old controller reported none.
    workload_filament_diameter: Length = "workload.filament_diameter";
    /// Acceleration of X and Y where neither machine file nor old controller states one.
    workload_acceleration: Acceleration = "workload.acceleration";
    /// The same of Z.
    workload_acceleration_z: Acceleration = "workload.acceleration_z";
    /// The same of the filament.
    workload_acceleration_filament: Acceleration = "workload.acceleration_filament";
    /// Instantaneous speed change of X and Y where neither machine file nor old controller states one.
    workload_sudden_change: Velocity = "workload.sudden_change";
    /// The same of Z.
    workload_sudden_change_z: Velocity = "workload.sudden_change_z";
    /// The same of the filament.
    workload_sudden_change_filament: Velocity = "workload.sudden_change_filament";
    /// Moves that a controller keeps ahead, for judging whether its buffer runs dry.
    workload_moves_ahead: Ratio = "workload.moves_ahead";
    /// Bits per second of the serial line where the old controller reported none.
    workload_serial_rate: Frequency = "workload.serial_rate";
    /// Time between a line over serial and its acknowledgement, besides the bytes.
    workload_line_answer: Time = "workload.line_answer";
    /// Bytes per second that a board reads and takes apart from a card.
    workload_card_rate: Frequency = "workload.card_rate";
    /// Chord by which a controller replaces an arc.
    workload_arc_chord: Length = "workload.arc_chord";
    /// By how much the radii to start and end of an arc may differ.
    workload_arc_radius_error: Length = "workload.arc_radius_error";
    /// Piece in which the speeds of a delta's carriages count as constant.
    workload_delta_piece: Length = "workload.delta_piece";
    /// How near to its setpoint a heater counts as there.
    workload_heater_within: TemperatureInterval = "workload.heater_within";
    /// Longest wait for a heater that is followed.
    workload_longest_wait: Time = "workload.longest_wait";
}

impl Limits {
    /// The key of each limit with its source key.
    #[must_use]
    pub fn sources(&self) -> Vec<(&str, &str)> {
        self.all().iter().map(|limit| (limit.key, limit.source)).collect()
    }

    /// The key that was probably meant by one that is no limit; see [`nearest`].
    #[must_use]
    pub fn nearest(key: &str) -> Option<&'static str> {
        nearest(key, Self::KEYS.iter().copied())
    }
}

impl<Q: Quantity> Limit<Q> {
    fn vary(&mut self, visitor: &mut dyn FnMut(&'static str, AnyValue) -> Option<AnyValue>) {
        if let Some(new) = visitor(self.key, self.value.into()) {
            self.value = Value::between(
                Q::from_base(new.low),
                Q::from_base(new.nominal),
                Q::from_base(new.high),
            );
        }
    }
    fn any(&self, what: &'static str) -> AnyLimit<'_> {
        AnyLimit {
            key: self.key,
            what: what.trim(),
            value: self.value.into(),
            reason: self.reason,
            source: self.source,
            sure: self.sure,
        }
    }
}

/// A row as it is written; the kind of its value follows from its key.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    key: Spanned<String>,
    value: Spanned<String>,
    reason: String,
    #[serde(default = "own_statement")]
    source: String,
    #[serde(default)]
    sure: Sure,
}

impl Row for Written {
    const ARRAY: &'static str = "limit";
    fn key(&self) -> &str {
        self.key.get_ref()
    }
    fn source(&self) -> &str {
        &self.source
    }
    fn sure(&self) -> Sure {
        self.sure
    }
}

/// The rows of the document, and a fault for each whose key is no limit.
fn known_rows(document: &mut Document<'_>) -> Table<Written> {
    let rows: Table<Written> = document.rows();
    for row in rows.rows() {
        let key = row.key();
        if !Limits::KEYS.contains(&key) {
            let help = Limits::nearest(key).map_or(String::new(), |near| format!("; did you mean `{near}`?"));
            document.fault(row.key.span(), format!("`{key}` is no limit{help}"));
        }
    }
    rows
}

/// The limit of a key, if the document has it and its value is of the kind.
#[inline(never)]
fn typed<Q: Quantity>(
    rows: &Table<Written>,
    key: &'static str,
    document: &mut Document<'_>,
) -> Option<Limit<Q>> {
    let row = rows.get(key)?;
    match parse_value(row.value.get_ref()) {
        Ok(value) => Some(Limit {
            key,
            value,
            reason: row.reason.clone().leak(),
            source: row.source.clone().leak(),
            sure: row.sure,
        }),
        Err(error) => {
            document.fault(row.value.span(), format!("`{key}`: {error}"));
            None
        }
    }
}

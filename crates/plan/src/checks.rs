//! The checks: one file each, named after what it checks; this list orders them as the dossier does.
//!
//! A pair check looks at one device in one way at one port: the assignment asks it about every way, and its blockers refuse
//! the way. A whole check looks at the board with the whole assignment. To add a check: add its file, list it here, add its page
//! to the handbook (a test names the missing ones).

use serde::Serialize;

use crate::axes;
use crate::judge::Judge;
use crate::setup::{Pair, Setup};

/// What a check is about; the dossier has a section for each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Group {
    /// Supply, input, rails.
    Supply,
    /// Voltage, current and wiring of loads.
    Loads,
    /// Leads and connectors.
    Leads,
    /// Levels and switches.
    Signals,
    /// Thermometers.
    Sensing,
    /// Heated parts, their failures and their protection.
    Heat,
    /// Motors, drivers, axes.
    Motion,
    /// Holes, outline, openings.
    Mechanics,
    /// Wishes, ports, price.
    Choice,
}

impl Group {
    /// All groups in the order of pages.
    pub const ALL: [Group; 9] = [
        Group::Supply,
        Group::Loads,
        Group::Leads,
        Group::Signals,
        Group::Sensing,
        Group::Heat,
        Group::Motion,
        Group::Mechanics,
        Group::Choice,
    ];
    /// The heading on pages.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Group::Supply => "Supply and rails",
            Group::Loads => "Loads",
            Group::Leads => "Leads and connectors",
            Group::Signals => "Signals",
            Group::Sensing => "Thermometers",
            Group::Heat => "Heated parts",
            Group::Motion => "Motors and axes",
            Group::Mechanics => "Board in the case",
            Group::Choice => "Wishes, ports and price",
        }
    }
}

/// A check with its identity.
#[derive(Clone, Copy, Debug)]
pub struct Check<F> {
    /// Identifier in kebab case; also the name of its page in the handbook.
    pub id: &'static str,
    /// What it checks, as a heading.
    pub title: &'static str,
    /// Its section.
    pub group: Group,
    /// The check itself.
    pub run: F,
}

/// A check of one device in one way at one port.
pub type PairCheck = Check<fn(&Pair<'_>, &mut Judge)>;
/// A check of a board with the whole assignment.
pub type WholeCheck = Check<fn(&Setup<'_>, &mut Judge)>;

macro_rules! checks {
    (pair { $($pair:ident, $pair_group:ident, $pair_title:literal;)* } whole { $($whole:ident, $whole_group:ident, $whole_title:literal;)* }) => {
        $(mod $pair;)*
        $(mod $whole;)*

        /// The checks of one pair, in the order of asking: those that refuse most ways come first.
        pub static PAIR_CHECKS: &[PairCheck] = &[
            $(Check { id: $pair::ID, title: $pair_title, group: Group::$pair_group, run: $pair::check },)*
        ];
        /// The checks of a whole assignment.
        pub static WHOLE_CHECKS: &[WholeCheck] = &[
            $(Check { id: $whole::ID, title: $whole_title, group: Group::$whole_group, run: $whole::check },)*
        ];
    };
}

checks! {
    pair {
        pin_order, Leads, "Order of the pins";
        device_voltage, Loads, "Voltage of the device";
        always_on, Loads, "Always on or switched";
        port_current, Loads, "Current of the port";
        switch_wiring, Signals, "Wiring of switches and sensors";
        pin_bears, Signals, "Voltage that a pin bears";
        level_from_device, Signals, "Levels from the device to the board";
        level_to_device, Signals, "Levels from the board to the device";
        data_resistor, Signals, "Resistor in a data line";
        pull_resistor, Signals, "Pull-up of an input";
        broken_wire, Signals, "What a broken wire looks like";
        sensor_sense, Signals, "Sense of a switch";
        connector_current, Leads, "Current of the contacts";
        switch_heating, Loads, "Heat in the switch";
        polarity, Leads, "Plus and minus";
        thermometer_circuit, Sensing, "Thermometer and circuit";
        thermometer_range, Sensing, "Range of a thermometer input";
        thermometer_resolution, Sensing, "Resolution of a thermometer input";
        thermometer_old_table, Sensing, "Old table at the new input";
        thermometer_noise, Sensing, "Noise of a thermometer input";
        thermometer_tolerance, Sensing, "Tolerance of a thermometer";
        thermometer_self_heating, Sensing, "Self-heating of a thermometer";
        thermometer_lead, Sensing, "Lead of a platinum thermometer";
        thermometer_element, Sensing, "Temperatures of a thermometer element";
        output_kind, Loads, "Kind of output";
        pulsed_output, Loads, "Pulsed outputs";
        wire_size, Leads, "Size of the wires";
        wire_fit, Leads, "Wires in their contacts";
        lead_drop, Leads, "Voltage lost along a lead";
        lead_reach, Leads, "Reach of a lead";
        motor_supply, Motion, "Supply of a motor driver";
        motor_current, Motion, "Current of a motor";
        driver_heat, Motion, "Heat in a motor driver";
        shared_driver, Motion, "Two motors on one driver";
        current_step, Motion, "Setting of the motor current";
        microsteps, Motion, "Microsteps";
        direction, Motion, "Direction of a motor";
        torque_at_speed, Motion, "Voltage and torque at the top speed";
        acceleration, Motion, "Torque for the acceleration";
        load_homing, Motion, "Homing by measured load";
    }
    whole {
        driver_count, Motion, "Drivers and motors";
        paired_motors, Motion, "Motors of one axis";
        steps_per_mm, Motion, "Steps per length";
        step_rate, Motion, "Steps per second";
        speed_that_holds, Motion, "Speed that holds";
        corner_speed, Motion, "Speed at corners";
        axis_lag, Motion, "Lag of an axis under its load";
        motor_changes, Motion, "What changes for a motor";
        axis_ends, Motion, "Ends of the axes";
        input_voltage, Supply, "Voltage of the supply at the board";
        supply_power, Supply, "Power of the supply";
        supply_heat_up, Supply, "Supply over the heat-up";
        supply_lead, Supply, "Lead of the supply";
        input_current, Supply, "Current through the input of the board";
        input_fuse, Supply, "Fuse of the board";
        rail_budget, Supply, "Rails of the board";
        regulator_heat, Supply, "Heat in linear regulators";
        case_air, Supply, "Air around the board";
        servo_stall, Supply, "Probe held fast on its rail";
        inrush, Supply, "Inrush of capacitors";
        light_strip, Loads, "Voltage along a light strip";
        motor_sum, Supply, "Currents of all motors together";
        heater_reach, Heat, "Reach of a heater";
        heat_up_time, Heat, "Time of a heat-up";
        failed_closed, Heat, "Heater switch failed closed";
        thermometer_faults, Sensing, "Faults of a thermometer";
        protection_window, Heat, "Protection window";
        temperature_control, Heat, "Temperature control";
        lead_fuse, Leads, "What protects the leads";
        let_through, Leads, "What a fuse lets through";
        exclusions, Choice, "Ports that exclude each other";
        timers, Loads, "Shared timers";
        jumpers, Supply, "Jumpers";
        shared_converter, Supply, "Converters that could be one";
        hole_pattern, Mechanics, "Holes on the posts";
        adaptor_plate, Mechanics, "Plate between posts and board";
        outline, Mechanics, "Outline in the case";
        board_height, Mechanics, "Height under the lid";
        openings, Mechanics, "Sockets behind their openings";
        unserved, Choice, "Everything that the machine needs has a port";
        wishes, Choice, "Wishes";
        spare_ports, Choice, "What is left free";
        price, Choice, "Price of board and parts";
    }
}

pub use thermometer_faults::refuse_below;

/// Asks a pair check about one way.
pub fn run_pair(check: &PairCheck, pair: &Pair<'_>, judge: &mut Judge) {
    let since = judge.kept();
    judge.turn_to(check.id);
    (check.run)(pair, judge);
    judge.about_pair(since, &pair.device().tag.value, pair.port_name());
}

/// Asks a whole check about an assignment.
pub fn run_whole(check: &WholeCheck, setup: &Setup<'_>, judge: &mut Judge) {
    judge.turn_to(check.id);
    (check.run)(setup, judge);
}

/// The identity of a check by its identifier: title and group.
#[must_use]
pub fn check_named(id: &str) -> Option<(&'static str, Group)> {
    let pairs = PAIR_CHECKS
        .iter()
        .map(|check| (check.id, check.title, check.group));
    let wholes = WHOLE_CHECKS
        .iter()
        .map(|check| (check.id, check.title, check.group));
    pairs
        .chain(wholes)
        .find(|(own, _, _)| *own == id)
        .map(|(_, title, group)| (title, group))
}

/// Whether the axis of a motor can find its end by measuring the load, on the driver of this way.
///
/// The driver must measure it, and the back-EMF at the homing speed must stand out. Where a figure for that is not stated, the check
/// `load-homing` says so, and the driver's word is taken.
#[must_use]
pub fn load_homing_works(pair: &Pair<'_>) -> bool {
    pair.driver().is_some_and(|driver| driver.load_measurement)
        && axes::stall_signal(pair).is_none_or(|signal| signal.back_emf.low() >= signal.floor.high())
}

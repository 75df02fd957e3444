//! The checks: one file each, named after what it checks; this list orders them as the dossier does.
//!
//! A pair check looks at one device in one way at one port: the assignment asks it about every way, and its blockers refuse
//! the way. A whole check looks at the board with the whole assignment. To add a check: add its file, list it here, add its page
//! to the handbook (a test names the missing ones).

use serde::Serialize;

use crate::facts::{PairFacts, WholeFacts};
use crate::rules::judging::{Judge, Stake};

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
    /// What the old controller was told.
    Settings,
    /// Wishes, ports, price.
    Choice,
}

impl Group {
    /// All groups in the order of pages.
    pub const ALL: [Group; 10] = [
        Group::Supply,
        Group::Loads,
        Group::Leads,
        Group::Signals,
        Group::Sensing,
        Group::Heat,
        Group::Motion,
        Group::Mechanics,
        Group::Settings,
        Group::Choice,
    ];
    /// The heading on pages.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Group::Supply => "Supply and rails",
            Group::Loads => "Loads",
            Group::Leads => "Cables and connectors",
            Group::Signals => "Signals",
            Group::Sensing => "Thermometers",
            Group::Heat => "Heated parts",
            Group::Motion => "Motors and axes",
            Group::Mechanics => "Board in the case",
            Group::Settings => "Old settings",
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
    /// What can come to harm where it is not heeded.
    pub stake: Stake,
    /// Whether what it finds hangs on the machine alone: no other board would change it much.
    pub of_machine: bool,
    /// The check itself.
    pub run: F,
}

impl<F> Check<F> {
    /// What it is, without the check itself.
    #[must_use]
    pub fn identity(&self) -> Check<()> {
        Check {
            id: self.id,
            title: self.title,
            group: self.group,
            stake: self.stake,
            of_machine: self.of_machine,
            run: (),
        }
    }
}

/// A check of one device in one way at one port.
pub type PairCheck = Check<fn(&PairFacts<'_>, &mut Judge)>;
/// A check of a board with the whole assignment.
pub type WholeCheck = Check<fn(&WholeFacts<'_>, &mut Judge)>;

macro_rules! checks {
    (pair { $($pair:tt)* } whole { $($whole:tt)* }) => {
        checks! { @modules $($pair)* }
        checks! { @modules $($whole)* }

        /// The checks of one pair, in the order of asking: those that refuse most ways come first.
        pub static PAIR_CHECKS: &[PairCheck] = checks! { @list $($pair)* };
        /// The checks of a whole assignment.
        pub static WHOLE_CHECKS: &[WholeCheck] = checks! { @list $($whole)* };
    };
    (@modules $($check:ident, $group:ident, $stake:ident, $title:literal $(of $machine:ident)?;)*) => { $(mod $check;)* };
    (@list $($check:ident, $group:ident, $stake:ident, $title:literal $(of $machine:ident)?;)*) => {
        &[$(Check {
            id: $check::ID,
            title: $title,
            group: Group::$group,
            stake: Stake::$stake,
            of_machine: checks!(@of $($machine)?),
            run: $check::check,
        },)*]
    };
    (@of machine) => { true };
    (@of) => { false };
}

checks! {
    pair {
        undriven_port, Choice, Function, "Ports that the firmware drives";
        extra_low_voltage, Loads, Safety, "Extra-low voltage at a port";
        pin_order, Leads, Hardware, "Pin order";
        device_voltage, Loads, Safety, "Voltage of the device";
        always_on, Loads, Safety, "Always on or switched";
        port_current, Loads, Safety, "Current of the port";
        part_rating, Loads, Safety, "Parts in front of a device";
        switch_wiring, Signals, Hardware, "Wiring of switches and sensors";
        input_rating, Signals, Hardware, "Input voltage rating";
        level_from_device, Signals, Function, "Levels from the device to the board";
        level_to_device, Signals, Function, "Levels from the board to the device";
        data_resistor, Signals, Function, "Resistor in a data line";
        pull_resistor, Signals, Function, "Pull-up of an input";
        broken_wire, Signals, Hardware, "Broken-wire detection";
        active_level, Signals, Hardware, "Active level of a switch";
        connector_current, Leads, Safety, "Current of the contacts";
        switch_heating, Loads, Safety, "Heat in the output switch";
        polarity, Leads, Hardware, "Polarity";
        thermometer_circuit, Sensing, Safety, "Thermometer and circuit";
        thermometer_range, Sensing, Safety, "Range of a thermometer input";
        thermometer_resolution, Sensing, Function, "Resolution of a thermometer input";
        thermometer_old_table, Sensing, Safety, "Old table at the new input";
        thermometer_noise, Sensing, Function, "Noise of a thermometer input";
        thermometer_tolerance, Sensing, Function, "Tolerance of a thermometer";
        thermometer_self_heating, Sensing, Function, "Self-heating of a thermometer";
        thermometer_lead, Sensing, Function, "Cable of a platinum thermometer";
        thermometer_element, Sensing, Function, "Temperatures of a thermometer element" of machine;
        output_kind, Loads, Hardware, "Kind of output";
        relay_drive, Loads, Hardware, "Drive of a relay";
        pulsed_output, Loads, Function, "PWM outputs";
        wire_size, Leads, Safety, "Size of the wires";
        wire_fit, Leads, Safety, "Wires in their contacts";
        lead_drop, Leads, Function, "Voltage drop in the cable";
        cable_length, Leads, Function, "Cable length";
        motor_supply, Motion, Hardware, "Supply of a motor driver";
        motor_current, Motion, Hardware, "Current of a motor";
        driver_heat, Motion, Hardware, "Heat in a motor driver";
        shared_driver, Motion, Function, "Two motors on one driver";
        current_step, Motion, Function, "Setting of the motor current";
        microsteps, Motion, Function, "Microsteps";
        direction, Motion, Hardware, "Direction of a motor";
        torque_at_speed, Motion, Function, "Voltage and torque at the maximum speed";
        acceleration, Motion, Function, "Torque for the acceleration";
        load_homing, Motion, Function, "Homing by stall detection";
    }
    whole {
        driver_count, Motion, Function, "Drivers and motors";
        paired_motors, Motion, Function, "Motors of one axis";
        steps_per_mm, Motion, Function, "Steps per length";
        step_rate, Motion, Function, "Steps per second";
        max_speed, Motion, Function, "Maximum usable speed";
        corner_speed, Motion, Function, "Speed at corners";
        axis_lag, Motion, Function, "Positioning lag of an axis";
        motor_changes, Motion, Function, "Motor changes";
        axis_ends, Motion, Hardware, "Ends of the axes";
        input_voltage, Supply, Hardware, "Voltage of the supply at the board";
        supply_power, Supply, Hardware, "Power of the supply";
        supply_heat_up, Supply, Hardware, "Supply load during heat-up";
        supply_lead, Supply, Safety, "Cable of the supply";
        input_current, Supply, Safety, "Current through the input of the board";
        input_fuse, Supply, Safety, "Fuse of the board";
        rail_budget, Supply, Hardware, "Rails of the board";
        regulator_heat, Supply, Hardware, "Heat in linear regulators";
        enclosure_air, Supply, Hardware, "Enclosure air temperature";
        servo_stall, Supply, Hardware, "Probe stall current";
        inrush, Supply, Hardware, "Inrush current";
        mains, Loads, Safety, "Mains" of machine;
        light_strip, Loads, Function, "Voltage along a light strip";
        motor_sum, Supply, Hardware, "Currents of all motors together";
        attainable_temperature, Heat, Function, "Attainable temperature" of machine;
        temperature_limits, Heat, Safety, "Temperatures of parts, sensor and cut-out" of machine;
        heat_up_time, Heat, Function, "Heat-up time" of machine;
        switch_short, Heat, Safety, "Heater output switch shorted" of machine;
        thermometer_faults, Sensing, Safety, "Sensor faults";
        protection_window, Heat, Safety, "Temperature-monitoring limits" of machine;
        temperature_control, Heat, Function, "Temperature control" of machine;
        lead_fuse, Leads, Safety, "Overcurrent protection of the cables";
        fuse_i2t, Leads, Safety, "Let-through energy of a fuse";
        contradictions, Choice, Hardware, "Facts that contradict each other";
        exclusions, Choice, Function, "Ports that exclude each other";
        timers, Loads, Function, "Shared timers";
        jumpers, Supply, Hardware, "Jumpers";
        shared_converter, Supply, Function, "Converters that could be one";
        hole_pattern, Mechanics, Function, "Holes on the posts";
        adaptor_plate, Mechanics, Function, "Plate between posts and board";
        outline, Mechanics, Function, "Outline in the case";
        board_height, Mechanics, Function, "Height under the lid";
        openings, Mechanics, Function, "Connector alignment";
        completeness, Choice, Safety, "What the machine must have";
        unstated, Choice, Function, "Facts that are not stated";
        unassigned, Choice, Function, "Unassigned devices";
        wishes, Choice, Function, "Wishes";
        spare_ports, Choice, Function, "Unused ports";
        price, Choice, Function, "Price of board and parts";
    }
}

/// What other crates check and hand over to a plan by [`crate::Plan::also`]: what they read is no file of a swap's model.
pub static LATER_CHECKS: &[Check<()>] = &[
    Check {
        id: OLD_SETTINGS,
        title: "What the controllers reported",
        group: Group::Settings,
        stake: Stake::Function,
        of_machine: true,
        run: (),
    },
    Check {
        id: CONTROLLER_REPORT,
        title: "Reports and the files of their boards",
        group: Group::Settings,
        stake: Stake::Hardware,
        of_machine: false,
        run: (),
    },
    Check {
        id: ACCEPTED,
        title: "What was accepted",
        group: Group::Choice,
        stake: Stake::Function,
        of_machine: false,
        run: (),
    },
];

/// The check of entries `[[accepted]]` that cover nothing.
pub const ACCEPTED: &str = "accepted";

/// The check of what the old controller reported.
pub const OLD_SETTINGS: &str = "old-settings";

/// The check of what the report of a controller says of its board.
pub const CONTROLLER_REPORT: &str = "controller-report";

pub use load_homing::{load_homing_shown, load_homing_works, unplugged};
pub use thermometer_faults::refuse_below;
pub(crate) use timers::{Pulses, pulses};
pub use unassigned::harm_unassigned;
pub(crate) use unstated::ID as UNSTATED;
pub use wishes::{ID as WISHES, spoils_wish};

/// Asks a pair check about one way.
pub fn run_pair(check: &PairCheck, pair: &PairFacts<'_>, judge: &mut Judge) {
    let since = judge.kept();
    judge.turn_to(check.id, check.stake);
    (check.run)(pair, judge);
    if judge.kept() > since {
        judge.about_pair(since, &pair.device().tag.value, pair.port_name());
    }
}

/// Asks a whole check about an assignment.
pub fn run_whole(check: &WholeCheck, facts: &WholeFacts<'_>, judge: &mut Judge) {
    judge.turn_to(check.id, check.stake);
    (check.run)(facts, judge);
}

/// The identity of a check by its identifier, without the check itself.
#[must_use]
pub fn check_named(id: &str) -> Option<Check<()>> {
    let pairs = PAIR_CHECKS.iter().map(Check::identity);
    let wholes = WHOLE_CHECKS.iter().map(Check::identity);
    let later = LATER_CHECKS.iter().map(Check::identity);
    pairs.chain(wholes).chain(later).find(|check| check.id == id)
}

//! What a workload is worked out for: the machine, the boards, heat, links. Plain data; who knows files and plans fills it in.

use core::num::NonZeroUsize;

use physics::heat::HeatedPart;
use physics::motion::Kinematics;
use quantity::si::{
    Acceleration, Frequency, Length, MassDensity, Power, Ratio, SpecificHeatCapacity, StepDensity,
    TemperatureInterval, ThermodynamicTemperature, Time, Velocity, VolumeRate,
};

/// Everything that is given.
#[derive(Clone, Debug)]
pub struct Setup {
    /// The machine.
    pub machine: Machine,
    /// Its motors in the order of [`Kinematics::motors`], then one for each extruder.
    pub motors: Vec<Motor>,
    /// The boards to judge.
    pub boards: Vec<Board>,
    /// Heaters, fans, supply.
    pub heat: Heat,
    /// The ways in which lines reach the board.
    pub links: Vec<Link>,
}

/// How the machine moves.
#[derive(Clone, Debug)]
pub struct Machine {
    /// Which motor moves for which way.
    pub kinematics: Kinematics,
    /// X, Y and Z.
    pub axes: [Axis; 3],
    /// What moves the filament.
    pub filament: Filament,
    /// How far from the middle it may go, where that bounds it: a delta.
    pub reach: Option<Length>,
    /// How fast it goes round a corner.
    pub corner: Corner,
    /// Acceleration while plastic is laid down.
    pub printing: Acceleration,
    /// Acceleration while nothing is laid down.
    pub travelling: Acceleration,
    /// Acceleration of the filament by itself.
    pub retracting: Acceleration,
    /// How many moves the controller plans ahead; all of them where nothing is said, which is the fastest that any controller is.
    pub look_ahead: Option<NonZeroUsize>,
    /// What `G0` means.
    pub rapid: Rapid,
    /// The chord by which an arc is replaced.
    pub chord: Length,
    /// By how much the two radii of an arc may differ before it is refused.
    pub radius_error: Length,
    /// The longest piece in which a motor's speed counts as constant share of the nozzle's, for a delta.
    pub piece: Length,
}

/// An axis as the controller limits it.
#[derive(Clone, Debug)]
pub struct Axis {
    /// Its letter.
    pub name: String,
    /// Its highest speed.
    pub top_speed: Velocity,
    /// Its highest acceleration.
    pub acceleration: Acceleration,
    /// The sudden change of speed that is allowed at a corner; counts for [`Corner::SuddenChange`].
    pub sudden_change: Velocity,
    /// Its travel, where it is known; from zero on.
    pub travel: Option<Length>,
    /// The speed at which it homes.
    pub homing_speed: Option<Velocity>,
    /// Where it stands when it has homed.
    pub home: Length,
}

/// The filament and what moves it.
#[derive(Clone, Debug)]
pub struct Filament {
    /// The highest speed of the filament.
    pub top_speed: Velocity,
    /// Its highest acceleration.
    pub acceleration: Acceleration,
    /// The sudden change of its speed that is allowed; counts for [`Corner::SuddenChange`].
    pub sudden_change: Velocity,
    /// Its diameter.
    pub diameter: Length,
}

/// How the speed at a corner is found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Corner {
    /// No axis may change its speed by more than its own limit.
    SuddenChange,
    /// A circle that touches both legs and passes the corner at this distance, driven at the acceleration; held down where legs are short.
    Deviation(Length),
}

/// What `G0` means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rapid {
    /// The same as `G1`, as controllers of printers have it.
    AsFeed,
    /// As fast as the axes go, as NISTIR 6556 has it.
    Fastest,
}

/// A motor.
#[derive(Clone, Debug)]
pub struct Motor {
    /// What it is called.
    pub name: String,
    /// Its steps per length of belt, nut or filament, as the machine is set up.
    pub steps: StepDensity,
}

/// A board, as far as it makes steps.
#[derive(Clone, Debug)]
pub struct Board {
    /// Its name.
    pub name: String,
    /// The steps that it makes in a second, over all motors together: what it is certain to make.
    pub step_rate: Frequency,
    /// The share of that which may be used.
    pub share: Ratio,
    /// For each motor its steps per length on this board, times the number of drivers that step for it.
    pub steps: Vec<StepDensity>,
}

/// Heaters, fans and supply.
#[derive(Clone, Debug)]
pub struct Heat {
    /// Heaters.
    pub heaters: Vec<Heater>,
    /// Fans that a program switches, by their number.
    pub fans: Vec<Fan>,
    /// The power that the supply gives for certain; `None` where it is not known.
    pub supply: Option<Power>,
    /// What the plastic takes up.
    pub melt: Melt,
    /// How near to its target a heater counts as there.
    pub within: TemperatureInterval,
    /// A wait longer than this is given up: the target is out of reach.
    pub longest_wait: Time,
}

/// A heater.
#[derive(Clone, Debug)]
pub struct Heater {
    /// What it is called.
    pub name: String,
    /// What it heats.
    pub zone: Zone,
    /// How it heats up; `None` where that is not known.
    pub part: Option<HeatedPart>,
    /// By how much it may draw more than `part` says, at the worst corner: 1 or above.
    pub surplus: Ratio,
}

/// What is heated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    /// The hot end of a tool, by its number.
    HotEnd(usize),
    /// The bed.
    Bed,
    /// The chamber.
    Chamber,
}

/// A fan that a program switches.
#[derive(Clone, Debug)]
pub struct Fan {
    /// What it is called.
    pub name: String,
    /// Its power at full speed.
    pub power: Power,
}

/// What the plastic takes up.
#[derive(Clone, Copy, Debug)]
pub struct Melt {
    /// Density of the filament: the most.
    pub density: MassDensity,
    /// Heat that warms and melts it, spread over the way from room to nozzle: the most.
    pub heat: SpecificHeatCapacity,
    /// The air from which it comes.
    pub room: ThermodynamicTemperature,
    /// The flow that the hot end melts, where it was measured.
    pub limit: Option<VolumeRate>,
}

/// A way in which lines reach the board.
#[derive(Clone, Debug)]
pub struct Link {
    /// What it is called.
    pub name: String,
    /// Bytes in a second.
    pub bytes: Frequency,
    /// Bytes that come back for each line.
    pub answer: u32,
    /// Time that each line takes besides its bytes.
    pub turn_round: Time,
    /// Whether comments travel too, as they do from a card.
    pub comments: bool,
    /// Moves that the controller keeps ahead.
    pub moves_ahead: NonZeroUsize,
}

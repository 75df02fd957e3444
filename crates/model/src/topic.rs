//! What a setting is about: the closed list of our names, with what each is counted in and whose it is.

use quantity::Kind;

use crate::read::words;
use crate::words::Zone;

words! {
    /// What a setting is about.
    pub enum Topic("setting") {
        /// How the axes move the nozzle.
        Kinematics = "kinematics",
        /// Microsteps per length of travel.
        StepsPerLength = "steps-per-length",
        /// Microsteps in one full step.
        Microsteps = "microsteps",
        /// Sense in which a motor turns for a positive move.
        Direction = "direction",
        /// Effective current of a motor.
        MotorCurrent = "motor-current",
        /// Voltage to which the trimmer of a driver is set.
        DriverReference = "driver-reference",
        /// Highest speed of an axis.
        TopSpeed = "top-speed",
        /// Highest acceleration of an axis.
        Acceleration = "acceleration",
        /// Acceleration while printing.
        PrintAcceleration = "print-acceleration",
        /// Acceleration of filament alone.
        RetractAcceleration = "retract-acceleration",
        /// Acceleration without printing.
        TravelAcceleration = "travel-acceleration",
        /// Change of speed that an axis makes without a ramp.
        CornerSpeed = "corner-speed",
        /// How an axis finds its end.
        HomingEnd = "homing-end",
        /// Speed at which an axis looks for its end.
        HomingSpeed = "homing-speed",
        /// Value of the load signal that counts as the end of an axis.
        HomingThreshold = "homing-threshold",
        /// Length of travel.
        Travel = "travel",
        /// Distance by which the zero point is moved from where the switch tells it.
        ZeroShift = "zero-shift",
        /// Kind of thermometer.
        ThermometerKind = "thermometer-kind",
        /// Table of resistance, temperature and converter reading.
        ThermometerTable = "thermometer-table",
        /// Resistance of the thermometer at its reference temperature.
        ThermometerResistance = "thermometer-resistance",
        /// Constant B of the two-point law.
        ThermometerConstant = "thermometer-constant",
        /// Resistor from the thermometer to the reference.
        ThermometerPullUp = "thermometer-pull-up",
        /// Amplification before the converter.
        ThermometerAmplification = "thermometer-amplification",
        /// Proportional term of a temperature control.
        ControlProportional = "control-proportional",
        /// Integral term of a temperature control.
        ControlIntegral = "control-integral",
        /// Derivative term of a temperature control.
        ControlDerivative = "control-derivative",
        /// Largest share of full power that a heater is given.
        HeaterShare = "heater-share",
        /// Temperature above which everything is switched off.
        HighestTemperature = "highest-temperature",
        /// Temperature below which a thermometer counts as broken.
        LowestTemperature = "lowest-temperature",
        /// Fall below the target that trips the protection.
        ProtectionFall = "protection-fall",
        /// Time for which the fall must last.
        ProtectionTime = "protection-time",
        /// Rise that a heating must show.
        HeatUpRise = "heat-up-rise",
        /// Time in which the rise must show.
        HeatUpTime = "heat-up-time",
        /// Warm-up value of the hot end.
        WarmUpHotEnd = "warm-up-hot-end",
        /// Warm-up value of the bed.
        WarmUpBed = "warm-up-bed",
        /// Warm-up value of the part fan.
        WarmUpFan = "warm-up-fan",
        /// What a switch reads when it is met.
        SwitchSense = "switch-sense",
        /// What holds the input of a switch.
        SwitchPull = "switch-pull",
        /// Distance from probe to nozzle.
        ProbeOffset = "probe-offset",
        /// Height map of the bed.
        LevellingMesh = "levelling-mesh",
        /// Height above which the height map corrects no more.
        LevellingEnd = "levelling-end",
        /// Diameter of the filament.
        FilamentDiameter = "filament-diameter",
        /// Share of the computed filament that is fed.
        Flow = "flow",
        /// Compensation of the pressure in the hot end.
        PressureCompensation = "pressure-compensation",
        /// When a fan runs.
        FanControl = "fan-control",
        /// Temperature from which a fan runs.
        FanStart = "fan-start",
        /// Number of addressed lights.
        Lights = "lights",
        /// Order of the colours on the data line.
        LightOrder = "light-order",
        /// What a panel speaks.
        PanelInterface = "panel-interface",
        /// Rate of a serial line.
        SerialRate = "serial-rate",
        /// Rail that a jumper chooses.
        Jumper = "jumper",
        /// Port of a device.
        Port = "port",
    }
}

/// What the value of a topic is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counted {
    /// A quantity of this kind.
    In(Kind),
    /// A number without dimension, never shown in per cent.
    Number,
    /// Words, which no number tells.
    Words,
}

/// Whose value a topic is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Whose {
    /// That of an axis, by its name.
    Axis,
    /// That of a heated part.
    Zone,
    /// That of the whole machine: `machine`.
    Machine,
    /// That of the bed.
    Bed,
    /// That of a set of warm-up values: `preset 0`.
    Preset,
    /// That of a device, by its tag.
    Device,
}

use Counted::{In, Number, Words};

impl Topic {
    /// Title, what the value is, whose it is.
    fn row(self) -> (&'static str, Counted, Whose) {
        match self {
            Self::Kinematics => ("kinematics", Words, Whose::Machine),
            Self::StepsPerLength => ("steps per length", In(Kind::StepDensity), Whose::Axis),
            Self::Microsteps => ("microsteps", Number, Whose::Axis),
            Self::Direction => ("direction", Words, Whose::Axis),
            Self::MotorCurrent => ("motor current (rms)", In(Kind::Current), Whose::Axis),
            Self::DriverReference => (
                "driver reference voltage (Vref)",
                In(Kind::Voltage),
                Whose::Device,
            ),
            Self::TopSpeed => ("maximum speed", In(Kind::Velocity), Whose::Axis),
            Self::Acceleration => ("maximum acceleration", In(Kind::Acceleration), Whose::Axis),
            Self::PrintAcceleration => ("printing acceleration", In(Kind::Acceleration), Whose::Machine),
            Self::RetractAcceleration => ("retraction acceleration", In(Kind::Acceleration), Whose::Machine),
            Self::TravelAcceleration => ("travel acceleration", In(Kind::Acceleration), Whose::Machine),
            Self::CornerSpeed => ("instantaneous speed change", In(Kind::Velocity), Whose::Axis),
            Self::HomingEnd => ("homing direction and sensor", Words, Whose::Axis),
            Self::HomingSpeed => ("homing speed", In(Kind::Velocity), Whose::Axis),
            Self::HomingThreshold => ("stall threshold", Number, Whose::Axis),
            Self::Travel => ("travel", In(Kind::Length), Whose::Axis),
            Self::ZeroShift => ("home offset", In(Kind::Length), Whose::Axis),
            Self::ThermometerKind => ("sensor type", Words, Whose::Zone),
            Self::ThermometerTable => ("sensor table", Words, Whose::Zone),
            Self::ThermometerResistance => ("sensor resistance at 25 °C", In(Kind::Resistance), Whose::Zone),
            Self::ThermometerConstant => (
                "B value of the sensor",
                In(Kind::TemperatureDifference),
                Whose::Zone,
            ),
            Self::ThermometerPullUp => ("sensor pull-up resistor", In(Kind::Resistance), Whose::Zone),
            Self::ThermometerAmplification => ("amplifier gain", Number, Whose::Zone),
            Self::ControlProportional => ("proportional gain Kp", Number, Whose::Zone),
            Self::ControlIntegral => ("integral gain Ki", Number, Whose::Zone),
            Self::ControlDerivative => ("derivative gain Kd", Number, Whose::Zone),
            Self::HeaterShare => ("maximum duty cycle", In(Kind::Ratio), Whose::Zone),
            Self::HighestTemperature => ("over-temperature limit", In(Kind::Temperature), Whose::Zone),
            Self::LowestTemperature => ("low-temperature fault limit", In(Kind::Temperature), Whose::Zone),
            Self::ProtectionFall => (
                "permitted drop below setpoint",
                In(Kind::TemperatureDifference),
                Whose::Zone,
            ),
            Self::ProtectionTime => ("drop fault delay", In(Kind::Time), Whose::Zone),
            Self::HeatUpRise => (
                "minimum temperature rise",
                In(Kind::TemperatureDifference),
                Whose::Zone,
            ),
            Self::HeatUpTime => ("rise time window", In(Kind::Time), Whose::Zone),
            Self::WarmUpHotEnd => (
                "preheat temperature, hot end",
                In(Kind::Temperature),
                Whose::Preset,
            ),
            Self::WarmUpBed => ("preheat temperature, bed", In(Kind::Temperature), Whose::Preset),
            Self::WarmUpFan => ("preheat setting, part fan", Number, Whose::Preset),
            Self::SwitchSense => ("active level", Words, Whose::Device),
            Self::SwitchPull => ("bias resistor", Words, Whose::Device),
            Self::ProbeOffset => ("probe offset", In(Kind::Length), Whose::Axis),
            Self::LevellingMesh => ("bed height map", Number, Whose::Bed),
            Self::LevellingEnd => (
                "height above which the map no longer corrects",
                In(Kind::Length),
                Whose::Bed,
            ),
            Self::FilamentDiameter => ("filament diameter", In(Kind::Length), Whose::Machine),
            Self::Flow => ("flow", In(Kind::Ratio), Whose::Machine),
            Self::PressureCompensation => ("extrusion pressure compensation", Number, Whose::Machine),
            Self::FanControl => ("fan control mode", Words, Whose::Device),
            Self::FanStart => ("fan switch-on temperature", In(Kind::Temperature), Whose::Device),
            Self::Lights => ("number of LEDs", Number, Whose::Device),
            Self::LightOrder => ("LED colour order", Words, Whose::Device),
            Self::PanelInterface => ("display protocol", Words, Whose::Device),
            Self::SerialRate => ("serial bit rate in bit/s", Number, Whose::Machine),
            Self::Jumper => ("jumper setting", Words, Whose::Device),
            Self::Port => ("port", Words, Whose::Device),
        }
    }
    /// Whether it is one of the three terms of a temperature control.
    #[must_use]
    pub fn is_control_term(self) -> bool {
        matches!(
            self,
            Self::ControlProportional | Self::ControlIntegral | Self::ControlDerivative
        )
    }
    /// Its name in files and identifiers: "steps-per-length".
    #[must_use]
    pub fn id(self) -> &'static str {
        self.word()
    }
    /// Its name on pages: "steps per length".
    #[must_use]
    pub fn title(self) -> &'static str {
        self.row().0
    }
    /// What its value is.
    #[must_use]
    pub fn counted(self) -> Counted {
        self.row().1
    }
    /// Whose value it is.
    #[must_use]
    pub fn whose(self) -> Whose {
        self.row().2
    }
    /// The topic of that name.
    #[must_use]
    pub fn named(id: &str) -> Option<Topic> {
        Topic::ALL.iter().copied().find(|topic| topic.id() == id)
    }
}

impl Whose {
    /// Whether a part of that name can have such a value.
    #[must_use]
    pub fn can_be(self, part: &str) -> bool {
        match self {
            Self::Axis => part.starts_with(|first: char| first.is_ascii_uppercase()),
            Self::Zone => Zone::ALL.iter().any(|zone| zone.word() == part),
            Self::Machine => part == "machine",
            Self::Bed => part == Zone::Bed.word(),
            Self::Preset => part
                .strip_prefix("preset ")
                .is_some_and(|number| number.parse::<u8>().is_ok()),
            Self::Device => true,
        }
    }
    /// The names that are usual, for messages.
    #[must_use]
    pub fn usual(self) -> &'static [&'static str] {
        match self {
            Self::Axis => &["letter", "X", "Y", "Z", "E"],
            Self::Zone => &["hot end", "bed", "chamber"],
            Self::Machine => &["machine"],
            Self::Bed => &["bed"],
            Self::Preset => &["preset 0", "preset 1", "preset 2"],
            Self::Device => &[],
        }
    }
}

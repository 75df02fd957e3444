//! What a setting is about: the closed list of our names, with what each is counted in.

use quantity::Kind;
use serde::{Serialize, Serializer};

macro_rules! topics {
    ($($(#[doc = $doc:literal])* $topic:ident = $id:literal, $title:literal, $counted:expr;)*) => {
        /// What a setting is about.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Topic {
            $($(#[doc = $doc])* $topic,)*
        }

        impl Topic {
            /// Every topic, in the order of the list.
            pub const ALL: &'static [Topic] = &[$(Topic::$topic),*];

            fn row(self) -> (&'static str, &'static str, Counted) {
                match self {
                    $(Topic::$topic => ($id, $title, $counted),)*
                }
            }
        }
    };
}

/// What the value of a topic is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counted {
    /// A quantity of this kind.
    In(Kind),
    /// A number without dimension, never shown in per cent.
    Number,
    /// Words.
    Words,
}

use Counted::{In, Number, Words};

topics! {
    /// How the axes move the nozzle.
    Kinematics = "kinematics", "kinematics", Words;
    /// Microsteps per length of travel.
    StepsPerLength = "steps-per-length", "steps per length", In(Kind::StepDensity);
    /// Microsteps in one full step.
    Microsteps = "microsteps", "microsteps", Number;
    /// Sense in which a motor turns for a positive move.
    Direction = "direction", "direction", Words;
    /// Effective current of a motor.
    MotorCurrent = "motor-current", "motor current, effective", In(Kind::Current);
    /// Voltage to which the trimmer of a driver is set.
    DriverReference = "driver-reference", "reference voltage of the driver", In(Kind::Voltage);
    /// Highest speed of an axis.
    TopSpeed = "top-speed", "top speed", In(Kind::Velocity);
    /// Highest acceleration of an axis.
    Acceleration = "acceleration", "highest acceleration", In(Kind::Acceleration);
    /// Acceleration while printing.
    PrintAcceleration = "print-acceleration", "acceleration while printing", In(Kind::Acceleration);
    /// Acceleration of filament alone.
    RetractAcceleration = "retract-acceleration", "acceleration of filament alone", In(Kind::Acceleration);
    /// Acceleration without printing.
    TravelAcceleration = "travel-acceleration", "acceleration while travelling", In(Kind::Acceleration);
    /// Change of speed that an axis makes without a ramp.
    CornerSpeed = "corner-speed", "sudden change of speed", In(Kind::Velocity);
    /// How an axis finds its end.
    HomingEnd = "homing-end", "end at which it homes", Words;
    /// Speed at which an axis looks for its end.
    HomingSpeed = "homing-speed", "homing speed", In(Kind::Velocity);
    /// Value of the load signal that counts as the end of an axis.
    HomingThreshold = "homing-threshold", "threshold of load-measured homing", Number;
    /// Length of travel.
    Travel = "travel", "length of travel", In(Kind::Length);
    /// Distance by which the zero point is moved from where the switch tells it.
    ZeroShift = "zero-shift", "shift of the zero point", In(Kind::Length);
    /// Kind of thermometer.
    ThermometerKind = "thermometer-kind", "kind of thermometer", Words;
    /// Table of resistance, temperature and converter reading.
    ThermometerTable = "thermometer-table", "thermometer table", Words;
    /// Resistance of the thermometer at its reference temperature.
    ThermometerResistance = "thermometer-resistance", "resistance of the thermometer at 25 °C", In(Kind::Resistance);
    /// Constant B of the two-point law.
    ThermometerConstant = "thermometer-constant", "constant B of the thermometer", In(Kind::TemperatureDifference);
    /// Resistor from the thermometer to the reference.
    ThermometerPullUp = "thermometer-pull-up", "pull-up of the thermometer", In(Kind::Resistance);
    /// Amplification before the converter.
    ThermometerAmplification = "thermometer-amplification", "amplification before the converter", Number;
    /// Proportional term of a temperature control.
    ControlProportional = "control-proportional", "proportional term of the control", Number;
    /// Integral term of a temperature control.
    ControlIntegral = "control-integral", "integral term of the control", Number;
    /// Derivative term of a temperature control.
    ControlDerivative = "control-derivative", "derivative term of the control", Number;
    /// Largest share of full power that a heater is given.
    HeaterShare = "heater-share", "largest share of full power", In(Kind::Ratio);
    /// Temperature above which everything is switched off.
    HighestTemperature = "highest-temperature", "highest temperature", In(Kind::Temperature);
    /// Temperature below which a thermometer counts as broken.
    LowestTemperature = "lowest-temperature", "lowest temperature", In(Kind::Temperature);
    /// Fall below the target that trips the protection.
    ProtectionFall = "protection-fall", "fall below the target that trips protection", In(Kind::TemperatureDifference);
    /// Time for which the fall must last.
    ProtectionTime = "protection-time", "time for which the fall must last", In(Kind::Time);
    /// Rise that a heating must show.
    HeatUpRise = "heat-up-rise", "rise that a heat-up must show", In(Kind::TemperatureDifference);
    /// Time in which the rise must show.
    HeatUpTime = "heat-up-time", "time in which the rise must show", In(Kind::Time);
    /// Warm-up value of the hot end.
    WarmUpHotEnd = "warm-up-hot-end", "warm-up value of the hot end", In(Kind::Temperature);
    /// Warm-up value of the bed.
    WarmUpBed = "warm-up-bed", "warm-up value of the bed", In(Kind::Temperature);
    /// Warm-up value of the part fan.
    WarmUpFan = "warm-up-fan", "warm-up value of the part fan", Number;
    /// What a switch reads when it is met.
    SwitchSense = "switch-sense", "level when the switch is met", Words;
    /// What holds the input of a switch.
    SwitchPull = "switch-pull", "pull of the input", Words;
    /// Distance from probe to nozzle.
    ProbeOffset = "probe-offset", "distance from probe to nozzle", In(Kind::Length);
    /// Height map of the bed.
    LevellingMesh = "levelling-mesh", "height map", Number;
    /// Height above which the height map corrects no more.
    LevellingEnd = "levelling-end", "height at which levelling ends", In(Kind::Length);
    /// Diameter of the filament.
    FilamentDiameter = "filament-diameter", "diameter of the filament", In(Kind::Length);
    /// Share of the computed filament that is fed.
    Flow = "flow", "flow", In(Kind::Ratio);
    /// Compensation of the pressure in the hot end.
    PressureCompensation = "pressure-compensation", "compensation of filament pressure", Number;
    /// When a fan runs.
    FanControl = "fan-control", "when the fan runs", Words;
    /// Temperature from which a fan runs.
    FanStart = "fan-start", "temperature from which the fan runs", In(Kind::Temperature);
    /// Number of addressed lights.
    Lights = "lights", "number of lights", Number;
    /// Order of the colours on the data line.
    LightOrder = "light-order", "order of colours", Words;
    /// What a panel speaks.
    PanelInterface = "panel-interface", "what the panel speaks", Words;
    /// Rate of a serial line.
    SerialRate = "serial-rate", "rate of the serial line, baud", Number;
    /// Rail that a jumper chooses.
    Jumper = "jumper", "position of the jumper", Words;
    /// Port of a device.
    Port = "port", "port", Words;
}

impl Topic {
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
        self.row().0
    }
    /// Its name on pages: "steps per length".
    #[must_use]
    pub fn title(self) -> &'static str {
        self.row().1
    }
    /// What its value is.
    #[must_use]
    pub fn counted(self) -> Counted {
        self.row().2
    }
    /// The topic of that name.
    #[must_use]
    pub fn named(id: &str) -> Option<Topic> {
        Topic::ALL.iter().copied().find(|topic| topic.id() == id)
    }
}

impl Serialize for Topic {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.id())
    }
}

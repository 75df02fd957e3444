//! The closed lists of words of the file format.

use crate::read::words;

words! {
    /// What a port is for.
    pub enum Role("role of a port") {
        /// Switched on and off by the controller, for fans, plain lights and small loads.
        SwitchedOutput = "switched output",
        /// Carries its rail whenever the board has power.
        PermanentOutput = "permanent output",
        /// A switched output built for heaters.
        HeaterOutput = "heater output",
        /// The two coils of a motor.
        MotorOutput = "motor output",
        /// Measures a thermometer.
        ThermometerInput = "thermometer input",
        /// Reads a switch or a switching sensor.
        SwitchInput = "switch input",
        /// Control of a bed probe, mostly with its signal in the same connector.
        ProbePort = "probe port",
        /// A serial line.
        Serial = "serial",
        /// A panel.
        Display = "display",
        /// The data line of addressable lights.
        LightData = "light data",
        /// Takes a memory card.
        CardSlot = "card slot",
        /// USB to a computer.
        Usb = "USB",
        /// Where a supply arrives: the first of the machine at the input of the board, a further one where this names an external rail.
        SupplyInput = "supply input",
    }
}

words! {
    /// The corner of a drawing from which its places count.
    pub enum Origin("corner that places count from") {
        /// x to the right, y up.
        LowerLeft = "lower left",
        /// x to the right, y down: as on a screen.
        UpperLeft = "upper left",
        /// x to the left, y up.
        LowerRight = "lower right",
        /// x to the left, y down.
        UpperRight = "upper right",
    }
}

words! {
    /// What a pin of a connector, or a wire of a lead, is for.
    pub enum Pin("function of a pin") {
        /// The positive pole of a rail, always on.
        Plus = "+",
        /// The negative pole, or a ground.
        Minus = "-",
        /// The positive pole, switched.
        SwitchedPlus = "switched +",
        /// The negative pole, switched.
        SwitchedMinus = "switched -",
        /// One end of something without polarity.
        End1 = "1",
        /// The other end of something without polarity.
        End2 = "2",
        /// What a sensor reports.
        Signal = "signal",
        /// What the controller tells a probe.
        Control = "control",
        /// Data of lights.
        Data = "data",
        /// First end of the first coil.
        A1 = "A1",
        /// Second end of the first coil.
        A2 = "A2",
        /// First end of the second coil.
        B1 = "B1",
        /// Second end of the second coil.
        B2 = "B2",
        /// Sent by this side of a serial line.
        Transmit = "transmit",
        /// Received by this side of a serial line.
        Receive = "receive",
        /// A pin without wire.
        Unused = "unused",
    }
}

words! {
    /// The mechanics between motor and carriage.
    pub enum DriveKind("kind of drive") {
        /// A toothed belt over a pulley.
        Belt = "belt",
        /// A lead screw.
        Screw = "lead screw",
        /// A driven wheel that moves filament, with or without gears.
        Extruder = "geared extruder",
    }
}

words! {
    /// How the axes move the nozzle.
    pub enum Kinematics("kind of kinematics") {
        /// One motor or pair of motors for each axis.
        Cartesian = "cartesian",
        /// Two motors move X and Y together over crossed belts.
        CrossedBelts = "crossed belts",
        /// Three towers.
        Delta = "delta",
        /// Two independent carriages on one axis.
        TwoCarriages = "two carriages",
        /// A belt as the bed.
        BeltBed = "belt bed",
    }
}

words! {
    /// What a device is.
    pub enum DeviceKind("kind of device") {
        /// Turns power into heat.
        Heater = "heater",
        /// A relay or contactor with its load, a heater: the board drives its control side.
        Relay = "relay",
        /// Measures temperature by its resistance.
        Thermometer = "thermometer",
        /// A two-phase stepping motor.
        Motor = "motor",
        /// A fan.
        Fan = "fan",
        /// Tells the end of an axis.
        LimitSwitch = "limit switch",
        /// Tells the height of the bed under the nozzle.
        BedProbe = "bed probe",
        /// Tells whether there is filament.
        FilamentSwitch = "filament switch",
        /// Lights.
        LightStrip = "light strip",
        /// Display and knobs.
        Panel = "panel",
        /// The power supply of the machine.
        Supply = "supply",
    }
}

words! {
    /// How a relay switches.
    pub enum RelayKind("kind of relay") {
        /// By semiconductors.
        SolidState = "solid state",
        /// By contacts, as a contactor does.
        Electromechanical = "electromechanical",
    }
}

words! {
    /// What a heater or a thermometer belongs to.
    pub enum Zone("heated part") {
        /// The hot end.
        HotEnd = "hot end",
        /// The bed.
        Bed = "bed",
        /// The chamber around the print.
        Chamber = "chamber",
    }
}

words! {
    /// What the resistive track of a heater is made of, which decides how its power changes with temperature.
    pub enum Element("heating element") {
        /// Copper: draws more when cold.
        Copper = "copper",
        /// A resistance alloy: nearly constant.
        Alloy = "alloy",
    }
}

words! {
    /// What a fan cools.
    pub enum Cooled("part that a fan cools") {
        /// The printed part.
        Part = "part",
        /// The heat sink of the hot end.
        HeatSink = "heat sink",
        /// The electronics.
        Board = "board",
        /// The case or chamber.
        Case = "case",
    }
}

words! {
    /// The output of a switch or switching sensor.
    pub enum Output("kind of output") {
        /// A contact that is closed at rest and opens when it is met.
        NormallyClosed = "contact, normally closed",
        /// A contact that is open at rest and closes when it is met.
        NormallyOpen = "contact, normally open",
        /// A transistor to ground, as NPN sensors have.
        OpenCollector = "open collector",
        /// A transistor to the supply of the sensor, which it needs: it can only pull up.
        Pnp = "PNP",
        /// Drives both levels by itself.
        PushPull = "push-pull",
    }
}

words! {
    /// An end of an axis.
    pub enum End("end of an axis") {
        /// Where the coordinate is smallest.
        Min = "min",
        /// Where the coordinate is largest.
        Max = "max",
    }
}

words! {
    /// How an axis finds its home position where nothing senses it.
    pub enum Homing("way of homing") {
        /// Somebody places it before each start.
        ByHand = "by hand",
    }
}

words! {
    /// The sense in which an axis was set to turn.
    pub enum Direction("direction of a motor") {
        /// As the driver turns by itself.
        Normal = "normal",
        /// Turned round by a setting.
        Reversed = "reversed",
    }
}

words! {
    /// How a rail is made.
    pub enum RailSource("source of a rail") {
        /// A switching converter.
        Switching = "switching",
        /// A linear regulator: passes its whole current on to the rail that feeds it.
        Linear = "linear",
        /// A second supply from outside, through the board: a further device of the kind `supply`.
        External = "external",
    }
}

words! {
    /// How a driver sits on its board.
    pub enum Mount("mount of a driver") {
        /// Soldered.
        Fixed = "fixed",
        /// On a socket.
        Socketed = "socketed",
    }
}

words! {
    /// How the current of a driver is set.
    pub enum SetBy("way of setting") {
        /// A trimmer that makes a reference voltage.
        Trimmer = "trimmer",
        /// A number sent over a bus.
        Bus = "bus",
    }
}

words! {
    /// How a current of a winding is stated.
    pub enum CurrentDefinition("definition of a current") {
        /// The highest value of the sine.
        Peak = "peak",
        /// The effective value: peak over the square root of two.
        Rms = "rms",
    }
}

words! {
    /// How two sockets of one driver, or a Y-lead, join two motors.
    pub enum Connection("motor connection") {
        /// Side by side: each sees half of the current.
        Parallel = "parallel",
        /// One after the other: both see the whole current.
        Series = "series",
    }
}

words! {
    /// The resistor that holds an open input.
    pub enum Pull("pull of an input") {
        /// To the logic supply.
        Up = "up",
        /// To ground.
        Down = "down",
        /// None.
        None = "none",
    }
}

words! {
    /// The circuit behind a thermometer input.
    pub enum Circuit("thermometer circuit") {
        /// A pull-up to the reference, the thermometer to ground.
        Divider = "pull-up divider",
        /// A divider with an amplifier behind it, made for platinum.
        Amplifier = "platinum amplifier",
    }
}

words! {
    /// Which pole a switched output switches.
    pub enum Side("side of a switch") {
        /// The negative pole.
        Low = "low side",
        /// The positive pole.
        High = "high side",
    }
}

words! {
    /// What a warmed body is made of.
    pub enum Material("material") {
        /// Pure or nearly pure aluminium.
        Aluminium = "aluminium",
        /// Copper.
        Copper = "copper",
        /// Brass.
        Brass = "brass",
        /// Plain carbon steel; spring steel is close to it.
        Steel = "steel",
        /// Plate glass.
        Glass = "glass",
    }
}

words! {
    /// An edge of a board as it lies in the case, component side up.
    pub enum Edge("edge of a board") {
        /// x = 0.
        Left = "left",
        /// Largest x.
        Right = "right",
        /// y = 0.
        Bottom = "bottom",
        /// Largest y.
        Top = "top",
    }
}

words! {
    /// The direction in which the pins of a connector follow each other.
    pub enum Along("direction of a row of pins") {
        /// From left to right.
        X = "x",
        /// From bottom to top.
        Y = "y",
    }
}

words! {
    /// What the owner wants beyond what the machine had.
    pub enum WishKind("kind of wish") {
        /// The named devices are connected.
        Connect = "connect",
        /// Each of the named motors has a driver for itself.
        OwnDriver = "own driver",
        /// The drivers of the named motors hold them without a sound.
        SilentStandstill = "silent standstill",
        /// The named fans hang on an output that the controller switches.
        SwitchedFan = "switched fan",
        /// The axes of the named motors find their end by measuring the load.
        StallDetectionHoming = "homing by stall detection",
    }
}

words! {
    /// What was measured.
    pub enum EvidenceKind("kind of evidence") {
        /// A log of a heated part: time, temperature, target, and the duty of the heater where there is one.
        TemperatureLog = "temperature log",
        /// Heights of the bed at many places.
        HeightMap = "height map",
        /// One thing measured again and again, such as a touch of a probe or of a limit switch.
        Repeatability = "repeatability",
        /// Trials of homing by stall detection at several thresholds.
        StallThresholdTest = "stall-threshold test",
        /// Commanded and measured lengths of filament.
        ExtruderCalibration = "extruder calibration",
        /// Commanded and measured lengths along an axis.
        AxisCalibration = "axis calibration",
        /// Widths or scores of a test pattern printed at several values of pressure compensation.
        ExtrusionPressureTest = "extrusion-pressure test",
        /// Commanded and measured widths of walls.
        FlowCalibration = "flow calibration",
        /// States of a filament switch with and without filament.
        FilamentTest = "filament test",
        /// What lights were told and what they showed.
        LedTest = "LED test",
        /// A log of the voltage of the supply.
        SupplyLog = "supply log",
        /// Temperatures of motors and drivers under way.
        MotorAndDriverTemperatures = "motor and driver temperatures",
        /// Settings as the new controller reports them.
        SettingsReadBack = "settings read-back",
    }
}

words! {
    /// A scale of temperature.
    pub enum Scale("scale of temperature") {
        /// Degrees Celsius.
        Celsius = "°C",
        /// Degrees Fahrenheit.
        Fahrenheit = "°F",
        /// Kelvin.
        Kelvin = "K",
    }
}

words! {
    /// A sense of turning, as seen by whoever turns.
    pub enum Sense("sense of turning") {
        /// As the hands of a clock.
        Clockwise = "clockwise",
        /// Against them.
        CounterClockwise = "counter-clockwise",
    }
}

words! {
    /// How a setting gets into a controller.
    pub enum Told("way of telling") {
        /// A running controller takes it.
        Running = "running",
        /// It is only reported, and set in the build.
        Build = "build",
    }
}

words! {
    /// A unit in which all lengths of a report, or of a program, may be.
    pub enum Lengths("unit of all lengths") {
        /// Millimetres.
        Millimetres = "mm",
        /// Inches.
        Inches = "in",
    }
}

words! {
    /// What the number behind a label of a report is.
    pub enum Reports("number of a report") {
        /// A temperature.
        Temperature = "temperature",
        /// The drive of a heater.
        Drive = "drive",
        /// A position along an axis.
        Position = "position",
    }
}

//! The quantities as types, and a short constructor for each unit that the trade writes.
//!
//! All types hold SI base units inside. A temperature (`ThermodynamicTemperature`) is not a temperature
//! difference (`TemperatureInterval`): the library refuses to mix them. Energy and torque share a dimension and so a
//! type: only the torque has text.

use uom::si::{ISQ, Quantity, SI};
use uom::typenum::{N2, N3, P1, Z0};

pub use uom::si::f64::{
    Acceleration, Angle, AngularVelocity, Area, Capacitance, ElectricCurrent, ElectricPotential,
    ElectricalResistance, Energy, Force, Frequency, HeatCapacity, Inductance, Length, LinearNumberDensity,
    Mass, MassDensity, MomentOfInertia, Power, Ratio, SpecificHeatCapacity, TemperatureCoefficient,
    TemperatureInterval, ThermalConductance, ThermalConductivity, ThermalResistance,
    ThermodynamicTemperature, Time, Torque, Velocity, Volume, VolumeRate,
};

use crate::number::Number;

/// Microsteps per length of travel; base unit 1/m, written step/mm.
pub type StepDensity = LinearNumberDensity;
/// Resistance of a conductor per length; base unit Ω/m.
pub type ResistancePerLength = Quantity<ISQ<P1, P1, N3, N2, Z0, Z0, Z0>, SI<f64>, f64>;

macro_rules! constructors {
    ($($name:ident: $quantity:ty = $factor:expr, $text:literal;)*) => {
        $(
            #[doc = concat!("A quantity from a number of ", $text, ".")]
            #[must_use]
            pub fn $name(number: f64) -> $quantity {
                <$quantity as Number>::from_base(number * $factor)
            }
        )*
    };
}

constructors! {
    volt: ElectricPotential = 1.0, "V";
    ampere: ElectricCurrent = 1.0, "A";
    milliampere: ElectricCurrent = 1e-3, "mA";
    ohm: ElectricalResistance = 1.0, "Ω";
    watt: Power = 1.0, "W";
    joule: Energy = 1.0, "J";
    henry: Inductance = 1.0, "H";
    millihenry: Inductance = 1e-3, "mH";
    farad: Capacitance = 1.0, "F";
    hertz: Frequency = 1.0, "Hz";
    metre: Length = 1.0, "m";
    millimetre: Length = 1e-3, "mm";
    square_millimetre: Area = 1e-6, "mm²";
    kilogram: Mass = 1.0, "kg";
    kilogram_per_cubic_metre: MassDensity = 1.0, "kg/m³";
    joule_per_kilogram_kelvin: SpecificHeatCapacity = 1.0, "J/kg/K";
    cubic_millimetre_per_second: VolumeRate = 1e-9, "mm³/s";
    second: Time = 1.0, "s";
    millimetre_per_second: Velocity = 1e-3, "mm/s";
    millimetre_per_second_squared: Acceleration = 1e-3, "mm/s²";
    newton: Force = 1.0, "N";
    newton_metre: Torque = 1.0, "N m";
    radian: Angle = 1.0, "rad";
    degree: Angle = core::f64::consts::PI / 180.0, "degrees of angle";
    radian_per_second: AngularVelocity = 1.0, "rad/s";
    revolution_per_second: AngularVelocity = core::f64::consts::TAU, "revolutions per second";
    kelvin: TemperatureInterval = 1.0, "K (a difference)";
    kelvin_per_watt: ThermalResistance = 1.0, "K/W";
    watt_per_kelvin: ThermalConductance = 1.0, "W/K";
    joule_per_kelvin: HeatCapacity = 1.0, "J/K";
    ohm_per_metre: ResistancePerLength = 1.0, "Ω/m";
    per_kelvin: TemperatureCoefficient = 1.0, "1/K";
    step_per_millimetre: StepDensity = 1e3, "step/mm";
    ratio: Ratio = 1.0, "one";
    percent: Ratio = 1e-2, "%";
}

/// A temperature from its number on the Celsius scale.
#[must_use]
pub fn celsius(number: f64) -> ThermodynamicTemperature {
    <ThermodynamicTemperature as Number>::from_base(number + 273.15)
}

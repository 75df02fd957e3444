//! What a quantity must offer so that a tolerance can be carried through arithmetic.

use core::fmt::Debug;

use uom::si::{Dimension, Quantity as UomQuantity, Units};

use crate::si;
use crate::unit::Kind;

/// A number with or without a dimension, readable as its value in SI base units.
///
/// Crossing to `f64` is meant for text, tables and solvers; across public borders the typed quantity travels.
pub trait Number: Copy + PartialOrd + Debug + Send + Sync + 'static {
    /// The quantity whose value in SI base units is `base`.
    fn from_base(base: f64) -> Self;
    /// The value in SI base units.
    fn base(self) -> f64;

    /// The next larger representable quantity.
    #[must_use]
    fn up(self) -> Self {
        Self::from_base(self.base().next_up())
    }
    /// The next smaller representable quantity.
    #[must_use]
    fn down(self) -> Self {
        Self::from_base(self.base().next_down())
    }
    /// The smaller of two; the first where they do not compare.
    #[must_use]
    fn smaller(self, other: Self) -> Self {
        if other < self { other } else { self }
    }
    /// The larger of two; the first where they do not compare.
    #[must_use]
    fn larger(self, other: Self) -> Self {
        if other > self { other } else { self }
    }
}

impl Number for f64 {
    fn from_base(base: f64) -> Self {
        base
    }
    fn base(self) -> f64 {
        self
    }
}

impl<D, U> Number for UomQuantity<D, U, f64>
where
    D: Dimension + ?Sized + Send + Sync + 'static,
    U: Units<f64> + ?Sized + Send + Sync + 'static,
{
    fn from_base(base: f64) -> Self {
        UomQuantity {
            dimension: core::marker::PhantomData,
            units: core::marker::PhantomData,
            value: base,
        }
    }
    fn base(self) -> f64 {
        self.value
    }
}

/// A quantity that has a name and units of its own, and so can be read from and written as text.
pub trait Quantity: Number {
    /// Its kind: name, units, and how it is shown.
    const KIND: Kind;
}

macro_rules! quantities {
    ($($quantity:ident => $kind:ident,)*) => {
        $(impl Quantity for si::$quantity { const KIND: Kind = Kind::$kind; })*
    };
}

quantities! {
    ElectricPotential => Voltage,
    ElectricCurrent => Current,
    ElectricalResistance => Resistance,
    Power => Power,
    Inductance => Inductance,
    Capacitance => Capacitance,
    Frequency => Frequency,
    Length => Length,
    Area => Area,
    Mass => Mass,
    Time => Time,
    Velocity => Velocity,
    Acceleration => Acceleration,
    Force => Force,
    Torque => Torque,
    MomentOfInertia => MomentOfInertia,
    Angle => Angle,
    AngularVelocity => AngularVelocity,
    ThermodynamicTemperature => Temperature,
    TemperatureInterval => TemperatureDifference,
    ThermalResistance => ThermalResistance,
    ThermalConductance => ThermalConductance,
    HeatCapacity => HeatCapacity,
    TemperatureCoefficient => TemperatureCoefficient,
    StepDensity => StepDensity,
    ResistancePerLength => ResistancePerLength,
    VolumeRate => VolumeRate,
    MassDensity => Density,
    SpecificHeatCapacity => SpecificHeat,
    Ratio => Ratio,
}

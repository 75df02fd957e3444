//! A thermometer, whatever law or table it follows.

use quantity::si::{
    ElectricalResistance, TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature, celsius,
};
use quantity::{Number, Range};

use super::{
    FourTerm, RtTable, SteinhartHart, beta_resistance, beta_temperature, platinum_resistance, platinum_slope,
    platinum_temperature,
};
use crate::OutOfRange;

/// A thermometer: resistance against temperature.
#[derive(Clone, Debug, PartialEq)]
pub enum RtCurve {
    /// A thermistor by the beta law.
    Beta {
        /// Resistance at the reference temperature.
        reference: ElectricalResistance,
        /// The reference temperature, usually 25 °C.
        reference_temperature: ThermodynamicTemperature,
        /// Beta, in kelvin.
        beta: TemperatureInterval,
    },
    /// A thermistor by the law of Steinhart and Hart.
    SteinhartHart(SteinhartHart),
    /// A thermistor by the law of four terms.
    FourTerm(FourTerm),
    /// Any thermometer by a table of its points.
    Table(RtTable),
    /// A platinum thermometer by its standard curve.
    Platinum {
        /// Resistance at 0 °C.
        at_zero: ElectricalResistance,
    },
}

impl RtCurve {
    /// A thermistor by its resistance at 25 °C and its beta.
    #[must_use]
    pub fn beta(at_25: ElectricalResistance, beta: TemperatureInterval) -> Self {
        Self::Beta {
            reference: at_25,
            reference_temperature: celsius(25.0),
            beta,
        }
    }

    /// The temperatures at which the curve is offered.
    ///
    /// Laws without a range of their own get −60 °C to 500 °C: wider than any printer, narrow enough to keep
    /// nonsense out of a plot.
    #[must_use]
    pub fn range(&self) -> Range<ThermodynamicTemperature> {
        match self {
            Self::Beta { .. } | Self::SteinhartHart(_) => Range::new(celsius(-60.0), celsius(500.0)),
            Self::FourTerm(law) => law.range,
            Self::Table(table) => table.range(),
            Self::Platinum { .. } => Range::new(celsius(-200.0), celsius(850.0)),
        }
    }

    /// Resistance at a temperature.
    ///
    /// # Errors
    /// [`OutOfRange`] where the curve does not reach.
    pub fn resistance(
        &self,
        temperature: ThermodynamicTemperature,
    ) -> Result<ElectricalResistance, OutOfRange> {
        match self {
            Self::Beta {
                reference,
                reference_temperature,
                beta,
            } => {
                let temperature =
                    OutOfRange::check("temperature of the thermistor", temperature, self.range())?;
                Ok(beta_resistance(
                    *reference,
                    *reference_temperature,
                    *beta,
                    temperature,
                ))
            }
            Self::SteinhartHart(law) => law.resistance(temperature),
            Self::FourTerm(law) => law.resistance(temperature),
            Self::Table(table) => table.resistance(temperature),
            Self::Platinum { at_zero } => platinum_resistance(*at_zero, temperature),
        }
    }

    /// Temperature at a resistance.
    ///
    /// # Errors
    /// [`OutOfRange`] where the curve does not reach.
    pub fn temperature(
        &self,
        resistance: ElectricalResistance,
    ) -> Result<ThermodynamicTemperature, OutOfRange> {
        match self {
            Self::Beta {
                reference,
                reference_temperature,
                beta,
            } => {
                let resistance = OutOfRange::check_positive("resistance of the thermistor", resistance)?;
                let temperature = beta_temperature(*reference, *reference_temperature, *beta, resistance);
                OutOfRange::check_positive("temperature of the thermistor", temperature)
            }
            Self::SteinhartHart(law) => law.temperature(resistance),
            Self::FourTerm(law) => law.temperature(resistance),
            Self::Table(table) => table.temperature(resistance),
            Self::Platinum { at_zero } => platinum_temperature(*at_zero, resistance),
        }
    }

    /// Relative slope at a temperature: change of resistance per kelvin and resistance; negative for thermistors.
    ///
    /// # Errors
    /// [`OutOfRange`] where the curve does not reach.
    pub fn relative_slope(
        &self,
        temperature: ThermodynamicTemperature,
    ) -> Result<TemperatureCoefficient, OutOfRange> {
        match self {
            Self::Beta { beta, .. } => {
                let kelvin =
                    OutOfRange::check("temperature of the thermistor", temperature, self.range())?.base();
                Ok(TemperatureCoefficient::from_base(
                    -beta.base() / (kelvin * kelvin),
                ))
            }
            Self::SteinhartHart(law) => law.relative_slope(temperature),
            Self::FourTerm(law) => law.relative_slope(temperature),
            Self::Table(table) => table.relative_slope(temperature),
            Self::Platinum { .. } => platinum_slope(temperature),
        }
    }
}

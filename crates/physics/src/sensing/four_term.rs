//! Thermistors by the law of four terms that some data sheets print, with separate coefficients for each direction.

use quantity::si::{ElectricalResistance, TemperatureCoefficient, ThermodynamicTemperature};
use quantity::{Number, Range};

use crate::{Formula, OutOfRange};

/// See [`FourTerm::resistance`].
pub static FOUR_TERM_RESISTANCE: Formula = Formula::new(
    "four-term-resistance",
    "Resistance of a thermistor by four terms",
    "R = R₂₅ · exp(A + B/T + C/T² + D/T³)",
    "ntc-disc-sheet",
    "",
);
/// See [`FourTerm::temperature`].
pub static FOUR_TERM_TEMPERATURE: Formula = Formula::new(
    "four-term-temperature",
    "Temperature of a thermistor by four terms",
    "1/T = A₁ + B₁ · x + C₁ · x² + D₁ · x³ with x = ln(R / R₂₅)",
    "ntc-disc-sheet",
    "",
);

/// A thermistor by the law of four terms.
///
/// The two directions are separate fits: together they come back within some hundredths of a kelvin, not exactly.
///
/// # Source
/// [ntc-disc-sheet], where the coefficients of each material are listed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FourTerm {
    /// Resistance at 25 °C.
    pub at_25: ElectricalResistance,
    /// A, B, C, D; the n-th has the unit kelvin to the power n.
    pub direct_kelvin: [f64; 4],
    /// A₁, B₁, C₁, D₁; all in 1/K.
    pub inverse_per_kelvin: [f64; 4],
    /// The temperatures for which the data sheet gives the coefficients.
    pub range: Range<ThermodynamicTemperature>,
}

impl FourTerm {
    /// Resistance at a temperature.
    ///
    /// # Errors
    /// [`OutOfRange`] outside the range of the data sheet.
    pub fn resistance(
        &self,
        temperature: ThermodynamicTemperature,
    ) -> Result<ElectricalResistance, OutOfRange> {
        let temperature = OutOfRange::check("temperature of the thermistor", temperature, self.range)?;
        let inverse = 1.0 / temperature.base();
        Ok(self.at_25 * polynomial(self.direct_kelvin, inverse).exp())
    }

    /// Temperature at a resistance.
    ///
    /// # Errors
    /// [`OutOfRange`] where the resistance is not positive or the temperature leaves the range of the data sheet.
    pub fn temperature(
        &self,
        resistance: ElectricalResistance,
    ) -> Result<ThermodynamicTemperature, OutOfRange> {
        let resistance = OutOfRange::check_positive("resistance of the thermistor", resistance)?;
        let x = (resistance.base() / self.at_25.base()).ln();
        let temperature = ThermodynamicTemperature::from_base(1.0 / polynomial(self.inverse_per_kelvin, x));
        OutOfRange::check("temperature of the thermistor", temperature, self.range)
    }

    /// Relative slope at a temperature: change of resistance per kelvin and resistance.
    ///
    /// # Errors
    /// As for [`Self::resistance`].
    pub fn relative_slope(
        &self,
        temperature: ThermodynamicTemperature,
    ) -> Result<TemperatureCoefficient, OutOfRange> {
        let temperature = OutOfRange::check("temperature of the thermistor", temperature, self.range)?;
        let inverse = 1.0 / temperature.base();
        let [_, b, c, d] = self.direct_kelvin;
        Ok(TemperatureCoefficient::from_base(
            -inverse * inverse * (b + inverse * (2.0 * c + inverse * 3.0 * d)),
        ))
    }
}

fn polynomial(coefficients: [f64; 4], x: f64) -> f64 {
    coefficients
        .iter()
        .rev()
        .fold(0.0, |sum, coefficient| sum * x + coefficient)
}

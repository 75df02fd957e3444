//! Thermistors by the law of Steinhart and Hart, fitted through three points.

use quantity::si::{ElectricalResistance, TemperatureCoefficient, ThermodynamicTemperature};
use quantity::{Number, Range};
use serde::Serialize;

use crate::{Formula, OutOfRange};

/// See [`SteinhartHart`].
pub static STEINHART_HART: Formula = Formula::new(
    "steinhart-hart",
    "Temperature of a thermistor through three points",
    "1/T = a + b · ln(R/Ω) + c · ln(R/Ω)³",
    "steinhart-hart-1968",
    "",
);

/// A thermistor by the law of Steinhart and Hart.
///
/// `1/T = a + b · ln(R/Ω) + c · ln(R/Ω)³`
///
/// Fitted through 25, 100 and 200 °C of a 100 kΩ table it stays within 0.4 K from 0 °C to 250 °C. Beyond its outer
/// points it drifts away, so the points should span the working range.
///
/// # Source
/// [steinhart-hart-1968].
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SteinhartHart {
    /// a, b, c in 1/K, for the logarithm of the resistance in ohm.
    per_kelvin: [f64; 3],
}

/// Why no law goes through three points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoFit {
    /// Two points coincide, or a resistance or temperature is not positive.
    Points,
    /// The law through the points does not fall everywhere between them.
    NotMonotone,
}

impl core::fmt::Display for NoFit {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        formatter.write_str(match self {
            Self::Points => "three different points with positive resistance are needed",
            Self::NotMonotone => "the curve through the points turns back between them",
        })
    }
}

impl core::error::Error for NoFit {}

impl SteinhartHart {
    /// The law with the coefficients of a data sheet, for the natural logarithm of the resistance in ohm.
    ///
    /// # Errors
    /// [`NoFit::NotMonotone`] where resistance would not fall with temperature.
    pub fn from_coefficients(abc: [TemperatureCoefficient; 3]) -> Result<Self, NoFit> {
        let law = Self {
            per_kelvin: abc.map(Number::base),
        };
        // A 100 kΩ bead passes 1 MΩ in a cold workshop: a law that turns back below that cannot be one for it.
        if law.per_kelvin[1] <= 0.0 || law.turning_point() < 1e6_f64.ln() {
            return Err(NoFit::NotMonotone);
        }
        Ok(law)
    }

    /// The law through three points.
    ///
    /// # Errors
    /// [`NoFit`] where no falling curve goes through them.
    pub fn through(points: [(ThermodynamicTemperature, ElectricalResistance); 3]) -> Result<Self, NoFit> {
        let x = points.map(|(_, resistance)| resistance.base().ln());
        let y = points.map(|(temperature, _)| 1.0 / temperature.base());
        if x.iter().chain(&y).any(|number| !number.is_finite()) {
            return Err(NoFit::Points);
        }
        // Divided differences of 1/T; the cube contributes the sum of the three logarithms.
        let first = (y[1] - y[0]) / (x[1] - x[0]);
        let second = (y[2] - y[0]) / (x[2] - x[0]);
        let c = (second - first) / (x[2] - x[1]) / (x[0] + x[1] + x[2]);
        let b = first - c * (x[0] * x[0] + x[0] * x[1] + x[1] * x[1]);
        let a = y[0] - x[0] * (b + c * x[0] * x[0]);
        if ![a, b, c].iter().all(|number| number.is_finite()) {
            return Err(NoFit::Points);
        }
        let law = Self {
            per_kelvin: [a, b, c],
        };
        let furthest = x.iter().fold(0.0_f64, |most, x| most.max(x.abs()));
        if b <= 0.0 || law.turning_point() <= furthest {
            return Err(NoFit::NotMonotone);
        }
        Ok(law)
    }

    /// The coefficients a, b, c.
    #[must_use]
    pub fn coefficients(&self) -> [TemperatureCoefficient; 3] {
        self.per_kelvin.map(TemperatureCoefficient::from_base)
    }

    /// Temperature at a resistance.
    ///
    /// # Errors
    /// [`OutOfRange`] where the resistance is not positive, or lies beyond the point where the law turns back.
    pub fn temperature(
        &self,
        resistance: ElectricalResistance,
    ) -> Result<ThermodynamicTemperature, OutOfRange> {
        let most = self.turning_point();
        let range = Range::new(
            ElectricalResistance::from_base((-most).exp()),
            ElectricalResistance::from_base(most.exp()),
        );
        let resistance = OutOfRange::check("resistance of the thermistor", resistance, range)?;
        Ok(ThermodynamicTemperature::from_base(
            1.0 / self.inverse_temperature(resistance.base().ln()),
        ))
    }

    /// Resistance at a temperature, by bisection on the logarithm until nothing moves any more.
    ///
    /// # Errors
    /// [`OutOfRange`] where no resistance has this temperature.
    pub fn resistance(
        &self,
        temperature: ThermodynamicTemperature,
    ) -> Result<ElectricalResistance, OutOfRange> {
        let most = self.turning_point();
        let coldest = self.inverse_temperature(most);
        let hottest = self.inverse_temperature(-most);
        let hottest = if hottest > 0.0 {
            1.0 / hottest
        } else {
            f64::INFINITY
        };
        let range = Range::new(
            ThermodynamicTemperature::from_base(1.0 / coldest),
            ThermodynamicTemperature::from_base(hottest),
        );
        let wanted = 1.0 / OutOfRange::check("temperature of the thermistor", temperature, range)?.base();
        let (mut low, mut high) = (-most, most);
        loop {
            let middle = f64::midpoint(low, high);
            if middle <= low || middle >= high {
                return Ok(ElectricalResistance::from_base(middle.exp()));
            }
            if self.inverse_temperature(middle) < wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
    }

    /// Relative slope at a temperature: change of resistance per kelvin and resistance.
    ///
    /// # Errors
    /// As for [`Self::resistance`].
    pub fn relative_slope(
        &self,
        temperature: ThermodynamicTemperature,
    ) -> Result<TemperatureCoefficient, OutOfRange> {
        let x = self.resistance(temperature)?.base().ln();
        let [_, b, c] = self.per_kelvin;
        let kelvin = temperature.base();
        Ok(TemperatureCoefficient::from_base(
            -1.0 / (kelvin * kelvin * (b + 3.0 * c * x * x)),
        ))
    }

    fn inverse_temperature(&self, x: f64) -> f64 {
        let [a, b, c] = self.per_kelvin;
        a + x * (b + c * x * x)
    }

    /// The logarithm of resistance, up and down from 1 Ω, to which the law falls: at most `e^±40` Ω.
    fn turning_point(&self) -> f64 {
        let [_, b, c] = self.per_kelvin;
        if c < 0.0 {
            (b / (-3.0 * c)).sqrt().min(40.0)
        } else {
            40.0
        }
    }
}

//! A thermometer input with an amplifier between divider and converter, as platinum thermometers need.

use quantity::si::{
    ElectricPotential, ElectricalResistance, Ratio, TemperatureInterval, ThermodynamicTemperature, volt,
};
use quantity::{Number, Range};

use super::{DividerInput, RtCurve};
use crate::{Formula, OutOfRange};

/// See [`amplified`].
pub static AMPLIFIED: Formula = Formula::new(
    "amplified",
    "Output of an amplifier with gain and offset",
    "U = g · (Uᵢ − Uₒ)",
    "common-practice",
    "",
);

/// Output of an amplifier with gain and offset.
///
/// `U = g · (Uᵢ − Uₒ)`
///
/// - `input`: at the amplifier; `offset`: input voltage that gives zero; `gain`: > 0.
///
/// Monotone in each. Leaves out: the limits of the output ([`AmplifierInput`] knows them).
///
/// # Source
/// A definition; common practice, no source.
#[must_use]
pub fn amplified(gain: Ratio, input: ElectricPotential, offset: ElectricPotential) -> ElectricPotential {
    gain * (input - offset)
}

/// A divider input with an amplifier before the converter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AmplifierInput {
    /// Pull-up, supply and converter.
    pub divider: DividerInput,
    /// Gain of the amplifier.
    pub gain: Ratio,
    /// Input voltage that gives zero.
    pub offset: ElectricPotential,
}

impl AmplifierInput {
    /// Voltage at the converter.
    ///
    /// # Errors
    /// [`OutOfRange`] where the amplifier would leave what the converter reads: it is at its stop there.
    pub fn voltage(&self, resistance: ElectricalResistance) -> Result<ElectricPotential, OutOfRange> {
        let output = amplified(self.gain, self.divider.voltage(resistance), self.offset);
        OutOfRange::check(
            "output of the amplifier",
            output,
            Range::new(volt(0.0), self.divider.reference),
        )
    }

    /// Converter reading before rounding.
    ///
    /// # Errors
    /// As for [`Self::voltage`].
    pub fn code(&self, resistance: ElectricalResistance) -> Result<Ratio, OutOfRange> {
        Ok(self.voltage(resistance)? / self.divider.step())
    }

    /// Temperature that one step stands for with a thermometer at a temperature.
    ///
    /// # Errors
    /// [`OutOfRange`] where the curve does not reach or the amplifier is at its stop.
    pub fn kelvin_per_step(
        &self,
        curve: &RtCurve,
        temperature: ThermodynamicTemperature,
    ) -> Result<TemperatureInterval, OutOfRange> {
        self.voltage(curve.resistance(temperature)?)?;
        let plain = self.divider.kelvin_per_step(curve, temperature)?;
        Ok(TemperatureInterval::from_base(plain.base() / self.gain.base()))
    }
}

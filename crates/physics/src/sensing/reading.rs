//! What a controller reads when it believes in another thermometer or another pull-up than it has.

use quantity::Number;
use quantity::si::{ElectricalResistance, TemperatureInterval, ThermodynamicTemperature};

use super::RtCurve;
use crate::{Formula, OutOfRange};

/// See [`assumed_resistance`].
pub static ASSUMED_RESISTANCE: Formula = Formula::new(
    "assumed-resistance",
    "Resistance that a wrong pull-up makes of a thermometer",
    "Rₐ = R · Rₚₐ / Rₚ",
    "iec-80000-6",
    "divider, solved twice",
);
/// See [`reading_error`].
pub static READING_ERROR: Formula = Formula::new(
    "reading-error",
    "Error of a temperature read with the wrong curve or pull-up",
    "Δϑ = ϑₐ(R(ϑ) · Rₚₐ / Rₚ) − ϑ",
    "iec-80000-6",
    "divider, solved twice",
);

/// Resistance that a controller computes from a divider if it believes in another pull-up than there is.
///
/// `Rₐ = R · Rₚₐ / Rₚ`, whatever the supply, as long as pull-up and converter share it.
///
/// Monotone in each.
///
/// # Source
/// The divider solved for the share with the real pull-up, then for the resistance with the assumed one; algebra.
#[must_use]
pub fn assumed_resistance(
    resistance: ElectricalResistance,
    assumed_pull_up: ElectricalResistance,
    pull_up: ElectricalResistance,
) -> ElectricalResistance {
    resistance * (assumed_pull_up / pull_up).base()
}

/// Temperature that a controller reads with an assumed curve and pull-up.
///
/// - `curve`, `pull_up`: as they are; `assumed`, `assumed_pull_up`: as the controller believes.
/// - `temperature`: of the thermometer.
///
/// # Errors
/// [`OutOfRange`] where one of the curves does not reach: the controller reads the end of its table or an error then.
pub fn reading(
    curve: &RtCurve,
    pull_up: ElectricalResistance,
    assumed: &RtCurve,
    assumed_pull_up: ElectricalResistance,
    temperature: ThermodynamicTemperature,
) -> Result<ThermodynamicTemperature, OutOfRange> {
    assumed.temperature(assumed_resistance(
        curve.resistance(temperature)?,
        assumed_pull_up,
        pull_up,
    ))
}

/// Error of a temperature read with an assumed curve and pull-up: positive where the reading is too hot.
///
/// `Δϑ = ϑₐ(R(ϑ) · Rₚₐ / Rₚ) − ϑ`
///
/// A reading too hot means that the part is colder than it should be; a reading too cold overheats it.
/// Monotone in both pull-ups; not in the temperature. For the tolerance of the thermometer, build `curve` inside the closure that
/// is given to [`crate::try_work`], from its tolerated resistance and beta.
///
/// # Errors
/// As for [`reading`].
///
/// # Source
/// Algebra over the divider; held against what the beta law makes of a maker's table.
pub fn reading_error(
    curve: &RtCurve,
    pull_up: ElectricalResistance,
    assumed: &RtCurve,
    assumed_pull_up: ElectricalResistance,
    temperature: ThermodynamicTemperature,
) -> Result<TemperatureInterval, OutOfRange> {
    let read = reading(curve, pull_up, assumed, assumed_pull_up, temperature)?;
    Ok(TemperatureInterval::from_base(read.base() - temperature.base()))
}

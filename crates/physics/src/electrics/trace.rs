//! Circuit-board traces: the current of a width, and the width of a current.

use quantity::Number;
use quantity::si::{ElectricCurrent, Length, TemperatureInterval};
use serde::Serialize;

use crate::{Formula, OutOfRange};

/// See [`trace_current`].
pub static TRACE_CURRENT: Formula = Formula::new(
    "trace-current",
    "Current of a circuit-board trace",
    "I = k · ΔT^0.44 · (w · d)^0.725",
    "ipc-2221",
    "charts, fitted",
);
/// See [`trace_width`].
pub static TRACE_WIDTH: Formula = Formula::new(
    "trace-width",
    "Width of a circuit-board trace",
    "w = (I / (k · ΔT^0.44))^(1/0.725) / d",
    "ipc-2221",
    "charts, fitted",
);

/// Where a trace lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Layer {
    /// On the outside, cooled by air.
    Outer,
    /// Between layers.
    Inner,
}

impl Layer {
    /// Factor of the fit, for ampere, kelvin and square mil.
    fn factor(self) -> f64 {
        match self {
            Self::Outer => 0.048,
            Self::Inner => 0.024,
        }
    }
}

/// One square mil, in which the fit counts cross-sections.
const SQUARE_MIL: f64 = 25.4e-6 * 25.4e-6;
const RISE_POWER: f64 = 0.44;
const AREA_POWER: f64 = 0.725;

/// Current that warms a circuit-board trace by a given rise.
///
/// `I = k · ΔT^0.44 · (w · d)^0.725`, with `k` = 0.048 outside and 0.024 inside for ampere, kelvin and square mil
///
/// - `width`, `thickness`: of the copper, > 0; 35 µm is usual.
/// - `rise`: above the board around it; the charts hold for 10 K to 100 K.
///
/// Monotone in each. Leaves out: neighbouring traces and planes, vias, ageing; the charts themselves scatter by some ten per cent.
///
/// # Errors
/// [`OutOfRange`] where an input is not positive.
///
/// # Source
/// [ipc-2221], as the usual fit to its charts; four makers' pages agree on the constants.
pub fn trace_current(
    width: Length,
    thickness: Length,
    rise: TemperatureInterval,
    layer: Layer,
) -> Result<ElectricCurrent, OutOfRange> {
    let width = OutOfRange::check_positive("width", width)?.base();
    let thickness = OutOfRange::check_positive("thickness", thickness)?.base();
    let rise = OutOfRange::check_positive("rise of temperature", rise)?.base();
    let area = width * thickness / SQUARE_MIL;
    Ok(ElectricCurrent::from_base(
        layer.factor() * rise.powf(RISE_POWER) * area.powf(AREA_POWER),
    ))
}

/// Width that a current needs for a given rise; the inverse of [`trace_current`].
///
/// # Errors
/// [`OutOfRange`] where an input is not positive.
///
/// # Source
/// As for [`trace_current`].
pub fn trace_width(
    current: ElectricCurrent,
    thickness: Length,
    rise: TemperatureInterval,
    layer: Layer,
) -> Result<Length, OutOfRange> {
    let current = OutOfRange::check_positive("current", current)?.base();
    let thickness = OutOfRange::check_positive("thickness", thickness)?.base();
    let rise = OutOfRange::check_positive("rise of temperature", rise)?.base();
    let area = (current / (layer.factor() * rise.powf(RISE_POWER))).powf(1.0 / AREA_POWER);
    Ok(Length::from_base(area * SQUARE_MIL / thickness))
}

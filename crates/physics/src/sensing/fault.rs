//! What a broken thermometer looks like at its input.

use quantity::si::{ElectricalResistance, Ratio, ThermodynamicTemperature, ohm};
use quantity::{Number, Range};
use serde::Serialize;

use super::{DividerInput, RtCurve};

/// What is wrong with a thermometer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ThermometerFault {
    /// A wire broken, a plug not seated.
    Open,
    /// The wires touch.
    Short,
}

/// How a fault shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaultLook {
    /// Converter reading.
    pub code: Ratio,
    /// Temperature that a controller reads if it trusts its curve: the end of the curve on that side.
    pub reads_as: ThermodynamicTemperature,
    /// Whether the controller sees a part that is too cold, and heats on: the dangerous side.
    pub looks_cold: bool,
}

/// How a broken thermometer looks at an input, and what a controller with this curve reads.
///
/// A thermistor that breaks looks cold, one that is shorted looks hot; a platinum thermometer the other way round. A controller
/// must refuse both by limits inside the ends of its curve.
#[must_use]
pub fn fault_look(input: &DividerInput, curve: &RtCurve, fault: ThermometerFault) -> FaultLook {
    let resistance = match fault {
        ThermometerFault::Open => ohm(f64::INFINITY),
        ThermometerFault::Short => ohm(0.0),
    };
    let range = curve.range();
    let looks_cold = rises(curve, range) == (fault == ThermometerFault::Short);
    FaultLook {
        code: input.code(resistance),
        reads_as: if looks_cold { range.low() } else { range.high() },
        looks_cold,
    }
}

/// The converter readings between which a healthy thermometer stays over a range of temperatures, lower one first.
///
/// Nothing where the curve does not cover the range. A limit set just outside these tells a broken thermometer at once.
#[must_use]
pub fn healthy_codes(
    input: &DividerInput,
    curve: &RtCurve,
    range: Range<ThermodynamicTemperature>,
) -> Option<Range<Ratio>> {
    let code = |temperature| {
        curve
            .resistance(temperature)
            .ok()
            .map(|resistance| input.code(resistance))
    };
    Some(Range::new(code(range.low())?, code(range.high())?))
}

fn rises(curve: &RtCurve, range: Range<ThermodynamicTemperature>) -> bool {
    let middle = ThermodynamicTemperature::from_base(f64::midpoint(range.low().base(), range.high().base()));
    let none: ElectricalResistance = ohm(0.0);
    let at = |temperature| curve.resistance(temperature).unwrap_or(none);
    at(range.high()) > at(middle)
}

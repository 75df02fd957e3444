//! The air around the board: as the machine's file states it, or as what warms it makes it.

use model::Swap;
use quantity::Value;
use quantity::si::ThermodynamicTemperature;

/// The air around the board while printing.
#[must_use]
pub fn in_case(swap: &Swap) -> Value<ThermodynamicTemperature> {
    let usual = swap.catalogue.limits().ambient_bay.value;
    swap.machine.case.air.map_or(usual, |stated| stated.value)
}

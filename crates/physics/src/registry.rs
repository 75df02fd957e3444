//! The list of all formulas, in reading order. A formula that is not listed is not held against anything.

use crate::{Formula, electrics};

/// Every formula of this crate.
pub static FORMULAS: &[&Formula] = &[
    // electrics
    &electrics::HEATER_POWER,
    &electrics::RATED_RESISTANCE,
    &electrics::RESISTIVE_CURRENT,
    &electrics::CURRENT_OF_POWER,
    &electrics::POWER_OF_CURRENT,
    &electrics::POWER_AT_VOLTAGE,
    &electrics::PARALLEL,
    &electrics::CURRENT_SUM,
    &electrics::POWER_SUM,
    &electrics::LOAD_SHARE,
    &electrics::STRIP_CURRENT,
    &electrics::FRAME_TIME,
    &electrics::COPPER_RESISTANCE,
    &electrics::COPPER_TEMPERATURE,
    &electrics::WIRE_RESISTANCE,
    &electrics::LEAD_RESISTANCE,
    &electrics::LEAD_DROP,
    &electrics::CONTACT_DROP,
    &electrics::VOLTAGE_AT_LOAD,
    &electrics::LOSS,
    &electrics::TRACE_CURRENT,
    &electrics::TRACE_WIDTH,
    &electrics::OPENING_TIME,
    &electrics::LEVEL_NEEDED,
    &electrics::HIGH_MARGIN,
    &electrics::LOW_MARGIN,
    &electrics::DIVIDER,
    &electrics::SERIES_RESISTOR,
    &electrics::FILTER_CORNER,
];

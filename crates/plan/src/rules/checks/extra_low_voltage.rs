//! Devices for more than extra-low voltage have no place at a port of the board.

use quantity::Value;

use crate::facts::{PairFacts, loads};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "extra-low-voltage";

/// The lowest voltage for which the device is made decides: a relay whose control input takes more too may stay.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(rated) = loads::rated(&pair.device().detail) else {
        return;
    };
    let lowest = Value::exact(rated.low());
    let limit = pair.limits().supply_extra_low_voltage_dc.value;
    if lowest.high() <= limit.low() {
        return;
    }
    judge.at_most(lowest, limit, Verdict::Blocker, || {
        Finding::new(
            format!(
                "{} is made for {}, and ports carry extra-low voltage only",
                pair.device_name(),
                rated.value
            ),
            "iec-60204-1",
        )
        .at(rated.place)
        .remedy(
            "describe the relay that switches it, with this load. A qualified person connects its mains side",
        )
    });
}

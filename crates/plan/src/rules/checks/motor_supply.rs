//! The supply of the motors against what their driver bears.

use quantity::Value;

use crate::facts::PairFacts;
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "motor-supply";

/// Above its range a driver is destroyed, below it does not start: both refuse the way.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(range) = pair.driver().and_then(|driver| driver.voltage) else {
        return;
    };
    let supply = pair.supply_voltage();
    let words = |end: &str| {
        let headline = format!(
            "the supply delivers between {} and {}. The driver of {} withstands {end} {}",
            brief(supply.low()),
            brief(supply.high()),
            pair.port_name(),
            if end == "at least" {
                brief(range.low())
            } else {
                brief(range.high())
            }
        );
        Finding::new(headline, "common-practice")
            .at(range.place)
            .remedy("use another driver, or another supply for the machine")
    };
    if supply.low() < range.low() {
        judge.at_least(supply, Value::exact(range.low()), Verdict::Blocker, || {
            words("at least")
        });
    } else {
        judge.at_most(supply, Value::exact(range.high()), Verdict::Blocker, || {
            words("at most")
        });
    }
}

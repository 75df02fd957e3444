//! The temperatures that are asked of a thermometer against those for which its element is published.

use quantity::{Number, Value, si};

use crate::facts::PairFacts;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "thermometer-element";

/// Above its range an element ages and drifts, and overshoot is read by guess: worth a caution, whatever the board is.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(at) = pair.thermometry() else { return };
    let usable = Value::exact(at.row.usable.high());
    let broken = if at.hot.high() > usable.low() {
        Verdict::Caution
    } else {
        Verdict::Note
    };
    let headroom = pair.limits().thermometer_headroom.value;
    let hottest = at
        .hot
        .map(|hot| si::ThermodynamicTemperature::from_base(hot.base() + headroom.high().base()));
    judge.at_most(hottest, usable, broken, || {
        let headline = format!(
            "{} works at up to {} and must be read {} above that. Its element is published up to {usable}",
            pair.device_name(),
            Value::exact(at.hot.high()),
            headroom
        );
        Finding::new(headline, "common-practice")
            .at(pair.device().place)
            .remedy("lower the working temperature, or fit an element for higher temperatures (its table is a setting)")
    });
}

//! The supply of the machine against what the board's input bears, and against what may be worked on at all.

use model::machine::Supply;
use quantity::Value;

use crate::facts::WholeFacts;
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "input-voltage";

/// A label outside the range is a blocker; where only a corner of the tolerance is outside, the supply can be trimmed or measured.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let Some((_, supply)) = facts.swap.machine.supplies().next() else {
        return;
    };
    touchable(facts, supply, judge);
    let (voltage, range) = (supply.voltage.value, &facts.board.input.voltage);
    let words = || {
        let headline = format!(
            "{} withstands {} at its input. The supply delivers {voltage}",
            facts.board.name, range.value
        );
        Finding::new(headline, "own-statement").at(range.place)
    };
    let (low, high) = (Value::exact(range.low()), Value::exact(range.high()));
    let outside = voltage.nominal() > range.high() || voltage.nominal() < range.low();
    let verdict = if outside {
        Verdict::Blocker
    } else {
        Verdict::Caution
    };
    let remedy = if outside {
        "choose a board for this supply, or another supply with heaters, fans and LEDs to match. Never try it out"
    } else {
        "measure the supply before you connect the board, unloaded and warm. Trim it to the middle of the range"
    };
    if voltage.low() < range.low() {
        judge.at_least(voltage, low, verdict, || words().remedy(remedy));
    } else {
        judge.at_most(voltage, high, verdict, || words().remedy(remedy));
    }
}

/// Above extra-low voltage this is work for other people and other rules.
fn touchable(facts: &WholeFacts<'_>, supply: &Supply, judge: &mut Judge) {
    let limit = facts.limits().supply_extra_low_voltage_dc.value;
    if supply.voltage.high() <= limit.low() {
        return;
    }
    judge.at_most(supply.voltage.value, limit, Verdict::Blocker, || {
        let headline = format!(
            "a supply of {} is no extra-low voltage: nothing here holds for it",
            supply.voltage
        );
        Finding::new(headline, "iec-60204-1")
            .about(Subject::named("extra-low voltage"))
            .at(supply.voltage.place)
            .remedy("leave it to a qualified person under the local codes")
    });
}

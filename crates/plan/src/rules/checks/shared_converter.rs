//! Devices with converters of their own that could share one.

use quantity::Value;
use quantity::si::{ElectricCurrent, ElectricPotential};

use crate::facts::{PairFacts, WholeFacts, loads};
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "shared-converter";

/// Two or more of one voltage: one converter for the sum of their currents is cheaper than one for each.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let own = || facts.pairs().filter(|pair| pair.way.own_supply);
    for pair in own() {
        let Some(voltage) = rated(pair) else { continue };
        let same = || own().filter(move |other| rated(other) == Some(voltage));
        let first = same().next().is_some_and(|first| first.id == pair.id);
        if !first || same().count() < 2 {
            continue;
        }
        judge.say(Verdict::Note, || {
            let names: Vec<&str> = same().map(|pair| pair.device_name()).collect();
            let total: Value<ElectricCurrent> = same().filter_map(|pair| pair.current()).sum();
            let voltage = Value::exact(voltage);
            let words = format!(
                "{} each get a converter to {voltage}. One rated for at least {} serves them together",
                names.join(", "),
                Value::exact(total.high())
            );
            Finding::new(words, "common-practice")
                .about(Subject::named(voltage.to_string()))
                .remedy("buy one instead, and bring its output to each of them with a fuse in each cable")
        });
    }
}

fn rated(pair: &PairFacts<'_>) -> Option<ElectricPotential> {
    loads::rated_voltage(&pair.device().detail).map(|voltage| voltage.nominal())
}

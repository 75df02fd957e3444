//! The parts that a way adds, an external switch or a converter, against what they have to carry and what feeds them.

use catalogue::Part;
use quantity::Value;
use quantity::si::{ElectricCurrent, ElectricPotential};

use crate::facts::PairFacts;
use crate::facts::feed::Source;
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "part-rating";

/// A part that mends a way is held against the same two questions as a port: its current for long, and the voltage that it is made for.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let feed = pair.feed();
    let (part, input) = match &feed.source {
        Source::Converter(own) => (own.part, own.input),
        Source::ExternalSwitch(_) => (feed.external_switch(pair.site), pair.supply_voltage()),
        Source::Rail(_) | Source::Nothing => return,
    };
    let Some(part) = part else { return };
    voltage(pair, part, input, judge);
    if let (Some(rating), Some(current)) = (part.current, pair.current()) {
        carries(
            pair,
            part,
            rating,
            (current, pair.long_current().unwrap_or(current)),
            judge,
        );
    }
}

/// The part in front of the device, for whoever reads several of one pair.
fn about(pair: &PairFacts<'_>, what: &str) -> Subject {
    Subject {
        device: Some(pair.device().tag.value.clone()),
        port: Some(pair.port_name().to_owned()),
        other: Some(what.to_owned()),
    }
}

fn carries(
    pair: &PairFacts<'_>,
    part: &Part,
    rating: Value<ElectricCurrent>,
    (current, long): (Value<ElectricCurrent>, Value<ElectricCurrent>),
    judge: &mut Judge,
) {
    let share = pair.limits().port_continuous_share.value;
    let words = |judged: Value<ElectricCurrent>, when: &str| {
        let headline = format!(
            "{} draws up to {}{when} through its {}. That is rated for {rating}",
            pair.device_name(),
            Value::exact(judged.high()),
            part.name
        );
        Finding::new(headline, "common-practice")
            .about(about(pair, "current"))
            .remedy(format!(
                "use one rated for at least {}, and write its current into the parts of the swap",
                Value::exact(judged.high() / share.low())
            ))
    };
    if current.high() > rating.low() {
        judge.at_most(current, rating, Verdict::Blocker, || words(current, ""));
    } else {
        judge.at_most(long, share * rating, Verdict::Caution, || {
            words(long, " continuously")
        });
    }
}

fn voltage(pair: &PairFacts<'_>, part: &Part, input: Value<ElectricPotential>, judge: &mut Judge) {
    let Some(made_for) = part.input else { return };
    let words = || {
        let headline = format!(
            "the {} of {} works from {} to {} and gets {input}",
            part.name,
            pair.device_name(),
            Value::exact(made_for.low()),
            Value::exact(made_for.high())
        );
        Finding::new(headline, "common-practice")
            .about(about(pair, "voltage"))
            .remedy(format!(
                "use one made for {input}, and write its input into the parts of the swap"
            ))
    };
    if input.low() < made_for.low() {
        judge.at_least(input, Value::exact(made_for.low()), Verdict::Blocker, words);
    } else {
        judge.at_most(input, Value::exact(made_for.high()), Verdict::Blocker, words);
    }
}

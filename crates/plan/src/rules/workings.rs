//! Workings that several checks show the same way.

use model::Element;
use model::machine::Detail;
use physics::{electrics, named, work, work_many};
use quantity::si::{ElectricCurrent, Ratio};
use quantity::{Value, WireSize};

use crate::facts::budget::{Line, State, inputs};
use crate::facts::{PairFacts, loads};
use crate::rules::judging::Finding;

/// With the sum of currents that a finding is about.
pub(crate) fn with_sum(finding: Finding, lines: &[Line<'_, ElectricCurrent>]) -> Finding {
    let worked = work_many(
        &electrics::CURRENT_SUM,
        "I",
        inputs("Iₙ", lines),
        electrics::current_sum,
    );
    finding.working(worked.working)
}

/// With how the limit for long of a part came about: a share of its rating.
pub(crate) fn with_long_rating(
    finding: Finding,
    share: Value<Ratio>,
    what: &str,
    rating: Value<ElectricCurrent>,
) -> Finding {
    let inputs = (
        named("s", "share of the rating that may flow for long", share),
        named("Iᵣ", format!("rating of {what}"), rating),
    );
    let worked = work(&electrics::CONTINUOUS_CURRENT, "I", inputs, |(share, rating)| {
        electrics::continuous_current(share, rating)
    });
    finding.working(worked.working)
}

/// With how the current of a heater came about in each of these states, cold only once for a track that has the same
/// resistance hot; other currents are stated.
pub(crate) fn with_heater_current(pair: &PairFacts<'_>, states: &[State], mut finding: Finding) -> Finding {
    let (Detail::Heater(heater), Some(voltage)) = (&pair.device().detail, pair.device_voltage()) else {
        return finding;
    };
    if heater.relay.is_some() {
        return finding;
    }
    let states = if heater.element == Element::Copper {
        states
    } else {
        &states[..1]
    };
    for state in states {
        let (temperature, when) = match state {
            State::HeatUp => (pair.limits().ambient_cold_start.value, "cold"),
            State::Hot => (heater.working_temperature.value, "at its working temperature"),
        };
        let inputs = (
            named("U", "voltage at the beginning of its lead", voltage),
            named(
                "R",
                format!("resistance of the heater, {when}"),
                loads::resistance_at(heater, temperature),
            ),
        );
        let worked = work(&electrics::RESISTIVE_CURRENT, "I", inputs, |(u, r)| {
            electrics::resistive_current(u, r)
        });
        finding = finding.working(worked.working);
    }
    finding
}

/// With how what a guard lets pass came about; `what` says of what the multiple is.
pub(crate) fn with_overload(
    finding: Finding,
    (multiple, what): (Value<Ratio>, String),
    rating: Value<ElectricCurrent>,
    (bears, wire): (Value<ElectricCurrent>, WireSize),
) -> Finding {
    let inputs = (
        named("k₂", what, multiple),
        named("Iₙ", "its rating", rating),
        named("I_z", format!("what {wire} bears in a bundle"), bears),
    );
    let worked = work(
        &electrics::OVERLOAD_SHARE,
        "s",
        inputs,
        |(multiple, rating, bears)| electrics::overload_share(multiple, rating, bears),
    );
    finding.working(worked.working)
}

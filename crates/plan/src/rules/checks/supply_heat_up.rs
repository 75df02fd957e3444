//! How long the supply gives more than it likes for long while everything heats up from cold at once.

use quantity::si::{Power, Time};
use quantity::{Number, Value, si};

use crate::facts::WholeFacts;
use crate::facts::budget::{State, sum};
use crate::facts::heat_up::{FOLLOWED_S, HeatUp, against_rating, rating};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "supply-heat-up";

/// Too long warms the supply beyond what it is made for: a caution. Whether it gives the peak at all is the matter of `supply-power`.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let (Some(rated), Some((id, supply))) = (rating(facts.swap), facts.swap.machine.supplies().next()) else {
        return;
    };
    let limits = facts.limits();
    let level = limits.supply_continuous_share.value * rated;
    let cold = facts.budget().supply(State::HeatUp);
    let peak = sum(cold);
    let limit = limits.supply_overload_time.value;
    let about = |finding: Finding| {
        let finding = finding
            .about(Subject::device(facts.swap.machine.device(id).tag.value.clone()))
            .at(supply.power.place);
        finding.workings(against_rating(facts.swap, cold))
    };
    let remedy = || "heat the bed first, then the hot end, with the motors released. Where that is too slow, use a stronger supply";
    let none = Value::exact(Time::from_base(0.0));
    // Everything takes most when cold: what the cold machine does not exceed is not followed.
    if peak.high() <= level.low() {
        judge.at_most(none, limit, Verdict::Caution, || {
            let headline = format!(
                "the supply stays within its continuous rating while all heats up from cold: at most {} of {}",
                brief(peak.high()),
                brief(level.low())
            );
            about(Finding::new(headline, "common-practice")).remedy(remedy())
        });
        return;
    }
    let heat_up = HeatUp::of(facts);
    if !heat_up.unknown.is_empty() {
        judge.say(Verdict::Note, || {
            let names: Vec<String> = heat_up
                .unknown
                .iter()
                .map(|id| crate::facts::pair::name_of(facts.swap.machine.device(*id)))
                .collect();
            let headline = format!(
                "how long the supply gives more than {} while all heats up is open. Heat capacity and loss of {} are not stated",
                brief(level.low()),
                names.join(", ")
            );
            about(Finding::new(headline, "common-practice"))
                .remedy("add heat_capacity, or bodies, and thermal_conductance to the heater")
        });
        return;
    }
    let (nominal, longest) = heat_up.above(level);
    let followed = si::second(FOLLOWED_S);
    let value = Value::between(
        Time::from_base(0.0),
        nominal.unwrap_or(followed),
        longest.unwrap_or(followed),
    );
    judge.at_most(value, limit, Verdict::Caution, || {
        let headline = words(peak, level, longest);
        about(Finding::new(headline, "common-practice")).remedy(remedy())
    });
}

fn words(peak: Value<Power>, level: Value<Power>, longest: Option<Time>) -> String {
    let long = longest.map_or_else(
        || "and does not fall below it once all is warm".to_owned(),
        |time| format!("for up to {}", brief(time)),
    );
    format!(
        "the supply gives up to {} while all heats up from cold. That is above its continuous {} {long}",
        brief(peak.high()),
        brief(level.low())
    )
}

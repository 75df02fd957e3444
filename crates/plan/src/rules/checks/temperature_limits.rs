//! What is asked of a heated part against what its parts, its sensor and its cut-out are made for.

use model::machine::{Detail, Thermometer};
use quantity::si::ThermodynamicTemperature;
use quantity::{Number, Value};

use crate::facts::heating::{Heating, WeakPart};
use crate::facts::{PairFacts, WholeFacts};
use crate::rules::checks::attainable_temperature::about;
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "temperature-limits";

/// Work that is itself beyond what something bears is a blocker; overshoot that is, a caution. A cut-out must leave the work alone.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for heating in facts.heated() {
        parts(heating, judge);
        cut_out(heating, judge);
        if let Some(pair) = facts.thermometer(heating) {
            sensor(heating, pair, judge);
        }
    }
}

/// The checks of the sensor look as far as its own file says that it works.
fn sensor(heating: &Heating<'_>, pair: &PairFacts<'_>, judge: &mut Judge) {
    let Detail::Thermometer(Thermometer {
        working_temperature: Some(own),
        ..
    }) = &pair.device().detail
    else {
        return;
    };
    let asked = Value::exact(heating.working().high());
    // A part cannot be hotter than what heats it is let get: either of the two may be the slip, and a setpoint too high is not seen in the other.
    if own.low() > asked.high() {
        judge.at_most(Value::exact(own.low()), asked, Verdict::Caution, || {
            let headline = format!(
                "{} is stated to work at {}, and {} heats to {} at most. They are of one part",
                pair.device_name(),
                brief(own.nominal()),
                heating.name(),
                brief(asked.nominal())
            );
            Finding::new(headline, "own-statement")
                .about(about(heating, Some("sensor")))
                .at(own.place)
                .remedy("state the same `working_temperature` for both, the highest setpoint in °C")
        });
        return;
    }
    if own.high() >= asked.high() {
        return;
    }
    judge.at_least(Value::exact(own.high()), asked, Verdict::Caution, || {
        let headline = format!(
            "{} is stated for up to {}, and {} for up to {}. They are of one part",
            pair.device_name(),
            brief(own.high()),
            heating.name(),
            brief(asked.nominal())
        );
        Finding::new(headline, "own-statement")
            .about(about(heating, Some("sensor")))
            .at(own.place)
            .remedy("state the same `working_temperature` for both, the highest setpoint. The checks of the sensor look no further")
    });
}

fn parts(heating: &Heating<'_>, judge: &mut Judge) {
    let weak = heating.weak_parts();
    let at_work = |part: &WeakPart| heating.held_at(part, heating.working());
    let room = |part: &WeakPart| part.bears.low().base() - at_work(part).high().base();
    let Some(worst) = weak.iter().min_by(|one, other| room(one).total_cmp(&room(other))) else {
        return;
    };
    let words = |value: Value<ThermodynamicTemperature>, with: &str| {
        let headline = format!(
            "{} works at up to {}{with}. There {} reaches {}; its limit is {}",
            heating.name(),
            brief(heating.working().high()),
            worst.name,
            brief(value.high()),
            worst.bears
        );
        Finding::new(headline, "common-practice")
            .about(about(heating, Some("parts")))
            .at(heating.heater.working_temperature.place)
            .remedy("lower the setpoint, or fit a part or sensor that is rated for it. Never set a temperature above the limit of its weakest part")
    };
    let work = at_work(worst);
    if work.high() > worst.bears.low() {
        // A part whose limit the work passes only at the ends of both tolerances may be the right part.
        let broken = if work.nominal() > worst.bears.nominal() {
            Verdict::Blocker
        } else {
            Verdict::Caution
        };
        judge.at_most(work, worst.bears, broken, || words(work, ""));
        return;
    }
    let overshot = heating.held_at(worst, heating.overshot());
    judge.at_most(overshot, worst.bears, Verdict::Caution, || {
        words(overshot, ", with its overshoot")
    });
}

fn cut_out(heating: &Heating<'_>, judge: &mut Judge) {
    let Some(cut_out) = heating.heater.cut_out else {
        return;
    };
    let asked = Value::exact(heating.working().high());
    let overshot = Value::exact(heating.overshot().high());
    judge.graded_from_below(cut_out.value, overshot, asked, || {
        let headline = format!(
            "the cut-out of {} opens at {}. Its setpoint is up to {}, {} with overshoot",
            heating.name(),
            cut_out.value,
            brief(asked.nominal()),
            brief(overshot.nominal())
        );
        let window = heating.cut_out_window().map_or_else(
            || "lower the setpoint: no cut-out fits between it and the limit of its weakest part".to_owned(),
            |(from, to)| format!("fit one that opens between {} and {}", brief(from), brief(to)),
        );
        Finding::new(headline, "common-practice")
            .about(about(heating, Some("cut-out")))
            .at(cut_out.place)
            .remedy(window)
    });
}

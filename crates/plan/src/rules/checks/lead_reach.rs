//! Whether the lead reaches its new place.

use physics::{mechanics, named, work_many};
use quantity::Value;

use crate::facts::PairFacts;
use crate::facts::place::Route;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "lead-reach";

/// The way along the walls to the new port against that to the old one, with what a lead is taken to have left over.
///
/// The plan adds an extension lead where it is too short.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(reach) = pair.reach() else { return };
    let (way, bound) = (
        Value::exact(reach.new_way.length()),
        Value::exact(reach.reaches()),
    );
    judge.at_most(way, bound, Verdict::Caution, || {
        let headline = format!(
            "{} must reach {way} into the case for {}; at its old port it reached {} and {} is taken to be left over",
            pair.device_name(),
            pair.port_name(),
            Value::exact(reach.old_way.length()),
            Value::exact(reach.reserve)
        );
        let missing = reach
            .missing()
            .map_or_else(String::new, |missing| format!(" of at least {}", Value::exact(missing)));
        let to = |way: Route, port: &str| {
            vec![
                named("lₙ", "along the walls to the edge of the board", Value::exact(way.along)),
                named("lₙ", format!("over the board to {port}"), Value::exact(way.over)),
            ]
        };
        let new = work_many(&mechanics::LENGTH_SUM, "l", to(reach.new_way, pair.port_name()), mechanics::length_sum);
        let mut old = to(reach.old_way, "its old port");
        old.push(named("lₙ", "what is taken to be left over there", Value::exact(reach.reserve)));
        let old = work_many(&mechanics::LENGTH_SUM, "l", old, mechanics::length_sum);
        Finding::new(headline, "common-practice")
            .at(pair.device().cable.length.place)
            .working(new.working)
            .working(old.working)
            .remedy(format!(
                "lay the lead to the place first; where it does not reach, put in an extension{missing}"
            ))
    });
}

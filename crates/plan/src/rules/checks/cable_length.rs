//! Whether the lead reaches its new place.

use physics::{Working, mechanics, named, work_many};
use quantity::Value;

use crate::facts::PairFacts;
use crate::facts::harness::ActionKind;
use crate::facts::place::Route;
use crate::facts::reach::{self, By, Reach};
use crate::rules::judging::{Finding, Handling, Judge, Side, Subject, Verdict};

pub(crate) const ID: &str = "cable-length";

/// The way along the walls to the new port against how far the lead reaches into the case: by its length and its way outside, else by its old
/// port with what a lead is taken to have left over; a new one by all of its length.
///
/// The plan adds an extension lead where it is too short.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    if let Some(needed) = reach::too_short_for_old(pair) {
        judge.say(Verdict::Caution, || contradiction(pair, Value::exact(needed)));
    }
    let Some(reach) = pair.reach() else { return };
    let (way, bound) = (Value::exact(reach.new_way.length()), Value::exact(reach.reaches));
    if reach.by == By::Length && reach.missing().is_none() {
        // All of it inside the case is its best; what lies outside is for its owner to say.
        judge.say(Verdict::Note, || {
            let headline = format!(
                "whether {} reaches {way} into the case for {} is open. {}",
                pair.device_name(),
                pair.port_name(),
                known(pair, &reach)
            );
            Finding::new(headline, "common-practice")
                .against(way, Side::AtMost, bound)
                .at(pair.device().cable.length.place)
                .working(to(reach.new_way, pair.port_name()))
                .asking()
                .remedy("lay the cable to the place first, or measure what lies outside the case and state it as `outside`")
        });
        return;
    }
    let extended = pair.job().extend.is_some();
    judge.dealt(extended).at_most(way, bound, Verdict::Caution, || {
        let headline = format!(
            "{} must reach {way} into the case for {}. {}",
            pair.device_name(),
            pair.port_name(),
            known(pair, &reach)
        );
        let missing = reach.missing().map_or_else(String::new, |missing| {
            format!(" of at least {}", Value::exact(missing))
        });
        let new = to(reach.new_way, pair.port_name());
        let row = extended.then(|| Handling::wiring(&pair.device().tag.value, ActionKind::Extend));
        let finding = Finding::new(headline, "common-practice");
        row.into_iter()
            .fold(finding, Finding::handled_by)
            .at(pair.device().cable.length.place)
            .working(new)
            .workings(old(&reach))
            .remedy(format!(
                "lay the cable to the place first. Where it does not reach, fit an extension{missing}"
            ))
    });
}

fn known(pair: &PairFacts<'_>, reach: &Reach) -> String {
    let length = pair.device().cable.length;
    match (reach.by, reach.old_way) {
        (By::OldPort(reserve), Some(old)) => format!(
            "It reached {} at its old port, and {} of reserve is assumed",
            Value::exact(old.length()),
            Value::exact(reserve)
        ),
        (By::Outside(outside), _) => format!(
            "Of its {length} {} lie outside, so it reaches {}",
            Value::exact(outside),
            Value::exact(reach.reaches)
        ),
        _ => format!("It is {length} long, and its length outside the case (`outside`) is not stated"),
    }
}

fn old(reach: &Reach) -> Option<Working> {
    let (By::OldPort(reserve), Some(way)) = (reach.by, reach.old_way) else {
        return None;
    };
    let mut lengths = parts(way, "its old port");
    lengths.push(named(
        "lₙ",
        "what is taken to be left over there",
        Value::exact(reserve),
    ));
    Some(work_many(&mechanics::LENGTH_SUM, "l", lengths, mechanics::length_sum).working)
}

fn to(way: Route, port: &str) -> Working {
    work_many(
        &mechanics::LENGTH_SUM,
        "l",
        parts(way, port),
        mechanics::length_sum,
    )
    .working
}

fn parts(way: Route, port: &str) -> Vec<physics::Named<quantity::si::Length>> {
    vec![
        named(
            "lₙ",
            "along the walls to the edge of the board",
            Value::exact(way.along),
        ),
        named("lₙ", format!("over the board to {port}"), Value::exact(way.over)),
    ]
}

/// A lead that is shorter than its own way on the old board.
fn contradiction(pair: &PairFacts<'_>, needed: Value<quantity::si::Length>) -> Finding {
    let cable = &pair.device().cable;
    let headline = format!(
        "the cable of {} is stated as {} long. Its way to its old port takes {needed}",
        pair.device_name(),
        cable.length
    );
    Finding::new(headline, "own-statement")
        .about(Subject::aspect(pair.device(), "old way"))
        .at(cable.length.place)
        .remedy("measure the cable and correct `length`, `outside`, or the place where cables enter the case")
}

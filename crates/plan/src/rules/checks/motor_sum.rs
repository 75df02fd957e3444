//! The currents of all motors together, where the board's maker states a limit for them.

use model::machine::Detail;
use physics::{electrics, named, work_many};
use quantity::Value;

use crate::facts::{PairFacts, WholeFacts};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "motor-sum";

/// Effective run currents against `motor_current` of the input.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let Some(limit) = facts.board.input.motor_current else {
        return;
    };
    let run = |pair: &PairFacts<'_>| match &pair.device().detail {
        Detail::Motor(motor) => Some(motor.run_current),
        _ => None,
    };
    let total: Value<_> = facts.pairs().filter_map(&run).sum();
    judge.at_most(total, limit.value, Verdict::Blocker, || {
        let headline = format!(
            "all motors together run at up to {}. {} gives its drivers {}",
            Value::exact(total.high()),
            facts.board.name,
            limit.value
        );
        let inputs = facts
            .pairs()
            .filter_map(|pair| run(pair).map(|current| named("Iₙ", pair.device_name().to_owned(), current)))
            .collect();
        let worked = work_many(&electrics::CURRENT_SUM, "I", inputs, electrics::current_sum);
        Finding::new(headline, "own-statement")
            .at(limit.place)
            .working(worked.working)
            .remedy("set lower run currents, or choose a board with more for its drivers")
    });
}

//! What hangs on each rail that the board makes, against what the rail gives.

use model::RailSource;
use model::board::RailId;
use physics::{electrics, work_many};
use quantity::Value;

use crate::facts::WholeFacts;
use crate::facts::budget::{State, inputs, sum};
use crate::facts::rails;
use crate::rules::judging::{Finding, Judge, Subject};

pub(crate) const ID: &str = "rail-budget";

/// The board's own use, the loads, and the rails that this one feeds.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let budget = facts.budget();
    let share = facts.limits().rail_continuous_share.value;
    for (at, rail) in facts.board.rails.iter().enumerate() {
        let Some(made) = &rail.made else { continue };
        let lines = budget.rail(RailId(at), State::HeatUp);
        let total = sum(lines);
        // A supply from outside may be weaker than the rail that it feeds.
        let rating = rails::rating(facts.swap, facts.board, RailId(at)).unwrap_or(made.current);
        judge.graded(total, share * rating.value, rating.value, || {
            let headline = format!(
                "the rail {1} carries up to {0}. It is rated for {2}",
                Value::exact(total.high()),
                rail.name,
                rating.value
            );
            let kind = match made.source.value {
                RailSource::External => "use a stronger supply for it",
                RailSource::Linear | RailSource::Switching => "give LEDs or fans a dedicated converter",
            };
            let finding = Finding::new(headline, "common-practice")
                .about(Subject::named(rail.name.to_string()))
                .at(rating.place)
                .remedy(format!(
                    "{kind}. Use at most {share} of the rating of a rail continuously"
                ));
            if lines.is_empty() {
                return finding;
            }
            let worked = work_many(
                &electrics::CURRENT_SUM,
                "I",
                inputs("Iₙ", lines),
                electrics::current_sum,
            );
            finding.working(worked.working)
        });
    }
}

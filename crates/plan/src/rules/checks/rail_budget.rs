//! What hangs on each rail that the board makes, against what the rail gives.

use model::RailSource;
use model::board::RailId;
use physics::{electrics, work_many};
use quantity::Value;

use crate::facts::WholeFacts;
use crate::facts::budget::{State, inputs, sum};
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
        let rating = made.current;
        judge.graded(total, share * rating.value, rating.value, || {
            let headline = format!(
                "up to {} hang on the rail {}, which gives {}",
                Value::exact(total.high()),
                rail.name,
                rating.value
            );
            let kind = match made.source.value {
                RailSource::External => "a stronger supply for it",
                RailSource::Linear | RailSource::Switching => "give lights or fans a converter of their own",
            };
            let finding = Finding::new(headline, "common-practice")
                .about(Subject::named(rail.name.to_string()))
                .at(rating.place)
                .remedy(format!("{kind}: rails hold {share} of their rating for long"));
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

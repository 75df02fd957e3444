//! What hangs on each rail that the board makes, against what the rail gives.

use model::board::RailId;
use model::{Located, RailSource};
use physics::{electrics, work_many};
use quantity::Value;

use crate::facts::WholeFacts;
use crate::facts::budget::{State, inputs, sum};
use crate::facts::rails::{Outside, fed_from_outside};
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
        let mut rating = made.current;
        if let Some(Outside::Supply(_, supply)) = fed_from_outside(facts.swap, facts.board, RailId(at)) {
            let gives = supply.power.value / supply.voltage.value;
            if gives.low() < rating.low() {
                rating = Located {
                    value: gives,
                    place: supply.power.place,
                };
            }
        }
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

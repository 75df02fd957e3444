//! The power of everything against what the supply can give: at heat-up with a cold bed, and once all is hot.

use quantity::Value;
use quantity::si::Power;

use crate::facts::WholeFacts;
use crate::facts::budget::{Drawn, Line, State, sum};
use crate::facts::heat_up::{against_rating, rating};
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "supply-power";

/// Heaters can take turns, so too much for all together is a caution; too much for the strongest heater alone is a blocker.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let (Some(gives), Some((id, supply))) = (rating(facts.swap), facts.swap.machine.supplies().next()) else {
        return;
    };
    let tag = &facts.swap.machine.device(id).tag.value;
    let budget = facts.budget();
    let cold = budget.supply(State::HeatUp);
    let about = |finding: Finding, when: &str, lines: &[Line<'_, Power>]| {
        let finding = finding
            .about(Subject {
                device: Some(tag.clone()),
                other: Some(when.to_owned()),
                port: None,
            })
            .at(supply.power.place);
        finding.workings(against_rating(facts.swap, lines))
    };
    let alone = strongest_alone(cold);
    if alone.high() > gives.low() {
        judge.at_most(alone, gives, Verdict::Blocker, || {
            let headline = format!(
                "the strongest heater and all but the other heaters take up to {} when cold. The supply is rated for {}",
                Value::exact(alone.high()),
                gives
            );
            let finding = Finding::new(headline, "own-statement").remedy("use a stronger supply, or a weaker heater");
            about(finding, "heat-up", cold)
        });
    } else {
        judge.at_most(sum(cold), gives, Verdict::Caution, || {
            let headline = format!(
                "everything together takes up to {} while it heats up from cold. The supply is rated for {}",
                Value::exact(sum(cold).high()),
                gives
            );
            let finding = Finding::new(headline, "own-statement")
                .remedy("let the heaters take turns: the bed first, then the hot end, motors off meanwhile");
            about(finding, "heat-up", cold)
        });
    }
    let hot = budget.supply(State::Hot);
    let share = facts.limits().supply_continuous_share.value;
    judge.at_most(sum(hot), share * gives, Verdict::Caution, || {
        let headline = format!(
            "once hot, everything together takes up to {}. Use at most {share} of the supply's {} continuously",
            Value::exact(sum(hot).high()),
            gives
        );
        let finding = Finding::new(headline, "common-practice")
            .remedy("feel the supply's case in a long print. Where it gets hot, use a stronger one");
        about(finding, "hot", hot)
    });
}

/// All that is no heater, and of the heaters the strongest.
fn strongest_alone(lines: &[Line<'_, Power>]) -> Value<Power> {
    let is_heater = |line: &&Line<'_, Power>| matches!(line.what, Drawn::Heater(..));
    let strongest = lines
        .iter()
        .filter(is_heater)
        .max_by(|one, other| one.amount.high().value.total_cmp(&other.amount.high().value));
    let rest = lines
        .iter()
        .filter(|line| !is_heater(line))
        .map(|line| line.amount);
    rest.chain(strongest.map(|line| line.amount)).sum()
}

//! The sum of all currents through the input of the board.

use quantity::Value;

use crate::facts::budget::{State, bound, sum};
use crate::facts::feed::EXTERNAL_SWITCH;
use crate::facts::harness::Part;
use crate::facts::{WholeFacts, name_of};
use crate::rules::judging::{Finding, Judge, Side, Subject, Verdict};
use crate::rules::workings::{with_long_rating, with_sum};

pub(crate) const ID: &str = "input-current";

/// At heat-up all of the rating may flow, for long a share of it. The strongest heater is moved off where that is what it takes.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let budget = facts.budget();
    let rating = facts.board.input.current;
    if let Some(id) = budget.moved {
        let heater = facts.swap.machine.device(id);
        judge.mended(Part::one(EXTERNAL_SWITCH), || {
            let lines = budget.input_with_all_on_board();
            let total = sum(lines);
            let bound = Value::exact(bound(facts.site));
            // The fuse opens before the terminals are loaded, or the other way round.
            let (whose, place) = match facts.board.input.fuse {
                Some(fuse) if bound.high() < rating.low() => {
                    (format!("the {bound} that open its fuse of {}", fuse.value), fuse.place)
                }
                _ => (format!("its {}", rating.value), rating.place),
            };
            let headline = format!(
                "{} goes over an external switch. With it the input of {} would carry up to {} at heat-up, above {whose}",
                name_of(heater),
                facts.board.name,
                Value::exact(total.high())
            );
            with_sum(Finding::new(headline, "own-statement"), lines)
                .about(Subject { device: Some(heater.tag.value.clone()), ..Subject::default() })
                .against(total, Side::AtMost, bound)
                .at(place)
                .remedy("let its output drive an external switch. Give that a fuse and a cable of its own from the supply")
        });
    }
    let heat_up = budget.input(State::HeatUp);
    judge.at_most(sum(heat_up), rating.value, Verdict::Blocker, || {
        let headline = format!(
            "the input of {} carries up to {} at heat-up. It is rated for {}",
            facts.board.name,
            Value::exact(sum(heat_up).high()),
            rating.value
        );
        with_sum(Finding::new(headline, "own-statement"), heat_up)
            .about(Subject::named("heat-up"))
            .at(rating.place)
            .remedy(
                "take heaters off the board by external switches, or choose a board with a stronger input",
            )
    });
    let hot = budget.input(State::Hot);
    let share = facts.limits().input_continuous_share.value;
    judge.at_most(sum(hot), share * rating.value, Verdict::Caution, || {
        let headline = format!(
            "the input of {} carries up to {} once all is hot. Use at most {share} of its {} continuously",
            facts.board.name,
            Value::exact(sum(hot).high()),
            rating.value
        );
        let finding = with_sum(Finding::new(headline, "common-practice"), hot);
        with_long_rating(finding, share, "the input of the board", rating.value)
            .about(Subject::named("hot"))
            .at(rating.place)
            .remedy("feel the terminals after a long print, with the power off. Move the bed to an external switch where they are hot")
    });
}

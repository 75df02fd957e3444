//! Directions: what turned an axis the right way on the old board, with the new coil order and driver taken into account.

use model::Direction;
use model::machine::Detail;
use physics::direction::Sense;

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    let machine = &job.setup.swap.machine;
    for pair in job.setup.pairs() {
        let Detail::Motor(motor) = &pair.device().detail else {
            continue;
        };
        // A second motor on the driver turns as the first one does: a setting of its own it has not.
        if pair.way.second {
            continue;
        }
        let axis = machine.axis(motor.axis);
        let tag = pair.device().tag.value.clone();
        let old = axis
            .old_direction
            .as_ref()
            .map(|old| job.written(old, SettingValue::words(old.value.word())));
        let draft = match pair.facts().direction() {
            Some(change) => {
                let fate = if change.new == change.old { Fate::Carried } else { Fate::Recomputed };
                let reason = sentence(change.old_sense, change.new_sense);
                Draft::new(Topic::Direction, tag, fate, reason)
                    .value(SettingValue::words(change.new.word()))
                    .source("stepping-motors-book")
            }
            None => Draft::new(
                Topic::Direction,
                tag,
                Fate::MeasureAgain,
                "It cannot be predicted: the old port, its coil order or the old setting is not known. Try it at low current.",
            )
            .value(SettingValue::words(Direction::Normal.word())),
        };
        list.push(draft.old(old).at(&pair));
    }
}

fn sentence(old: Sense, new: Sense) -> String {
    let word = |sense| match sense {
        Sense::Same => "with",
        Sense::Opposite => "against",
    };
    let same = old == new;
    format!(
        "Lead, socket and driver together turned the motor {} a rising signal on the old board and turn it {} on the new one: {}.",
        word(old),
        word(new),
        if same {
            "the setting stays"
        } else {
            "the setting turns round"
        }
    )
}

//! Whatever was captured and no other translator took: nothing in the swap changes it.

use model::Topic;

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, Old, SettingValue};

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for value in job.reports.iter().flat_map(|report| &report.values) {
        if list.find(value.topic, &value.of).is_some() {
            continue;
        }
        let Some(old) = job.old(value.topic, &value.of) else {
            continue;
        };
        let new = old.value.clone();
        if value.topic == Topic::WarmUpFan {
            list.push(fan(job, &value.of, &old, list));
            continue;
        }
        let known = job
            .setup
            .swap
            .machine
            .axes
            .iter()
            .any(|axis| axis.name.value == value.of)
            || value.of.chars().count() > 1;
        let draft = if known {
            Draft::new(
                value.topic,
                value.of.clone(),
                Fate::Carried,
                "Nothing in this swap changes it.",
            )
            .value(new)
        } else {
            Draft::new(
                value.topic,
                value.of.clone(),
                Fate::Dropped,
                "The machine file knows no axis of this letter.",
            )
        };
        list.push(draft.old(Some(old)));
    }
}

/// The speed of the part fan counts otherwise where full speed is another number.
fn fan(job: &Job<'_>, of: &str, old: &Old, list: &List<'_>) -> Draft {
    let full = |slot: Option<model::Slot<'_>>| slot.and_then(|slot| slot.word.full);
    let before = full(job.old_dialect.slot(Topic::WarmUpFan, of));
    let after = full(list.slot(Topic::WarmUpFan, of));
    let number = old.value.any().map(|value| value.nominal);
    let draft = |fate, reason: String| Draft::new(Topic::WarmUpFan, of, fate, reason).old(Some(old.clone()));
    match (before, after, number) {
        (Some(before), Some(after), Some(number)) if (before - after).abs() > 1e-9 => draft(
            Fate::Recomputed,
            format!(
                "Full speed counted as {} and counts as {}.",
                SettingValue::Number(before),
                SettingValue::Number(after)
            ),
        )
        .value(SettingValue::Number((number * after / before).round())),
        (before, after, _) if before == after && (before.is_some() || job.same_words()) => {
            draft(Fate::Carried, "Nothing in this swap changes it.".to_owned()).value(old.value.clone())
        }
        _ => draft(
            Fate::MeasureAgain,
            "What full speed counts as is not known of both controllers; `full` in their words would tell."
                .to_owned(),
        ),
    }
}

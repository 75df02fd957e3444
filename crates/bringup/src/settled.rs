//! Which findings the plan deals with: each place that a finding names is looked for in the wiring table, the settings and the steps.

use plan::{Handling, Plan, Row};
use settings::{Fate, Settings, Untold};

use crate::step::Step;

/// The plan with what is left to do about each of its findings.
#[must_use]
pub fn settled<'a>(plan: Plan<'a>, settings: &Settings, steps: &[Step]) -> Plan<'a> {
    let rows = plan::cables(&plan);
    let mut plan = plan.settled(|place| stands_in(place, &rows, settings, steps));
    plan.settings_to_change = Some(settings.that_change());
    plan
}

/// Whether a place of the plan is there: a row with that work and its part, a setting that has a new value, a step.
#[must_use]
pub fn stands_in(place: &Handling, rows: &[Row], settings: &Settings, steps: &[Step]) -> bool {
    match place {
        Handling::Wiring { tag, work, part } => rows.iter().filter(|row| row.tag == *tag).any(|row| {
            let has = |name: &String| row.parts.iter().any(|part| part.name == *name);
            row.actions.iter().any(|action| action.kind == *work) && part.as_ref().is_none_or(has)
        }),
        Handling::Setting { id } => settings.settings.iter().any(|setting| {
            let open = matches!(setting.untold, Some(Untold::Doubtful(_)));
            setting.id == *id && setting.new.is_some() && setting.fate != Fate::Dropped && !open
        }),
        Handling::Step { .. } => is_in_steps(place, steps),
    }
}

/// Whether a place of the plan is one of these steps, or a part of one.
#[must_use]
pub fn is_in_steps(place: &Handling, steps: &[Step]) -> bool {
    let Handling::Step { family, of } = place else {
        return false;
    };
    steps.iter().any(|step| {
        // Equal steps are one with a part for each place, which keeps its identifier.
        let parts = step.parts.iter().map(|part| (&part.id, &part.tags));
        core::iter::once((&step.id, &step.tags))
            .chain(parts)
            .any(|(id, tags)| {
                let (own, name) = id.split_once(':').unwrap_or((id, ""));
                own == family
                    && of
                        .as_ref()
                        .is_none_or(|of| name == of || tags.iter().any(|tag| tag == of))
            })
    })
}

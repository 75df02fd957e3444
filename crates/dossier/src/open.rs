//! What is left to do about the findings of a board: what to decide first, then what no board changes, then what the plan deals with.

use std::collections::BTreeMap;

use document::{Block, Section, Text};
use physics::Chance;
use plan::{Disposition, Finding, Handling, Plan, Stake, Verdict};

use crate::words::{held, plural, sentence};

/// The counts in a sentence: "0 blockers, 4 to decide; 9 handled by the plan, 3 limits of the machine, 1 accepted".
pub(crate) fn counts(plan: &Plan<'_>) -> Text {
    let open = plan.to_decide();
    let blockers = plan.count(Verdict::Blocker);
    let count = |disposition| plan.disposed(disposition).len();
    let text = Text::of(format!(
        "{}, {} to decide; {} handled by the plan",
        plural(blockers, "blocker", "blockers"),
        open.len() - blockers,
        count(Disposition::Handled),
    ));
    let machine = count(Disposition::AsTheMachineIs);
    let text = match machine {
        0 => text,
        _ => text.and(format!(
            ", {}",
            plural(machine, "limit of the machine", "limits of the machine")
        )),
    };
    match count(Disposition::Accepted) {
        0 => text,
        accepted => text.and(format!(", {accepted} accepted")),
    }
}

/// What a person has to decide, the worst first, each with what to do and what that takes.
pub(crate) fn to_decide(plan: &Plan<'_>, chances: &[(&Finding, Chance)]) -> Option<Block> {
    let open = plan.to_decide();
    let items = open.iter().map(|finding| {
        let chance = chances
            .iter()
            .find(|(other, _)| std::ptr::eq(*other, *finding))
            .map(|(_, chance)| *chance);
        item(plan, finding, chance)
    });
    let list = Block::ordered(items.collect::<Vec<_>>());
    (!open.is_empty()).then(|| Section::new("To decide", vec![list]).into())
}

fn item(plan: &Plan<'_>, finding: &Finding, chance: Option<Chance>) -> Text {
    let mut text = Text::default();
    if finding.verdict == Verdict::Blocker {
        text = text.strong("Blocker. ");
    }
    if finding.stake == Stake::Safety {
        text = text.strong("People and fire: ");
    }
    text = text.and_marked(&sentence(&finding.headline));
    if let Some(remedy) = &finding.remedy {
        text = text.strong(" Do: ").and_marked(&sentence(remedy));
    }
    if let Some(refused) = finding.acceptance.as_ref().and_then(|own| own.refused.as_ref()) {
        text = text
            .and(" ")
            .and_marked(&sentence(&format!("not accepted: {refused}")));
    }
    let mut notes = Vec::new();
    if let Some((price, minutes)) = plan.effort(finding) {
        notes.push(price.map_or_else(|| "price not stated".to_owned(), |price| price.to_string()));
        notes.push(format!("{minutes} min"));
    }
    notes.extend(chance.map(failing));
    let mut aside = Text::default();
    for note in notes {
        aside = aside.quiet(format!("{note}; "));
    }
    text.and(" (").join(aside).code(&finding.id).and(")")
}

/// "fails in 12 % of trials".
fn failing(chance: Chance) -> String {
    let failing = Chance {
        held: chance.draws - chance.held,
        ..chance
    };
    match held(failing).0.as_str() {
        "all" => "fails in every trial".to_owned(),
        "none" => format!("fails in none of {} trials", chance.draws),
        share => format!("fails in {share} of trials"),
    }
}

/// Limits of the machine, said once. What can hurt somebody says what to do as well.
pub(crate) fn of_machine(plan: &Plan<'_>) -> Option<Block> {
    let found = plan.disposed(Disposition::AsTheMachineIs);
    let items = found.iter().map(|finding| {
        let mut text = Text::default();
        if finding.stake == Stake::Safety {
            text = text.strong("People and fire: ");
        }
        text = text.and_marked(&sentence(&finding.headline));
        if let (Some(remedy), true) = (&finding.remedy, finding.stake == Stake::Safety) {
            text = text.strong(" Do: ").and_marked(&sentence(remedy));
        }
        text.and(" (").code(&finding.id).and(")")
    });
    let list = Block::list(items.collect::<Vec<_>>());
    (!found.is_empty()).then(|| Section::new("Limits of the machine, whatever the board", vec![list]).into())
}

/// Where the plan deals with what it handles; each finding where all are asked for.
pub(crate) fn handled(plan: &Plan<'_>, all: bool) -> Option<Block> {
    let found = plan.disposed(Disposition::Handled);
    if found.is_empty() {
        return None;
    }
    let blocks = if all {
        let items = found.iter().map(|finding| {
            let places: Vec<String> = finding.handled_by.iter().map(Handling::words).collect();
            Text::default()
                .code(&finding.id)
                .and(format!(": {}", places.join(", ")))
        });
        vec![Block::list(items.collect::<Vec<_>>())]
    } else {
        vec![Block::say(format!("{}.", places(&found).join("; ")))]
    };
    Some(Section::new("Handled by the plan", blocks).into())
}

/// "wiring rows H1, H2; settings direction:MX, jumper:J2; steps poles:PS".
fn places(found: &[&Finding]) -> Vec<String> {
    let mut named: BTreeMap<u8, Vec<String>> = BTreeMap::new();
    for place in found.iter().flat_map(|finding| &finding.handled_by) {
        let (kind, name) = match place {
            Handling::Wiring { tag, .. } => (0, tag.clone()),
            Handling::Setting { id } => (1, id.clone()),
            Handling::Step { family, of } => {
                let of = of.as_ref().map_or_else(String::new, |of| format!(":{of}"));
                (2, format!("{family}{of}"))
            }
        };
        let names = named.entry(kind).or_default();
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let kinds = ["wiring rows", "settings", "steps"];
    named
        .into_iter()
        .map(|(kind, names)| format!("{} {}", kinds[usize::from(kind)], names.join(", ")))
        .collect()
}

/// Who accepted what, and why; each finding where all are asked for.
pub(crate) fn accepted(plan: &Plan<'_>) -> Option<Block> {
    let found = plan.disposed(Disposition::Accepted);
    let items = found.iter().map(|finding| {
        let (by, reason) = finding
            .acceptance
            .as_ref()
            .map_or(("", ""), |own| (own.by.as_str(), own.reason.as_str()));
        Text::default()
            .code(&finding.id)
            .and(format!(" by {by}: "))
            .and(sentence(reason))
    });
    let list = Block::list(items.collect::<Vec<_>>());
    (!found.is_empty()).then(|| Section::new("Accepted", vec![list]).into())
}

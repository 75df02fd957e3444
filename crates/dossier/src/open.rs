//! What is left to do about the findings of a board: what to decide first, then what no board changes, then what the plan deals with.
//!
//! A screen says the verdict, the room and the first thing to do of each; the rest opens with `explain`.

use std::collections::BTreeMap;

use document::{Block, Section, Text};
use physics::Chance;
use plan::{Disposition, Finding, Handling, Plan, Stake, Verdict};

use crate::words::{first_clause, held, plural, room_of, sentence, thousands};

/// The counts in a sentence: "0 blockers, 4 to decide; 9 handled by the plan, 3 limits of the machine, 1 accepted".
pub(crate) fn counts(plan: &Plan<'_>) -> Text {
    let open = plan.to_decide();
    let blockers = plan.count(Verdict::Blocker);
    let unknown = plan
        .with(Verdict::Blocker)
        .iter()
        .filter(|finding| finding.open.is_some())
        .count();
    let count = |disposition| plan.disposed(disposition).len();
    let mut said = format!(
        "{}{}, {} to decide; {} handled by the plan",
        plural(blockers - unknown, "blocker", "blockers"),
        match unknown {
            0 => String::new(),
            count => format!(", {count} open that block until a fact is known"),
        },
        open.len().saturating_sub(blockers),
        count(Disposition::Handled),
    );
    let machine = count(Disposition::AsTheMachineIs);
    if machine > 0 {
        said += &format!(
            ", {}",
            plural(machine, "limit of the machine", "limits of the machine")
        );
    }
    let accepted = count(Disposition::Accepted);
    if accepted > 0 {
        said += &format!(", {accepted} accepted");
    }
    Text::of(said)
}

/// What a person has to decide, the worst first, each with what to do and what that takes.
pub(crate) fn to_decide(plan: &Plan<'_>, chances: &[(&Finding, Chance)], all: bool) -> Option<Block> {
    let open = plan.to_decide();
    let list = Block::ordered(items(plan, &open, chances, all));
    (!open.is_empty()).then(|| Section::new("To decide", vec![list]).into())
}

/// The first points that a person has to decide, without a heading, and how many there are besides.
pub(crate) fn first(plan: &Plan<'_>, chances: &[(&Finding, Chance)], most: usize) -> Vec<Block> {
    let open = plan.to_decide();
    let mut items = items(plan, &open, chances, false);
    if items.is_empty() {
        return vec![Block::say("Nothing is left to decide.")];
    }
    let left = items.len().saturating_sub(most);
    items.truncate(most);
    let mut blocks = vec![Block::ordered(items)];
    if left > 0 {
        blocks.push(Block::say(
            Text::of(format!("And {left} more, in "))
                .code("report.html")
                .and("."),
        ));
    }
    blocks
}

/// Limits of the machine, said once.
pub(crate) fn of_machine(plan: &Plan<'_>, chances: &[(&Finding, Chance)], all: bool) -> Option<Block> {
    let found = plan.disposed(Disposition::AsTheMachineIs);
    let list = Block::list(items(plan, &found, chances, all));
    (!found.is_empty()).then(|| Section::new("Limits of the machine, whatever the board", vec![list]).into())
}

/// One item for each finding; of a check that asks for the same thing several times one item, which names the others.
fn items(plan: &Plan<'_>, found: &[&Finding], chances: &[(&Finding, Chance)], all: bool) -> Vec<Text> {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for finding in found {
        let alike = |group: &&mut Vec<&Finding>| !all && is_alike(group[0], finding);
        match groups.iter_mut().find(alike) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    groups
        .iter()
        .map(|group| item(plan, group, chances, all))
        .collect()
}

/// Whether two findings come from one check and ask for the same thing: the first words of what to do.
fn is_alike(one: &Finding, other: &Finding) -> bool {
    const WORDS: usize = 4;
    let same = one.check == other.check
        && one.verdict == other.verdict
        && one.stake == other.stake
        && one.open.is_some() == other.open.is_some();
    let asked = |finding: &'_ Finding| -> Vec<String> {
        let words = finding.remedy.as_deref().unwrap_or_default().split(' ');
        words.take(WORDS).map(str::to_owned).collect()
    };
    same && one.acceptance.is_none() && other.acceptance.is_none() && asked(one) == asked(other)
}

fn item(plan: &Plan<'_>, group: &[&Finding], chances: &[(&Finding, Chance)], all: bool) -> Text {
    let finding = group[0];
    let said = |words: &str| {
        let (first, left) = if all { (words, "") } else { first_clause(words) };
        // What is left out is shown to be.
        let end = if left.is_empty() { "" } else { " …" };
        Text::marked(&sentence(first)).and(end)
    };
    let mut text = Text::default();
    if finding.open.is_some() {
        text = text.strong("Open, at worst: ");
    } else if finding.verdict == Verdict::Blocker {
        text = text.strong("Blocker. ");
    }
    if finding.stake == Stake::Safety {
        text = text.strong("People and fire: ");
    }
    text = text.join(said(&finding.headline));
    if let Some(remedy) = &finding.remedy {
        text = text.strong(" Do: ").join(said(remedy));
    }
    if let Some(refused) = finding.acceptance.as_ref().and_then(|own| own.refused.as_ref()) {
        text = text
            .and(" ")
            .and_marked(&sentence(&format!("not accepted: {refused}")));
    }
    text = text.and(" (");
    for note in notes(plan, finding, chances) {
        text = text.quiet(format!("{note}; "));
    }
    text = text.code(&finding.id);
    for (at, other) in group[1..].iter().enumerate() {
        text = text.and(if at == 0 { "; also " } else { ", " }).code(&other.id);
        if let Some(margin) = other.margin {
            text = text.quiet(format!(" {}", room_of(other, margin)));
        }
    }
    text.and(")")
}

/// What it takes, what is left to the limit, and how often that fails.
fn notes(plan: &Plan<'_>, finding: &Finding, chances: &[(&Finding, Chance)]) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some((price, minutes)) = plan.effort(finding) {
        notes.push(price.map_or_else(|| "price not stated".to_owned(), |price| price.to_string()));
        notes.push(format!("{minutes} min"));
    }
    notes.extend(finding.margin.map(|margin| room_of(finding, margin)));
    // A draw is one of the usual interval: it says nothing of the machine.
    let drawn = chances.iter().filter(|_| finding.open.is_none());
    let mut own = drawn.filter(|(other, _)| std::ptr::eq(*other, finding));
    notes.extend(own.next().map(|(_, chance)| failing(*chance)));
    notes
}

/// "fails in 12 % of trials".
pub(crate) fn failing(chance: Chance) -> String {
    let failing = Chance {
        held: chance.draws - chance.held,
        ..chance
    };
    match held(failing).0.as_str() {
        "all" => "fails in every trial".to_owned(),
        "none" => format!("fails in none of {} trials", thousands(chance.draws)),
        share => format!("fails in {share} of trials"),
    }
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
        vec![Block::say(format!("{}.", places(&found)))]
    };
    Some(Section::new("Handled by the plan", blocks).into())
}

/// "10 findings: wiring rows H1, BP; 7 settings; 9 steps".
fn places(found: &[&Finding]) -> String {
    let mut named: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for place in found.iter().flat_map(|finding| &finding.handled_by) {
        let (kind, name) = match place {
            Handling::Wiring { tag, .. } => ("wiring", tag.clone()),
            other @ Handling::Setting { .. } => ("settings", other.words()),
            other @ Handling::Step { .. } => ("steps", other.words()),
        };
        let names = named.entry(kind).or_default();
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let words = |(kind, names): (&str, Vec<String>)| match kind {
        "wiring" => format!("wiring rows {}", names.join(", ")),
        "settings" => plural(names.len(), "setting", "settings"),
        _ => plural(names.len(), "step", "steps"),
    };
    // Wiring first: the order of the bench.
    let mut kinds: Vec<(&str, Vec<String>)> = named.into_iter().collect();
    kinds.sort_by_key(|(kind, _)| *kind != "wiring");
    let words: Vec<String> = kinds.into_iter().map(words).collect();
    format!(
        "{}: {}",
        plural(found.len(), "finding", "findings"),
        words.join("; ")
    )
}

/// Who accepted what, and why.
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn failures_are_counted_and_never_rounded_to_none() {
        let of = |held| failing(Chance { held, draws: 10_000 });
        assert_eq!(of(10_000), "fails in none of 10\u{a0}000 trials");
        assert_eq!(of(0), "fails in every trial");
        assert_eq!(of(9_999), "fails in 0.010 % of trials");
    }
}

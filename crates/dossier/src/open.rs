//! What is left to do about the findings of a board: what to decide first, then what no board changes, then what the plan deals with.
//!
//! The first screen gives each a line or two, worst harm first; the rest opens with `explain` and `--all`.

use document::{Block, Brief, Entry, Fitted, Section, Text};
use physics::Chance;
use plan::{Disposition, Finding, Handling, Plan, Stake, Verdict};

use crate::words::{first_clause, held, plural, room_of, sentence, thousands};

/// The counts in a sentence: "0 blockers, 4 to decide; 9 handled by the plan, 3 limits of the machine, 1 accepted".
pub(crate) fn counts(plan: &Plan<'_>) -> Text {
    let open = plan.to_decide();
    let blockers = plan.count(Verdict::Blocker);
    let count = |disposition| plan.disposed(disposition).len();
    let mut said = format!(
        "{}, {} to decide; {} handled by the plan",
        plan.blocking(),
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
pub(crate) fn to_decide(plan: &Plan<'_>, chances: &[(&Finding, Chance)]) -> Option<Block> {
    let open = plan.to_decide();
    let list = Block::ordered(items(plan, &open, chances, true));
    (!open.is_empty()).then(|| Section::new("To decide", vec![list]).into())
}

/// How many lines the first screen has for entries and their headings: 25 without title, counts, a blank line and the last remark.
const ROOM: usize = 25 - 4;

/// The columns of the narrowest terminal for which the lines are counted.
const COLUMNS: usize = 80;

/// What a person has to decide and what no board changes, at one look, and how many of these had no room. Blockers and what can hurt
/// people or burn are never left out.
pub(crate) fn brief(plan: &Plan<'_>, chances: &[(&Finding, Chance)]) -> (Block, usize) {
    let (open, machine) = (plan.to_decide(), plan.disposed(Disposition::AsTheMachineIs));
    let [mut open, mut machine] = [&open, &machine].map(|found| {
        // What presses comes first; among alike the order stays.
        let mut groups = grouped(found, false);
        groups.sort_by_key(|group| !presses(group[0]));
        groups
    });
    let entries = |groups: &[Vec<&Finding>], pressing: usize, others: usize| -> Vec<Entry> {
        let each = groups.iter().map(|group| {
            let lines = if presses(group[0]) { pressing } else { others };
            (lines > 0).then(|| entry(plan, group, chances, lines))
        });
        each.flatten().collect()
    };
    let lines = |groups: &[Vec<&Finding>], pressing: usize, others: usize| -> usize {
        let entries = entries(groups, pressing, others);
        let lines = entries.iter().flat_map(|entry| &entry.lines);
        let each = lines.map(|line| line.lines_at(COLUMNS - entries[0].mark().len()));
        usize::from(!groups.is_empty()) + each.sum::<usize>()
    };
    // Lines of an entry: what presses to decide, what else is to decide, what presses of the machine, what else it has.
    let ways = [
        [2, 2, 2, 1],
        [2, 1, 2, 1],
        [2, 1, 1, 1],
        [2, 1, 1, 0],
        [1, 1, 1, 0],
    ];
    // What is not served comes with its reasons as long as all else has room for it; they and their heading come off that.
    let beside = |unserved: &[Entry]| {
        let lines = unserved.iter().flat_map(|entry| &entry.lines);
        let each = lines.map(|line| line.lines_at(COLUMNS - unserved[0].mark().len()));
        ROOM.saturating_sub(usize::from(!unserved.is_empty()) + each.sum::<usize>())
    };
    let fits = |way: &&[usize; 4], room: usize| {
        lines(&open, way[0], way[1]) + lines(&machine, way[2], way[3]) <= room
    };
    let [whole, short, names] = [2, 1, 0].map(|lines| unserved(plan, lines));
    let unserved = [whole, short]
        .into_iter()
        .find(|unserved| ways.iter().any(|way| fits(&way, beside(unserved))))
        .unwrap_or(names);
    let room = beside(&unserved);
    let way = ways
        .iter()
        .find(|way| fits(way, room))
        .unwrap_or(&ways[ways.len() - 1]);
    let findings = |groups: &[Vec<&Finding>]| groups.iter().map(Vec::len).sum::<usize>();
    let found = findings(&open) + findings(&machine);
    if way[3] == 0 {
        machine.retain(|group| presses(group[0]));
    }
    while lines(&open, way[0], way[1]) + lines(&machine, way[2], way[3]) > room
        && open.last().is_some_and(|group| !presses(group[0]))
    {
        open.pop();
    }
    let left = found - findings(&open) - findings(&machine);
    let group = |title: &str, groups: &[Vec<&Finding>], pressing: usize, others: usize| Brief {
        title: Text::of(title),
        entries: entries(groups, pressing, others),
    };
    let groups = [
        group(
            "To decide (! = blocker, or people and fire)",
            &open,
            way[0],
            way[1],
        ),
        Brief {
            title: Text::of("Not served"),
            entries: unserved,
        },
        group(
            "Limits of the machine, whatever the board",
            &machine,
            way[2],
            way[3],
        ),
    ];
    let groups = groups.into_iter().filter(|group| !group.entries.is_empty());
    (Block::Brief(groups.collect()), left)
}

/// The wishes that are not served and the devices that are left off: each with its reason on a line of its own, each with it on one line, or
/// all by their names alone.
fn unserved(plan: &Plan<'_>, lines: usize) -> Vec<Entry> {
    let is_lost = |finding: &&Finding| finding.check == plan::WISHES && finding.verdict == Verdict::Note;
    let lost = || plan.findings.iter().filter(is_lost);
    let entry = |lines: Vec<Fitted>| Entry {
        presses: false,
        lines,
    };
    if lines == 0 {
        let name = |finding: &Finding| {
            let subject = [&finding.subject.other, &finding.subject.device];
            subject.into_iter().flatten().next().cloned().unwrap_or_default()
        };
        let names: Vec<String> = lost().map(name).collect();
        let all = Fitted::new(Text::of(names.join(", ")), Text::default().code(plan::WISHES));
        return if names.is_empty() {
            Vec::new()
        } else {
            vec![entry(vec![all])]
        };
    }
    let each = lost().map(|finding| {
        // The name of the wish stands in front; that it is not served is the heading.
        let said = finding.headline.split_once("is not served: ");
        let said = said.map_or(finding.headline.as_str(), |(_, said)| said);
        let (what, why) = said
            .split_once(", since ")
            .or_else(|| said.split_once(": "))
            .map_or((said, None), |(what, why)| (what, Some(why)));
        let what = match &finding.subject.other {
            Some(wish) => format!("{wish}: {what}"),
            None => what.to_owned(),
        };
        let what = Text::marked(&sentence(&what));
        let why = why.map(|why| Text::marked(&sentence(why)));
        let name = Text::default().code(&finding.id);
        match why {
            Some(why) if lines == 1 => entry(vec![Fitted::new(what.and(" ").join(why), name)]),
            why => entry(
                std::iter::once(Fitted::new(what, name))
                    .chain(why.map(|why| Fitted::new(why, "")))
                    .collect(),
            ),
        }
    });
    each.collect()
}

/// Whether a finding stops the swap, or stakes people or fire.
fn presses(finding: &Finding) -> bool {
    finding.verdict == Verdict::Blocker || finding.stake == Stake::Safety
}

/// What was found with its margin, then what to do with the name to ask for; on one line where there is no room for two.
fn entry(plan: &Plan<'_>, group: &[&Finding], chances: &[(&Finding, Chance)], lines: usize) -> Entry {
    let finding = group[0];
    let mut head = Text::default();
    if finding.open.is_some() {
        head = head.strong("Open: ");
    } else if finding.verdict == Verdict::Blocker {
        head = head.strong("Blocker: ");
    }
    let head = head.join(shortened(&finding.headline));
    // One name stands for those of the same check, each with what follows the check.
    let mut names = Text::default().code(&finding.id);
    for other in &group[1..] {
        names = names.and(", ");
        names = match other.id.split_once(':') {
            Some((_, own)) if other.check == finding.check => names.and(own),
            _ => names.code(&other.id),
        };
    }
    let refused = finding.acceptance.as_ref().and_then(|own| own.refused.as_ref());
    if lines < 2 {
        let head = match refused {
            Some(refused) => Text::default()
                .strong("Not accepted: ")
                .and_marked(refused)
                .and(". ")
                .join(head),
            None => head,
        };
        let margin = finding
            .margin
            .map(|margin| format!("{} ", room_of(finding, margin)));
        let tail = Text::of(margin.unwrap_or_default()).join(names);
        return Entry {
            presses: presses(finding),
            lines: vec![Fitted::new(head, tail)],
        };
    }
    let notes = notes(plan, finding, chances, true);
    let notes = if notes.is_empty() {
        String::new()
    } else {
        format!("({})", notes.join("; "))
    };
    let remedy = finding.remedy.as_deref().unwrap_or("See why.");
    let mut action = Text::default().strong("Do: ").join(shortened(remedy));
    if let Some(refused) = refused {
        action = Text::default()
            .strong("Not accepted: ")
            .and_marked(refused)
            .and(". ")
            .join(action);
    }
    Entry {
        presses: presses(finding),
        lines: vec![Fitted::new(head, notes), Fitted::new(action, names)],
    }
}

/// The first clause, and that more follows.
pub(crate) fn shortened(words: &str) -> Text {
    let (first, left) = first_clause(words);
    let end = if left.is_empty() { "" } else { " …" };
    Text::marked(&sentence(first)).and(end)
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
pub(crate) fn of_machine(plan: &Plan<'_>, chances: &[(&Finding, Chance)]) -> Option<Block> {
    let found = plan.disposed(Disposition::AsTheMachineIs);
    let list = Block::list(items(plan, &found, chances, true));
    (!found.is_empty()).then(|| Section::new("Limits of the machine, whatever the board", vec![list]).into())
}

/// One item for each finding; of a check that asks for the same thing several times one item, which names the others.
fn items(plan: &Plan<'_>, found: &[&Finding], chances: &[(&Finding, Chance)], all: bool) -> Vec<Text> {
    grouped(found, all)
        .iter()
        .map(|group| item(plan, group, chances, all))
        .collect()
}

/// Each finding by itself where all are asked for, else those together that ask for the same thing: of one check, or of one device.
fn grouped<'f>(found: &[&'f Finding], all: bool) -> Vec<Vec<&'f Finding>> {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for finding in found.iter().copied() {
        let alike = |group: &&mut Vec<&Finding>| !all && is_alike(group[0], finding);
        match groups.iter_mut().find(alike) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    groups
}

/// Whether two findings ask for the same thing: of one check by the first words of what to do, of one device by all of them.
fn is_alike(one: &Finding, other: &Finding) -> bool {
    const WORDS: usize = 4;
    let same = one.verdict == other.verdict
        && one.stake == other.stake
        && one.open.is_some() == other.open.is_some();
    let asked = |finding: &'_ Finding| -> Vec<String> {
        let words = finding.remedy.as_deref().unwrap_or_default().split(' ');
        words.take(WORDS).map(str::to_owned).collect()
    };
    let alike = if one.check == other.check {
        asked(one) == asked(other)
    } else {
        one.subject.device.is_some()
            && one.subject.device == other.subject.device
            && one.remedy == other.remedy
    };
    same && one.acceptance.is_none() && other.acceptance.is_none() && alike
}

fn item(plan: &Plan<'_>, group: &[&Finding], chances: &[(&Finding, Chance)], all: bool) -> Text {
    let finding = group[0];
    let said = |words: &str| {
        if all {
            Text::marked(&sentence(words))
        } else {
            shortened(words)
        }
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
    for note in notes(plan, finding, chances, false) {
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
fn notes(plan: &Plan<'_>, finding: &Finding, chances: &[(&Finding, Chance)], short: bool) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(effort) = plan.effort(finding) {
        notes.push(effort.words());
    }
    notes.extend(finding.margin.map(|margin| room_of(finding, margin)));
    // A draw is one of the usual interval: it says nothing of the machine.
    let drawn = chances.iter().filter(|_| finding.open.is_none());
    let mut own = drawn.filter(|(other, _)| std::ptr::eq(*other, finding));
    notes.extend(own.next().and_then(|(_, chance)| match short {
        true => rarely(*chance),
        false => Some(failing(*chance)),
    }));
    notes
}

/// "fails in 12 %"; nothing where it always fails, since the margin says so.
fn rarely(chance: Chance) -> Option<String> {
    if chance.held == 0 {
        return None;
    }
    if chance.held == chance.draws {
        return Some(format!("fails in 0 of {}", thousands(chance.draws)));
    }
    failing(chance).strip_suffix(" of trials").map(str::to_owned)
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

/// Where the plan deals with what it handles.
pub(crate) fn handled(plan: &Plan<'_>) -> Option<Block> {
    let found = plan.disposed(Disposition::Handled);
    let items = found.iter().map(|finding| {
        let places: Vec<String> = finding.handled_by.iter().map(Handling::words).collect();
        Text::default()
            .code(&finding.id)
            .and(format!(": {}", places.join(", ")))
    });
    let list = Block::list(items.collect::<Vec<_>>());
    (!found.is_empty()).then(|| Section::new("Handled by the plan", vec![list]).into())
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

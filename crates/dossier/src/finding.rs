//! Findings: one opened, what has to be settled first, every check by group, and the list of a command.

use document::{Block, Card, Column, Fold, Mark, Opens, Origin, Row, Section, Table, Text};
use physics::Chance;
use plan::{Disposition, Finding, Group, Handling, Limit, Plan, Side, Verdict};

use crate::about::{About, mark, title_of};
use crate::words::{capital, counted, first_sentence, room_of, sentence, spare_of};
use crate::{open, tolerances};

/// Begins the place of a finding in the proof, where the page has a place for it too.
const PROOF: &str = "proof-";

/// Blockers and cautions by what is left to do: what a person decides in full, the rest a line each that opens.
pub(crate) fn open_points(about: &About<'_>, chances: &[(&Finding, Chance)]) -> Vec<Block> {
    let plan = about.plan;
    let mut blocks = vec![Block::say(
        open::counts(plan).and(". What can hurt people or burn comes first."),
    )];
    let how = |finding: &Finding| {
        let place = about.anchor(finding).unwrap_or_default();
        Block::remark(Text::default().link(Some(&format!("{PROOF}{place}")), "How this came about"))
    };
    let card_of = |finding: &Finding| {
        let numbers = numbers(finding).into_iter().chain(fails(finding, chances));
        let blocks = numbers.chain(to_do(finding)).chain([how(finding)]);
        card(about, finding, blocks.collect())
    };
    // A line that opens: the plan deals with it, or somebody has looked at it.
    let line_of = |finding: &Finding, aside: Text| {
        let (title, rest) = first_sentence(&finding.headline);
        let rest = Some(rest).filter(|rest| !rest.is_empty());
        let rest = rest.map(|rest| Block::say(Text::marked(&sentence(rest))));
        let inside = rest
            .into_iter()
            .chain(numbers(finding))
            .chain(fails(finding, chances));
        let fold = Fold {
            id: about.anchor(finding).unwrap_or_default().to_owned(),
            verdict: Some((mark(finding.verdict), finding.verdict.word().to_owned())),
            aside,
            ..Fold::new(
                Opens::SaidEntry,
                Text::marked(&capital(title)),
                inside.chain(to_do(finding)).chain([how(finding)]).collect(),
            )
        };
        fold.into()
    };
    let of = |disposition| -> Vec<&Finding> {
        let found = plan.disposed(disposition).into_iter();
        found
            .filter(|finding| finding.verdict >= Verdict::Caution)
            .collect()
    };
    let section = |title: &str, lines: Vec<Block>| -> Option<Block> {
        (!lines.is_empty()).then(|| Section::new(title, lines).into())
    };
    let decide = of(Disposition::ToDecide).into_iter().map(card_of);
    blocks.extend(section("To decide", decide.collect()));
    let handled = of(Disposition::Handled).into_iter().map(|finding| {
        let places: Vec<String> = finding.handled_by.iter().map(Handling::words).collect();
        line_of(finding, Text::of(places.join(", ")))
    });
    blocks.extend(section("Handled by the plan", handled.collect()));
    let machine = of(Disposition::AsTheMachineIs).into_iter();
    let machine = machine.map(|finding| line_of(finding, Text::of(room_word(finding))));
    blocks.extend(section(
        "Limits of the machine, whatever the board",
        machine.collect(),
    ));
    let accepted = of(Disposition::Accepted).into_iter().map(|finding| {
        let own = finding.acceptance.as_ref();
        let words = own.map_or_else(String::new, |own| format!("by {}: {}", own.by, own.reason));
        line_of(finding, Text::of(words))
    });
    blocks.extend(section("Accepted", accepted.collect()));
    blocks
}

/// In what share of the trials its limit fails.
fn fails(finding: &Finding, chances: &[(&Finding, Chance)]) -> Option<Block> {
    let mut own = chances.iter().filter(|(other, _)| std::ptr::eq(*other, finding));
    let said = capital(&open::failing(own.next()?.1));
    Some(Block::remark(sentence(&said)))
}

/// A finding with everything behind it; with the chance that its limit holds, where that was asked for.
pub(crate) fn opened(about: &About<'_>, finding: &Finding, chance: Option<Chance>) -> Block {
    let blocks = numbers(finding).into_iter().chain(to_do(finding));
    card(
        about,
        finding,
        blocks.chain(inside(about, finding, chance)).collect(),
    )
}

fn card(about: &About<'_>, finding: &Finding, mut blocks: Vec<Block>) -> Block {
    let stake = finding.stake.words();
    let (title, rest) = first_sentence(&finding.headline);
    if !rest.is_empty() {
        blocks.insert(0, Block::say(Text::marked(&sentence(rest))));
    }
    Block::Card(Card {
        id: about.anchor(finding).unwrap_or_default().to_owned(),
        name: finding.id.clone(),
        mark: mark(finding.verdict),
        word: finding.word().to_owned(),
        about: Text::of(format!("{} · at stake: {stake}", title_of(finding))),
        title: Text::marked(&capital(title)),
        blocks,
    })
}

/// The value that was judged, its limit, and what is left between them.
fn numbers(finding: &Finding) -> Option<Block> {
    let (value, bound) = (finding.value?, finding.limit?);
    let room = finding
        .margin
        .map(|margin| (Text::of("Room"), Text::of(spare_of(finding, margin))));
    let numbers = [
        (
            Text::of("Value"),
            Text::default().quantity(value, Origin::Tolerance),
        ),
        (Text::of("Limit"), limit(&bound)),
    ];
    Some(Block::figures(numbers.into_iter().chain(room)))
}

/// How the room comes about.
fn room(finding: &Finding) -> Option<Block> {
    let (sum, margin) = (finding.margin_sum()?, finding.margin?);
    Some(Block::say(format!(
        "Room at the worst corner: {sum} = {}.",
        spare_of(finding, margin)
    )))
}

/// "at most 1.5 A".
fn limit(limit: &Limit) -> Text {
    let side = match limit.side {
        Side::AtMost => "at most ",
        Side::AtLeast => "at least ",
    };
    Text::of(side).quantity(limit.bound, Origin::Tolerance)
}

/// What to do about it, and what that needs.
fn to_do(finding: &Finding) -> Vec<Block> {
    let remedy = finding.remedy.as_ref();
    let remedy = remedy.map(|remedy| Text::default().strong("Do: ").and_marked(&sentence(remedy)));
    let mut needs = Text::default();
    for part in &finding.parts {
        let before = if needs.is_empty() { "Needs: " } else { ", " };
        let words = format!("{} × {}", part.count, part.words());
        needs = needs.strong(before).link(Some("parts"), words);
    }
    let needs = Some(needs).filter(|needs| !needs.is_empty());
    remedy.into_iter().chain(needs).map(Block::say).collect()
}

/// Everything behind a finding.
fn inside(about: &About<'_>, finding: &Finding, chance: Option<Chance>) -> Vec<Block> {
    let mut blocks: Vec<Block> = about.workings(&finding.working);
    blocks.extend(room(finding));
    blocks.extend(tolerances::behind(about, finding, chance));
    let rule = if finding.limit.is_some() { "Limit" } else { "Rule" };
    let mut from = Text::of(about.cite(finding.source).sentence(rule));
    if let Some(place) = finding.place {
        from = from
            .and(" Hangs on ")
            .code(about.plan.swap.sources.show(place))
            .and(".");
    }
    blocks.push(Block::remark(from.and(" Name: ").code(&finding.id)));
    blocks
}

/// Every check, by group.
pub(crate) fn all(about: &About<'_>, picture: Option<Block>) -> Vec<Block> {
    let intro = Text::of("Behind every number stand its formula, inputs, worst corner and source. ");
    let mut blocks = vec![Block::say(
        intro.join(all_counts(about.plan, &Verdict::WORST_FIRST)).and("."),
    )];
    blocks.extend(picture);
    for group in Group::ALL {
        let mut checks: Vec<Vec<&Finding>> = Vec::new();
        for finding in about.of_group(group) {
            match checks.iter_mut().find(|own| own[0].check == finding.check) {
                Some(own) => own.push(finding),
                None => checks.push(vec![finding]),
            }
        }
        if !checks.is_empty() {
            let folds = checks.iter().map(|findings| check(about, findings));
            blocks.push(Section::new(group.title(), folds.collect()).into());
        }
    }
    blocks.push(Block::Paragraph(
        document::Tone::Paper,
        Text::of("Here the workings of what passed are left out; they open in the file proof/proof.html."),
    ));
    blocks
}

/// One check with all it found, the worst first. What to do about blockers and cautions stands on the page.
fn check(about: &About<'_>, findings: &[&Finding]) -> Block {
    let worst = findings.iter().map(|finding| finding.verdict).max();
    let worst = worst.unwrap_or(Verdict::Pass);
    let margins = findings
        .iter()
        .filter_map(|finding| Some((finding.margin?, finding)));
    let least = margins.min_by(|one, other| one.0.total_cmp(&other.0));
    let mut aside = counts(findings);
    if let Some((least, finding)) = least {
        aside = aside.quiet(format!(", least room {}", room_of(finding, least)));
    }
    let entries = findings.iter().map(|finding| entry(about, finding));
    let fold = Fold {
        verdict: Some((mark(worst), worst.word().to_owned())),
        aside,
        ..Fold::new(Opens::Group, title_of(findings[0]), entries.collect())
    };
    fold.into()
}

fn entry(about: &About<'_>, finding: &Finding) -> Block {
    let verdict = (mark(finding.verdict), finding.word().to_owned());
    let headline = capital(&finding.headline);
    if finding.verdict >= Verdict::Caution {
        let link = Text::default().link(about.anchor(finding), "what to do");
        let mut blocks: Vec<Block> = numbers(finding).into_iter().chain([Block::say(link)]).collect();
        blocks.extend(inside(about, finding, None));
        let fold = Fold {
            id: format!("{PROOF}{}", about.anchor(finding).unwrap_or_default()),
            verdict: Some(verdict),
            aside: Text::of(room_word(finding)),
            ..Fold::new(Opens::Entry, Text::marked(&headline), blocks)
        };
        return fold.into();
    }
    let blocks = numbers(finding).into_iter().chain(to_do(finding));
    let blocks = blocks.chain(inside(about, finding, None)).collect();
    let fold = Fold {
        id: about.anchor(finding).unwrap_or_default().to_owned(),
        verdict: Some(verdict),
        aside: Text::of(room_word(finding)),
        ..Fold::new(Opens::Entry, Text::marked(&headline), blocks)
    };
    fold.into()
}

/// "2 cautions, 1 note, 12 passes"; what is not there is not counted.
fn counts(findings: &[&Finding]) -> Text {
    let count = |verdict| {
        findings
            .iter()
            .filter(|finding| finding.verdict == verdict)
            .count()
    };
    let there = Verdict::WORST_FIRST
        .into_iter()
        .filter(|verdict| count(*verdict) > 0);
    joined(there.map(|verdict| (mark(verdict), counted(count(verdict), verdict))))
}

/// "0 blockers, 2 cautions, 1 note, 12 passes" of a whole board; none of what is bad is good.
pub(crate) fn all_counts(plan: &Plan<'_>, verdicts: &[Verdict]) -> Text {
    joined(verdicts.iter().map(|verdict| {
        let count = plan.count(*verdict);
        let calm = if count == 0 { Verdict::Pass } else { *verdict };
        (mark(calm), counted(count, *verdict))
    }))
}

fn joined(counts: impl Iterator<Item = (Mark, String)>) -> Text {
    counts.fold(Text::default(), |text, (mark, count)| {
        let before = if text.is_empty() { "" } else { ", " };
        text.and(before).verdict(mark, count)
    })
}

/// The findings by verdict, the worst first, as tables.
pub(crate) fn tables(about: &About<'_>) -> Vec<Block> {
    let plan = about.plan;
    let findings = |verdict: Verdict| -> Vec<&Finding> {
        if verdict >= Verdict::Caution {
            plan.with(verdict)
        } else {
            let of_verdict = |finding: &&Finding| finding.verdict == verdict;
            plan.findings.iter().filter(of_verdict).collect()
        }
    };
    let mut blocks: Vec<Block> = Vec::new();
    for verdict in Verdict::WORST_FIRST {
        let rows: Vec<Row> = findings(verdict).into_iter().map(row).collect();
        if !rows.is_empty() {
            let columns = [
                Column::short(capital(verdict.word())),
                Column::number("Room"),
                Column::text(""),
            ];
            blocks.push(Table::new(columns, rows).into());
        }
    }
    blocks.push(Block::say(all_counts(plan, &Verdict::WORST_FIRST).and(".")));
    blocks.push(Block::remark(sentence(&format!(
        "The assignment is {}",
        plan.optimum.proof
    ))));
    blocks
}

/// What is left to its limit; nothing where it has none.
fn room_word(finding: &Finding) -> String {
    finding
        .margin
        .map_or_else(String::new, |margin| room_of(finding, margin))
}

fn row(finding: &Finding) -> Row {
    let mut words = Text::marked(&sentence(&finding.headline));
    if let (Some(remedy), true) = (&finding.remedy, finding.verdict >= Verdict::Caution) {
        words = words.strong(" Do: ").and_marked(&sentence(remedy));
    }
    let room = room_word(finding);
    Row::of([Text::of(&finding.id), Text::of(room), words]).marked(mark(finding.verdict))
}

/// The first points that a person has to decide in a line each, and how many are left.
pub(crate) fn first(about: &About<'_>, count: usize) -> Vec<Block> {
    let points = about.plan.to_decide();
    let line = |finding: &&Finding| {
        let (said, _) = first_sentence(&finding.headline);
        let said = Text::marked(&sentence(said));
        Block::Verdict(mark(finding.verdict), finding.word().to_owned(), said)
    };
    let mut blocks: Vec<Block> = points.iter().take(count).map(line).collect();
    if points.len() > count {
        blocks.push(Block::remark(format!(
            "And {} more to decide.",
            points.len() - count
        )));
    }
    blocks
}

//! Findings: one opened, what has to be settled first, every check by group, and the list of a command.

use document::{Block, Card, Column, Fold, Mark, Opens, Origin, Row, Section, Table, Text};
use physics::Chance;
use plan::{Finding, Group, Limit, Plan, Side, Verdict};

use crate::about::{About, mark, title_of};
use crate::tolerances;
use crate::words::{capital, counted, room_of, sentence, spare_of};

/// Begins the place of a finding in the proof, where the page has a place for it too.
const PROOF: &str = "proof-";

/// Blockers and cautions, each with what to do.
pub(crate) fn open_points(about: &About<'_>) -> Vec<Block> {
    let points = about.plan.open_points();
    if points.is_empty() {
        return vec![Block::say(
            "Nothing: no check found a blocker or an action required.",
        )];
    }
    let intro = Block::say(
        "Each point says what was found and what to do about it. \
         Tolerances are taken at their worst corner. What can hurt people or burn comes first, then what can break parts; of each, what lies furthest beyond its limit.",
    );
    let card_of = |finding: &Finding| {
        let place = about.anchor(finding).unwrap_or_default();
        let how = Text::default().link(Some(&format!("{PROOF}{place}")), "How this came about");
        let (numbers, to_do) = (numbers(finding), to_do(finding));
        let blocks = numbers.into_iter().chain(to_do).chain([Block::remark(how)]);
        card(about, finding, blocks.collect())
    };
    let (of_machine, of_board): (Vec<&Finding>, Vec<&Finding>) =
        points.into_iter().partition(|finding| is_of_machine(finding));
    let mut blocks = vec![intro];
    blocks.extend(of_board.into_iter().map(card_of));
    if !of_machine.is_empty() {
        let mut cards = vec![Block::say(OF_MACHINE)];
        cards.extend(of_machine.into_iter().map(card_of));
        blocks.push(Section::new("Limits of the machine", cards).into());
    }
    blocks
}

/// What stands above the cautions that no board changes.
const OF_MACHINE: &str =
    "No controller board changes these: they are limits of the machine, and the old board had them too.";

/// Whether it is a caution that hangs on the machine alone. A blocker is settled first, whatever it hangs on.
fn is_of_machine(finding: &Finding) -> bool {
    let of_machine = plan::check_named(finding.check).is_some_and(|check| check.of_machine);
    of_machine && finding.verdict == Verdict::Caution
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

fn card(about: &About<'_>, finding: &Finding, blocks: Vec<Block>) -> Block {
    let stake = finding.stake.words();
    Block::Card(Card {
        id: about.anchor(finding).unwrap_or_default().to_owned(),
        name: finding.id.clone(),
        mark: mark(finding.verdict),
        word: finding.word().to_owned(),
        about: Text::of(format!("{} · at stake: {stake}", title_of(finding))),
        title: Text::marked(&capital(&finding.headline)),
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
    let shown = Verdict::WORST_FIRST;
    let findings = |verdict: Verdict| -> Vec<&Finding> {
        if verdict >= Verdict::Caution {
            plan.with(verdict)
        } else {
            let of_verdict = |finding: &&Finding| finding.verdict == verdict;
            plan.findings.iter().filter(of_verdict).collect()
        }
    };
    let table = |word: &str, findings: Vec<&Finding>| -> Option<Block> {
        let rows: Vec<Row> = findings.into_iter().map(row).collect();
        let columns = [Column::short(word), Column::number("Room"), Column::text("")];
        (!rows.is_empty()).then(|| Table::new(columns, rows).into())
    };
    let mut blocks: Vec<Block> = Vec::new();
    for verdict in shown {
        let (of_machine, of_board): (Vec<&Finding>, Vec<&Finding>) = findings(verdict)
            .into_iter()
            .partition(|finding| is_of_machine(finding));
        blocks.extend(table(&capital(verdict.word()), of_board));
        if let Some(table) = table("Limit of the machine", of_machine) {
            blocks.extend([Block::say(OF_MACHINE), table]);
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

/// The first open points in a line each, and how many are left.
pub(crate) fn first(about: &About<'_>, count: usize) -> Vec<Block> {
    let mut points = about.plan.open_points();
    points.sort_by_key(|finding| is_of_machine(finding));
    let line = |finding: &&Finding| {
        let said = Text::marked(&sentence(&finding.headline));
        Block::Verdict(mark(finding.verdict), finding.word().to_owned(), said)
    };
    let mut blocks: Vec<Block> = points.iter().take(count).map(line).collect();
    if points.len() > count {
        blocks.push(Block::remark(format!(
            "And {} more to look at.",
            points.len() - count
        )));
    }
    blocks
}

//! Beside the worst case: what each tolerance does by itself, and how likely a limit holds.

use document::{Block, Cell, Column, Phone, Row, Table, Text};
use physics::{Chance, Spread};
use plan::{Draws, Effect, Finding, Plan, Tally, Verdict};

use crate::about::{About, mark};
use crate::words::{capital, chance, held, percent, room_of, rooms, thousands};

/// How many tolerances a finding lists.
const LISTED: usize = 6;
/// How many are named where a limit holds anyway.
const NAMED: usize = 3;

/// The tolerances that move the margin of a finding, the costliest first; with the chance that its limit holds also for what holds
/// anyway, and with where each was written.
pub(crate) fn behind(about: &About<'_>, finding: &Finding, odds: Option<Chance>) -> Vec<Block> {
    let (Some(draws), Some(at)) = (about.draws, about.plan.place_of(finding)) else {
        return Vec::new();
    };
    let effects = &draws.alone().effects[at];
    let Some(nominal) = draws.alone().nominal[at].filter(|_| !effects.is_empty()) else {
        return Vec::new();
    };
    if finding.verdict < Verdict::Caution && odds.is_none() {
        return vec![brief(draws, finding, nominal, effects)];
    }
    let mut columns = vec![
        Column::text("Value"),
        Column::number("Margin at its lower end"),
        Column::number("at its upper end"),
    ];
    if odds.is_some() {
        columns.push(Column::text("Where it is written"));
    }
    let row = |effect: &Effect| {
        let end = |margin: Option<f64>| {
            margin.map_or_else(
                || "another limit counts".to_owned(),
                |margin| room_of(finding, margin),
            )
        };
        let input = &draws.inputs()[effect.input];
        let name = Text::of(input.name()).quiet(format!(" {}", input.value));
        let place = input.place.map(|place| about.plan.swap.sources.show(place));
        let cells = [
            name,
            end(effect.low).into(),
            end(effect.high).into(),
            place.unwrap_or_default().into(),
        ];
        Row::of(cells.into_iter().take(columns.len()))
    };
    let rows: Vec<Row> = effects.iter().take(LISTED).map(row).collect();
    let caption = format!(
        "Each tolerance by itself, the others nominal. With all nominal the room is {}.",
        room_of(finding, nominal)
    );
    let mut blocks = vec![
        Table::new(columns, rows)
            .caption(caption)
            .phone(Phone::Fits)
            .into(),
    ];
    if effects.len() > LISTED {
        blocks.push(Block::remark(format!(
            "{} more move it less.",
            effects.len() - LISTED
        )));
    }
    blocks.extend(odds.map(|odds| {
        let certain = "It holds in the worst case, so on every machine within the tolerances.";
        let drawn = || format!("It holds on {}.", chance(odds));
        Block::say(if finding.is_certain() {
            certain.to_owned()
        } else {
            drawn()
        })
    }));
    blocks
}

/// For what holds anyway: one line with the costliest.
fn brief(draws: &Draws, finding: &Finding, nominal: f64, effects: &[Effect]) -> Block {
    let costly = effects.iter().filter(|effect| effect.cost(nominal) > 0.0);
    let words: Vec<String> = costly
        .take(NAMED)
        .map(|effect| {
            let name = draws.inputs()[effect.input].name();
            let cost = effect.cost(nominal);
            let kelvins = finding.kelvins(cost).map(crate::words::brief);
            format!("{name} takes {}", kelvins.unwrap_or_else(|| percent(cost)))
        })
        .collect();
    let named = if words.is_empty() {
        String::new()
    } else {
        let of = if finding.kelvins(1.0).is_some() {
            ""
        } else {
            " of the limit"
        };
        format!("; {}{of} by itself", words.join(", "))
    };
    Block::remark(format!(
        "With all values nominal the margin is {}{named}.",
        room_of(finding, nominal)
    ))
}

/// How findings are named in a table.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Names {
    /// By what was found, with a link.
    Headlines,
    /// By what a command takes.
    Ids,
}

/// Which limits that the worst corner breaks hold on most machines, and which tolerance to narrow first.
pub(crate) fn chances(
    about: &About<'_>,
    tally: &Tally,
    spread: Spread,
    seed: Option<u64>,
    names: Names,
) -> Vec<Block> {
    let (plan, drawn) = (about.plan, tally.without_blocker.draws);
    let values = about.draws.map_or(0, |draws| draws.inputs().len());
    let within = match spread {
        Spread::Uniform => "anywhere within its tolerance with equal chance",
        Spread::Normal => "around its nominal, with the bounds of its tolerance at three standard deviations",
    };
    let seed = seed.map_or_else(String::new, |seed| format!(" (seed {seed})"));
    let mut blocks = vec![
        Block::say(format!(
            "The verdicts are for the worst case: all tolerances at their limits. Here {} trials{seed} draw each of {values} values {within}. \
             Where a failure can hurt, the worst case counts.",
            thousands(drawn)
        )),
        Block::figures([
            (
                Text::of("Nothing is a blocker on"),
                Text::of(chance(tally.without_blocker)),
            ),
            (
                Text::of("No blocker and no action required on"),
                Text::of(chance(tally.without_caution)),
            ),
        ]),
    ];
    if plan.broken().is_empty() {
        let none =
            "No limit is broken in the worst case, so all hold on every machine within the tolerances.";
        blocks.push(Block::say(none));
        return blocks;
    }
    let columns = [
        Column::text("Broken in the worst case"),
        Column::number("Holds in"),
        Column::number("Margin, worst case"),
        Column::number("5th percentile"),
        Column::number("Median"),
        Column::text("Largest contributor"),
    ];
    let rows = plan.broken().into_iter().map(|at| {
        let (finding, kept) = (&plan.findings[at], &tally.findings[at]);
        let name = match names {
            Names::Ids => Text::of(&finding.id),
            Names::Headlines => Text::default().link(about.anchor(finding), capital(&finding.headline)),
        };
        let costliest = about
            .draws
            .map(|draws| costliest(draws, finding, at))
            .unwrap_or_default();
        let (share, interval) = held(kept.chance);
        let mut cells = vec![Cell::from(name), Cell::from(share).below(interval)];
        cells.extend(rooms(finding, kept).into_iter().map(Cell::from));
        cells.resize(columns.len() - 1, Cell::default());
        cells.push(costliest.into());
        Row::of(cells).marked(mark(finding.verdict))
    });
    let rows: Vec<Row> = rows.collect();
    blocks.push(
        Table::new(columns, rows)
            .caption("Limits that the worst case breaks")
            .into(),
    );
    blocks.push(Block::remark(certain(plan)));
    blocks
}

/// What needs no draws.
fn certain(plan: &Plan<'_>) -> String {
    let uncertain = plan.uncertain().len();
    format!(
        "{} findings hold in the worst case, so in every trial. {} blockers and actions required do not depend on tolerances.",
        plan.findings.len() - uncertain,
        uncertain - plan.broken().len()
    )
}

fn costliest(draws: &Draws, finding: &Finding, at: usize) -> String {
    let alone = draws.alone();
    let (Some(nominal), Some(effect)) = (alone.nominal[at], alone.effects[at].first()) else {
        return "none: it is so at nominal values".to_owned();
    };
    let input = &draws.inputs()[effect.input];
    format!(
        "{} {}: from {} to {}",
        input.name(),
        input.value,
        room_of(finding, nominal),
        room_of(finding, nominal - effect.cost(nominal))
    )
}

//! The board in its case, and the last pages: what was not checked, sources, files.

use document::{Block, Column, Row, Table, Text};
use model::Swap;
use plan::Plan;

use crate::about::About;
use crate::pictures::Pictures;

pub(crate) fn mounting(plan: &Plan<'_>, pictures: &Pictures) -> Vec<Block> {
    let mut blocks: Vec<Block> = pictures.block("board.svg").into_iter().collect();
    blocks.push(Block::remark(
        "Posts are drawn twice as thick as their screw; the file of the machine does not say how thick they are.",
    ));
    if plan.board.outline.holes.is_empty() {
        blocks.push(Block::say("The file of the board names no mounting holes."));
    }
    blocks
}

/// What no check looks at.
pub(crate) const NOT_CHECKED: [&str; 7] = [
    "Whether machine and boards are as their files say. Measure what a decision hangs on.",
    "Mains wiring, protective earth, insulation, the inside of the supply: a qualified person and local codes decide.",
    "The condition of cables, contacts, bearings, heaters and switches.",
    "Whether the firmware of the board can do what the plan asks of it.",
    "Electromagnetic interference, static discharge, and what a loose strand can reach.",
    "Fire protection, ventilation and fumes of the place where the machine stands.",
    "Anything that is not in the lists of checks above.",
];

pub(crate) fn not_checked(plan: &Plan<'_>) -> Vec<Block> {
    let silent = silent(plan);
    let silent = (!silent.is_empty()).then(|| {
        let titles = silent.join(", ");
        format!("Checks that found nothing to look at on this board: {titles}.")
    });
    let lines = NOT_CHECKED.into_iter().map(str::to_owned);
    vec![Block::list(lines.chain(silent))]
}

/// The titles of checks that said nothing: there was no such device, or the files do not tell enough.
fn silent(plan: &Plan<'_>) -> Vec<&'static str> {
    let pairs = plan::PAIR_CHECKS.iter().map(|check| (check.id, check.title));
    let wholes = plan::WHOLE_CHECKS.iter().map(|check| (check.id, check.title));
    pairs
        .chain(wholes)
        .filter(|(id, _)| !plan.findings.iter().any(|finding| finding.check == *id))
        .map(|(_, title)| title)
        .collect()
}

pub(crate) fn sources(about: &About<'_>) -> Vec<Block> {
    let listed = about.sources().into_iter().map(|source| source.listed());
    vec![
        Block::say("What the limits and formulas of this page lean on."),
        Block::list(listed),
    ]
}

pub(crate) fn files(swap: &Swap) -> Vec<Block> {
    let files = swap.sources.files().iter();
    let rows = files.map(|file| {
        Row::of([
            Text::default().code(&file.path),
            file.text.len().to_string().into(),
        ])
    });
    let rows: Vec<Row> = rows.collect();
    vec![
        Block::say(format!(
            "Computed by Boardswap {} from these files. Change one and this page is out of date.",
            env!("CARGO_PKG_VERSION")
        )),
        Table::new([Column::text("File"), Column::number("Bytes")], rows).into(),
    ]
}

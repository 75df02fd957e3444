//! The bench sheet: what a person with a screwdriver needs, on two sides of A3.

use bringup::{Phase, Reading, Step};
use document::html::Sheet;
use document::{Block, Cell, Column, Phone, Row, Section, Table, Text};
use model::Swap;
use plan::{ActionKind, Stake, Verdict};
use sha2::{Digest as _, Sha256};

use crate::pictures::Pictures;
use crate::shown::Shown;
use crate::words::{capital, first_sentence, sentence};

/// Digits of the fingerprint of all files: enough to tell two states of a swap apart by eye.
const DIGITS: usize = 12;

/// What the files of a swap are, in a few digits: the beginning of the SHA-256 over their paths and texts.
pub(crate) fn fingerprint(swap: &Swap) -> String {
    let mut hash = Sha256::new();
    for file in swap.sources.files() {
        for part in [file.path.as_bytes(), file.text.as_bytes()] {
            // With its length, so that no two sets of files run into one.
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part);
        }
    }
    let digits: String = hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
    digits[..DIGITS].to_owned()
}

/// The two sides: the wiring; behind it the connectors and what has to be in view while working.
pub(crate) fn sheets(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Sheet> {
    let first: Vec<Block> = pictures.block("wiring.svg").into_iter().collect();
    let second = vec![Block::Beside(
        pictures
            .block("terminals.svg")
            .into_iter()
            .chain(readings(shown))
            .chain(remember("What was found", &found(shown)))
            .collect(),
        tables(shown)
            .into_iter()
            .chain(remember("Not to be forgotten", &hazards(shown)))
            .chain(remember(
                "Settings to read before use",
                &to_read(shown).collect::<Vec<_>>(),
            ))
            .collect(),
    )];
    let sheets = [("Wiring", first), ("Connectors and readings", second)];
    let count = sheets.len();
    let sheet = |(at, (title, blocks)): (usize, (&str, Vec<Block>))| Sheet {
        fields: fields(shown, title, at + 1, count),
        blocks,
    };
    sheets.into_iter().enumerate().map(sheet).collect()
}

/// The same for a page. What steps and findings say stands there at each of them.
pub(crate) fn section(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Block> {
    let mut blocks = vec![crate::wiring::caution()];
    blocks.extend(pictures.block("terminals.svg"));
    blocks.extend(tables(shown));
    blocks.extend(readings(shown));
    blocks
}

/// The title block; a field without a value is written by hand.
fn fields(shown: &Shown<'_>, title: &str, sheet: usize, sheets: usize) -> Vec<(String, String)> {
    let invented = if shown.invented() { " (invented)" } else { "" };
    [
        ("Machine", format!("{}{invented}", shown.swap.machine.name)),
        ("Board", shown.plan.board.name.to_string()),
        ("Sheet title", title.to_owned()),
        ("Revision on the board", String::new()),
        ("Date", String::new()),
        ("Drawn from files", fingerprint(shown.swap)),
        ("Checked by", String::new()),
        ("Sheet", format!("{sheet} of {sheets}")),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .to_vec()
}

/// Jumpers, work on cables, contacts to move.
fn tables(shown: &Shown<'_>) -> Vec<Block> {
    let jumpers = shown.material.steps.iter().filter(|step| step.id == "jumpers");
    let jumpers = jumpers.flat_map(|step| &step.parts).map(|part| {
        let position = part.expected.first().map(bringup::Expected::words);
        Row::of([
            capital(&part.what),
            position.unwrap_or_default(),
            part.actions.join("; "),
        ])
    });
    let work = shown.rows.iter().filter_map(|row| {
        let actions = row
            .actions
            .iter()
            .filter(|action| action.kind != ActionKind::PlugOver);
        let words: Vec<String> = actions.map(|action| sentence(&action.words)).collect();
        let to = row.new_port.as_deref().unwrap_or("left off");
        (!words.is_empty()).then(|| Row::of([Cell::from(&row.tag), Cell::from(to), Cell::list(words)]))
    });
    let free: Vec<&str> = shown
        .rows
        .iter()
        .filter(|row| row.new_port.is_none())
        .map(|row| row.tag.as_str())
        .collect();
    let table = |title: &str, columns: &[&str], rows: Vec<Row>| -> Option<Block> {
        let columns: Vec<Column> = columns.iter().map(|heading| Column::text(*heading)).collect();
        let table = Table::new(columns, rows.clone()).phone(Phone::Fits);
        (!rows.is_empty()).then(|| Section::new(title, vec![table.into()]).into())
    };
    let mut blocks: Vec<Block> = Vec::new();
    blocks.extend(table("Jumpers", &["Jumper", "On", "For"], jumpers.collect()));
    blocks.extend(table(
        "Work on cables, contacts to move",
        &["Tag", "Port", "Do"],
        work.collect(),
    ));
    if !free.is_empty() {
        blocks.push(Block::say(format!(
            "Left off: {}. Insulate their ends.",
            free.join(", ")
        )));
    }
    blocks
}

/// Everything that can hurt in the work itself, once each: what always holds, and what steps say. No paper for the bench leaves one out.
fn hazards(shown: &Shown<'_>) -> Vec<String> {
    let mut said: Vec<String> = bringup::cautions()
        .iter()
        .map(|words| (*words).to_owned())
        .collect();
    for step in shown.material.steps {
        for words in step.hazard.iter().flat_map(|hazard| hazard.split_inclusive(". ")) {
            let words = words.trim();
            let known = words.trim_end_matches('.');
            if !said.iter().any(|own| own.contains(known)) {
                said.retain(|own| !words.contains(own.trim_end_matches('.')));
                said.push(words.to_owned());
            }
        }
    }
    said
}

/// Findings that put people at risk.
fn found(shown: &Shown<'_>) -> Vec<String> {
    let risky =
        |finding: &&plan::Finding| finding.stake == Stake::Safety && finding.verdict >= Verdict::Caution;
    let findings = shown.plan.open_points().into_iter().filter(risky);
    let findings = findings.map(|finding| {
        let said = capital(&sentence(&finding.headline));
        match &finding.remedy {
            Some(remedy) => format!("{said} {}", sentence(first_sentence(remedy).0)),
            None => said,
        }
    });
    findings.collect()
}

/// Settings with a reason that must be read before they are used.
fn to_read(shown: &Shown<'_>) -> impl Iterator<Item = String> {
    let settings = shown
        .material
        .settings
        .settings
        .iter()
        .filter(|setting| setting.caution);
    settings.map(|setting| {
        format!(
            "{} of {}: {}",
            capital(setting.title),
            setting.of,
            sentence(&setting.reason)
        )
    })
}

fn remember(title: &str, lines: &[String]) -> Option<Block> {
    let list = Block::list(lines.iter().map(|words| Text::marked(words)));
    (!lines.is_empty()).then(|| Section::new(title, vec![list]).into())
}

/// What a meter must show before anything is plugged in.
fn readings(shown: &Shown<'_>) -> Option<Block> {
    let steps = shown.material.steps.iter();
    let steps = steps.filter(|step| matches!(step.phase, Phase::Unpowered | Phase::BoardAlone));
    let mut rows: Vec<Expectation> = Vec::new();
    for own in steps.flat_map(of_step) {
        // Equal readings at several places are one row.
        match rows
            .iter_mut()
            .find(|row| row.what == own.what && row.expected == own.expected)
        {
            Some(row) => row.at.extend(own.at),
            None => rows.push(own),
        }
    }
    let rows: Vec<Row> = rows
        .into_iter()
        .map(|row| {
            let what = if row.at.is_empty() {
                capital(&row.what)
            } else {
                format!("{}: {}", row.at.join(", "), row.what)
            };
            Row::of([what, row.expected])
        })
        .collect();
    let columns = [Column::text("Reading"), Column::short("Expected")];
    let table = Table::new(columns, rows.clone()).phone(Phone::Fits);
    (!rows.is_empty()).then(|| Section::new("Expected readings", vec![table.into()]).into())
}

/// A number to read, and the tags at which.
struct Expectation {
    at: Vec<String>,
    what: String,
    expected: String,
}

/// The numbers of a step.
fn of_step(step: &Step) -> Vec<Expectation> {
    let own = step.expected.iter().map(|expected| (Vec::new(), "", expected));
    let parts = step.parts.iter().flat_map(|part| {
        let read = part.expected.iter();
        read.map(|expected| (part.tags.clone(), part.what.as_str(), expected))
    });
    own.chain(parts)
        .filter(|(_, _, expected)| !matches!(expected.reading, Reading::Seen(_)))
        .map(|(at, name, expected)| {
            // The place stands in a column of its own, remarks in the checklist.
            let mut what = expected.what.clone();
            for name in at
                .iter()
                .map(String::as_str)
                .chain([name])
                .filter(|name| !name.is_empty())
            {
                what = what
                    .replace(&format!("of {name} "), "")
                    .replace(&format!("of the converter of {name}"), "of the converter");
            }
            let what = what
                .replace(", tips subtracted", "")
                .replace(", one after the other", "");
            // The pins of a rail are no remark.
            let short = if what.starts_with("rail ") {
                what
            } else {
                what.split(" (").next().unwrap_or_default().to_owned()
            };
            Expectation {
                at,
                what: short,
                expected: expected.words(),
            }
        })
        .collect()
}

//! The bench sheet: what a person with a screwdriver needs, on two sides of A3.

use bringup::{Phase, Reading, Step};
use document::html::Sheet;
use document::{Block, Caution, Cell, Column, Phone, Row, Section, Table, Text};
use model::Swap;
use plan::{ActionKind, Stake, Verdict};
use sha2::{Digest as _, Sha256};

use crate::cautions::ALWAYS;
use crate::pictures::Pictures;
use crate::shown::Shown;
use crate::words::{capital, sentence};

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
        pictures.block("terminals.svg").into_iter().chain(readings(shown)).collect(),
        tables(shown).into_iter().chain([remember(shown)]).collect(),
    )];
    let sheets = [("Wiring", first), ("Connectors and readings", second)];
    let count = sheets.len();
    let sheet = |(at, (title, blocks)): (usize, (&str, Vec<Block>))| Sheet {
        fields: fields(shown, title, at + 1, count),
        blocks,
    };
    sheets.into_iter().enumerate().map(sheet).collect()
}

/// The same for a page: first what to do, then what to read.
pub(crate) fn section(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Block> {
    let caution = Caution {
        title: Text::of("Before you begin"),
        lines: ALWAYS.map(Text::of).to_vec(),
    };
    let mut blocks = vec![Block::Caution(caution)];
    blocks.extend(pictures.block("terminals.svg"));
    blocks.extend(tables(shown));
    blocks.push(remember(shown));
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
        Row::of([capital(&part.what), position.unwrap_or_default(), part.actions.join("; ")])
    });
    let work = shown.rows.iter().filter_map(|row| {
        let actions = row.actions.iter().filter(|action| action.kind != ActionKind::PlugOver);
        let words: Vec<String> = actions.map(|action| sentence(&action.words)).collect();
        let to = row.new_port.as_deref().unwrap_or("left off");
        (!words.is_empty()).then(|| Row::of([Cell::from(&row.tag), Cell::from(to), Cell::list(words)]))
    });
    let free: Vec<&str> = shown.rows.iter().filter(|row| row.new_port.is_none()).map(|row| row.tag.as_str()).collect();
    let table = |title: &str, columns: &[&str], rows: Vec<Row>| -> Option<Block> {
        let columns: Vec<Column> = columns.iter().map(|heading| Column::text(*heading)).collect();
        let table = Table::new(columns, rows.clone()).phone(Phone::Fits);
        (!rows.is_empty()).then(|| Section::new(title, vec![table.into()]).into())
    };
    let mut blocks: Vec<Block> = Vec::new();
    blocks.extend(table("Jumpers", &["Jumper", "On", "For"], jumpers.collect()));
    blocks.extend(table("Work on cables, contacts to move", &["Tag", "Port", "Do"], work.collect()));
    if !free.is_empty() {
        blocks.push(Block::say(format!("Left off: {}. Insulate their ends.", free.join(", "))));
    }
    blocks
}

/// Everything that can hurt, once each: what always holds, what steps say, findings that put people at risk, settings that want
/// to be read. No paper for the bench leaves one out.
fn hazards(shown: &Shown<'_>) -> Vec<Text> {
    let mut said: Vec<String> = bringup::cautions().iter().map(|words| (*words).to_owned()).collect();
    let mut add = |words: String| {
        if !said.contains(&words) {
            said.push(words);
        }
    };
    for step in shown.material.steps {
        for words in step.hazard.iter().flat_map(|hazard| hazard.split_inclusive(". ")) {
            add(words.trim().to_owned());
        }
    }
    for finding in shown.plan.open_points() {
        if finding.stake == Stake::Safety && finding.verdict >= Verdict::Caution {
            add(sentence(&finding.headline));
        }
    }
    for setting in shown.material.settings.settings.iter().filter(|setting| setting.caution) {
        add(format!("{} of {}: {}", capital(setting.title), setting.of, sentence(&setting.reason)));
    }
    said.iter().map(|words| Text::marked(words)).collect()
}

fn remember(shown: &Shown<'_>) -> Block {
    Section::new("Not to be forgotten", vec![Block::list(hazards(shown))]).into()
}

/// What a meter must show before anything is plugged in.
fn readings(shown: &Shown<'_>) -> Option<Block> {
    let steps = shown.material.steps.iter();
    let steps = steps.filter(|step| matches!(step.phase, Phase::Unpowered | Phase::BoardAlone));
    let rows: Vec<Row> = steps.flat_map(of_step).collect();
    let columns = [Column::text("At"), Column::text("Reading"), Column::short("Expected")];
    let table = Table::new(columns, rows.clone()).phone(Phone::Fits);
    (!rows.is_empty()).then(|| Section::new("Expected readings", vec![table.into()]).into())
}

/// The numbers of a step.
fn of_step(step: &Step) -> Vec<Row> {
    let own = step.expected.iter().map(|expected| (step.title.as_str(), expected));
    let parts = step
        .parts
        .iter()
        .flat_map(|part| part.expected.iter().map(|expected| (part.what.as_str(), expected)));
    own.chain(parts)
        .filter(|(_, expected)| !matches!(expected.reading, Reading::Seen(_)))
        .map(|(at, expected)| {
            let what = expected.what.replace(&format!("{at} "), "");
            Row::of([capital(at), capital(what.split(" (").next().unwrap_or(&what)), expected.words()])
        })
        .collect()
}

//! What a bring-up recorded: a table to read, and one for a spreadsheet.

use document::csv::Csv;
use document::{Block, Column, Section, Table, Text};
use record::{Kind, Row, Verdict};

/// The columns of a table for a spreadsheet.
const COLUMNS: [&str; 14] = [
    "row", "at", "who", "board", "kind", "step", "what", "value", "verdict", "reason", "corrects", "files",
    "before", "hash",
];

/// The rows as a table for a spreadsheet.
#[must_use]
pub fn csv(rows: &[Row]) -> String {
    let mut csv = Csv::new(&COLUMNS);
    for row in rows {
        let (stamp, entry) = (&row.stamp, &row.entry);
        csv.line([
            row.number.to_string().as_str(),
            &row.at,
            &stamp.who,
            &stamp.board,
            entry.kind.word(),
            &entry.step,
            &entry.what,
            &entry.value,
            entry.verdict.map_or("", Verdict::word),
            &entry.reason,
            &entry
                .corrects
                .map(|number| number.to_string())
                .unwrap_or_default(),
            &stamp.files,
            &row.before,
            &row.hash,
        ]);
    }
    csv.finish()
}

/// The rows as a section of the proof; nothing where nothing is recorded.
pub(crate) fn section(rows: &[Row]) -> Option<Section> {
    let blocks = blocks(rows);
    (!blocks.is_empty()).then(|| Section::new("Bring-up record", blocks).at("record"))
}

/// The rows, the hash that stands for them all, and whether the clock went back; nothing where nothing is recorded.
pub(crate) fn blocks(rows: &[Row]) -> Vec<Block> {
    let Some(last) = rows.last() else {
        return Vec::new();
    };
    let fails = rows
        .iter()
        .filter(|row| row.entry.verdict == Some(Verdict::Fail))
        .count();
    let mut front = vec![Block::say(format!(
        "{} to {}; {fails} readings were not as expected.",
        minute(&rows[0].at),
        minute(&last.at)
    ))];
    let back = rows.windows(2).find(|pair| pair[1].at < pair[0].at);
    if let Some(pair) = back {
        front.push(Block::say(format!(
            "The clock went back before row {}: times do not tell the order, numbers do.",
            pair[1].number
        )));
    }
    let line = |row: &Row| {
        let entry = &row.entry;
        let value = match entry.verdict {
            Some(Verdict::Fail) => format!("FAIL: {}", entry.value),
            _ if entry.value.is_empty() => entry.kind.word().to_owned(),
            // Enough to find the file by.
            _ if entry.kind == Kind::Attached => {
                format!("attached, {}…", entry.value.get(..8).unwrap_or_default())
            }
            _ => entry.value.clone(),
        };
        let what = [entry.what.as_str(), entry.reason.as_str()];
        let what: Vec<&str> = what.into_iter().filter(|words| !words.is_empty()).collect();
        document::Row::of([
            row.number.to_string(),
            minute(&row.at),
            row.stamp.who.clone(),
            entry.step.clone(),
            value,
            what.join(": "),
        ])
    };
    let columns = [
        Column::number("row"),
        Column::short("at (UTC)"),
        Column::text("who"),
        Column::short("step"),
        Column::text("value"),
        Column::text("of"),
    ];
    front.push(Block::Table(Table::new(columns, rows.iter().map(line))));
    front.push(Block::remark(Text::of("It ends in ").code(&last.hash).and(
        ": note these digits elsewhere, and a row that is cut off shows too.",
    )));
    front
}

/// A time to the minute.
fn minute(at: &str) -> String {
    at.get(..16).unwrap_or(at).replace('T', " ")
}

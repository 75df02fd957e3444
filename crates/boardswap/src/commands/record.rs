//! `record`: what the bring-up recorded, out and in again.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use ::record::{Kind, Problem, Record, Row, Verdict, from_lines, to_lines};
use document::csv::Csv;
use document::{Block, Column, Document, Table, Text};
use serde::Serialize;

use crate::args::Args;
use crate::disk::{self, Folder};
use crate::faults::Trouble;
use crate::out::Out;

/// The file of the record in the folder of a swap.
pub const FILE: &str = "record.sqlite";

/// The largest export that is taken up.
const LARGEST: u64 = 256 << 20;

/// The columns of a table for a spreadsheet.
const COLUMNS: [&str; 14] = [
    "row", "at", "who", "board", "kind", "step", "what", "value", "verdict", "reason", "corrects", "files",
    "before", "hash",
];

#[derive(Serialize)]
struct Shown<'a> {
    /// The hash of the last row: it stands for all.
    last: Option<&'a str>,
    rows: &'a [Row],
}

/// Prints, exports or takes up a record.
pub fn run(
    args: &Args,
    export: Option<&Path>,
    import: Option<&Path>,
    out: &mut Out,
) -> Result<ExitCode, Trouble> {
    // A record belongs to a swap, though its files may have faults by now.
    Folder::open(&args.folder)?;
    let path = args.folder.join(FILE);
    if let Some(file) = import {
        let text = disk::text(file, LARGEST)?;
        let rows = from_lines(&text).map_err(|problem| trouble(&problem))?;
        let count = rows.len();
        drop(Record::take_up(&path, rows).map_err(|problem| trouble(&problem))?);
        said(args, out, &path, count)?;
        return Ok(ExitCode::SUCCESS);
    }
    let rows = Record::read(&path).map_err(|problem| trouble(&problem))?;
    if let Some(file) = export {
        let bytes = match file.extension().and_then(|ending| ending.to_str()) {
            Some("csv") => csv(&rows).into_bytes(),
            Some("jsonl") => to_lines(&rows).into_bytes(),
            _ => {
                let help = "name a file that ends in .csv or .jsonl".to_owned();
                return Err(Trouble::user(
                    format!("`{}` is neither a table nor lines of JSON", file.display()),
                    help,
                ));
            }
        };
        let (folder, name) = placed(file)?;
        disk::write_all(&folder, &[(name, bytes)])?;
        said(args, out, file, rows.len())?;
        return Ok(ExitCode::SUCCESS);
    }
    if args.json {
        out.json(&Shown {
            last: rows.last().map(|row| row.hash.as_str()),
            rows: &rows,
        })?;
    } else {
        out.document(&document(&rows));
    }
    Ok(ExitCode::SUCCESS)
}

/// What became of a file.
fn said(args: &Args, out: &mut Out, file: &Path, rows: usize) -> Result<(), Trouble> {
    if args.json {
        return out.json(&serde_json::json!({ "file": file.display().to_string(), "rows": rows }));
    }
    out.line(format!("{}: {rows} rows", file.display()));
    Ok(())
}

/// The folder of a file, and its name there.
fn placed(file: &Path) -> Result<(PathBuf, String), Trouble> {
    let name = file.file_name().and_then(|name| name.to_str());
    let name = name.ok_or_else(|| Trouble::user(format!("`{}` names no file", file.display()), None))?;
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
    Ok((folder.unwrap_or(Path::new(".")).to_owned(), name.to_owned()))
}

/// What is wrong with a record, and how it is mended.
pub fn trouble(problem: &Problem) -> Trouble {
    if problem.of_the_machine() {
        Trouble::machine(format!("{problem}; {}", problem.help()))
    } else {
        Trouble::user(problem.to_string(), problem.help().to_owned())
    }
}

/// The rows as a table for a spreadsheet.
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

fn document(rows: &[Row]) -> Document {
    let Some(last) = rows.last() else {
        return Document {
            title: Text::of("Nothing is recorded yet"),
            front: vec![Block::say(
                Text::of("Begin with ").code("boardswap bring-up").and("."),
            )],
            ..Document::default()
        };
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
    Document {
        title: Text::of(format!("{} rows are recorded", rows.len())),
        front,
        ..Document::default()
    }
}

/// A time to the minute.
fn minute(at: &str) -> String {
    at.get(..16).unwrap_or(at).replace('T', " ")
}

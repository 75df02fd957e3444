//! `record`: what the bring-up recorded, out and in again.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use ::record::{Problem, Record, Row, from_lines, to_lines};
use dossier::{recorded, screens};
use serde::Serialize;

use crate::args::Args;
use crate::disk::{self, Folder};
use crate::faults::Trouble;
use crate::out::Out;

/// The file of the record in the folder of a swap.
pub const FILE: &str = "record.sqlite";

/// The largest export that is taken up.
const LARGEST: u64 = 256 << 20;

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
            Some("csv") => recorded::csv(&rows).into_bytes(),
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
        out.document(&screens::recorded(&rows));
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

//! What the survey was told, in order: one line of JSON for each answer, so that the last can be undone and nothing is asked twice.

use std::collections::BTreeSet;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use ::record::sha256;
use serde::{Deserialize, Serialize};

use crate::faults::Trouble;
use crate::{date, disk};

/// Its file in the folder of the swap.
pub const FILE: &str = "survey.jsonl";
/// The largest that is read.
const LARGEST: u64 = 64 << 20;

/// One line.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct Line {
    /// Seconds since 1970.
    at: u64,
    question: String,
    answer: String,
    #[serde(flatten)]
    kept: Kept,
}

/// What an answer came to.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kept {
    /// Files that it changed.
    Files(Vec<File>),
    /// There is nothing of what was asked for.
    Nothing,
    /// The answer names a photograph.
    Photograph,
    /// A page for one day was made.
    Page,
    /// The line of this number was undone.
    Undone(usize),
}

/// A file before and after an answer.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct File {
    path: String,
    /// Its text before; none where it was not there.
    was: Option<String>,
    /// SHA-256 of its text after.
    sha256: String,
}

impl File {
    pub fn of(path: &str, was: Option<String>, text: &str) -> Self {
        Self {
            path: path.to_owned(),
            was,
            sha256: sha256(text.as_bytes()),
        }
    }
}

/// The lines so far.
pub struct Journal {
    path: PathBuf,
    lines: Vec<Line>,
    /// So many bytes of whole lines.
    whole: u64,
}

impl Journal {
    pub fn open(folder: &Path) -> Result<Self, Trouble> {
        let path = folder.join(FILE);
        let text = if path.exists() {
            disk::text(&path, LARGEST)?
        } else {
            String::new()
        };
        // What a power cut left of a last line was never answered for.
        let whole = text.rfind('\n').map_or(0, |end| end + 1);
        let mut lines = Vec::new();
        for (at, line) in text[..whole].lines().enumerate() {
            let line = serde_json::from_str(line).map_err(|error| {
                let help = format!("delete `{FILE}`: the answers are in the files, only undo ends there");
                Trouble::user(format!("`{FILE}`, line {}: {error}", at + 1), help)
            })?;
            lines.push(line);
        }
        Ok(Self {
            path,
            lines,
            whole: whole as u64,
        })
    }

    /// Questions whose answer was that there is nothing.
    pub fn nothing(&self) -> BTreeSet<String> {
        let standing = self.standing().into_iter();
        let nothing = standing.filter(|at| matches!(self.lines[*at].kept, Kept::Nothing));
        nothing.map(|at| self.lines[at].question.clone()).collect()
    }

    /// When the first page for one day was made, in seconds since 1970.
    pub fn page(&self) -> Option<u64> {
        let page = self.lines.iter().find(|line| matches!(line.kept, Kept::Page));
        page.map(|line| line.at)
    }

    /// The places of answers that were not undone.
    fn standing(&self) -> Vec<usize> {
        let mut standing = Vec::new();
        for (at, line) in self.lines.iter().enumerate() {
            match line.kept {
                Kept::Undone(undone) => standing.retain(|own| *own != undone),
                Kept::Photograph | Kept::Page => {}
                Kept::Files(_) | Kept::Nothing => standing.push(at),
            }
        }
        standing
    }

    /// Adds an answer; it is on the disk when this returns.
    pub fn add(&mut self, question: &str, answer: &str, kept: Kept) -> Result<(), Trouble> {
        let line = Line {
            at: date::now(),
            question: question.to_owned(),
            answer: answer.to_owned(),
            kept,
        };
        let mut text =
            serde_json::to_string(&line).map_err(|error| Trouble::machine(format!("JSON: {error}")))?;
        text.push('\n');
        let refused = |error: std::io::Error| disk::cannot_write(&self.path, &error);
        if let Some(folder) = self.path.parent() {
            std::fs::create_dir_all(folder).map_err(refused)?;
        }
        let mut file = std::fs::OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&self.path)
            .map_err(refused)?;
        file.set_len(self.whole).map_err(refused)?;
        std::io::Seek::seek(&mut file, std::io::SeekFrom::Start(self.whole)).map_err(refused)?;
        file.write_all(text.as_bytes()).map_err(refused)?;
        file.sync_all().map_err(refused)?;
        self.whole += text.len() as u64;
        self.lines.push(line);
        Ok(())
    }

    /// Takes the last answer back, unless its files were changed since; what was done, in words.
    pub fn undo(&mut self, folder: &Path) -> Result<String, Trouble> {
        let Some(at) = self.standing().pop() else {
            return Ok("Nothing is left to undo.".to_owned());
        };
        let line = self.lines[at].clone();
        if let Kept::Files(files) = &line.kept {
            for file in files {
                let now = disk::text(&folder.join(&file.path), model::LARGEST_FILE)?;
                if sha256(now.as_bytes()) != file.sha256 {
                    return Ok(format!(
                        "`{}` was changed by hand since: change it there.",
                        file.path
                    ));
                }
            }
            let back = files
                .iter()
                .filter_map(|file| Some((file.path.clone(), file.was.clone()?.into_bytes())));
            disk::write_all(folder, &back.collect::<Vec<_>>())?;
            for file in files.iter().filter(|file| file.was.is_none()) {
                let path = folder.join(&file.path);
                std::fs::remove_file(&path).map_err(|error| disk::cannot_write(&path, &error))?;
            }
        }
        self.add(&line.question, "", Kept::Undone(at))?;
        Ok(format!("Undone: `{}`.", line.answer))
    }
}

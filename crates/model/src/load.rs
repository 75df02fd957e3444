//! From the files of a folder to a checked swap, or every fault of every file.

use std::collections::BTreeSet;
use std::path::{Component, Path};

use toml::de::DeTable;

use crate::board::Board;
use crate::check::{self, Checker};
use crate::diagnostic::Diagnostic;
use crate::file::board::BoardFile;
use crate::file::machine::MachineFile;
use crate::file::swap::SwapFile;
use crate::read::{Field, Reader};
use crate::source::{FileId, Name, Place, Sources};
use crate::swap::{Captured, Swap};

/// The largest file that is read: 4 MiB is hundreds of times a real one.
pub const LARGEST_FILE: u64 = 4 << 20;

/// How the loader gets at files. The loader itself knows no disk.
pub trait Files {
    /// The bytes of a file of the swap folder.
    ///
    /// # Errors
    /// [`FileError`] where it is not there, too large, or cannot be read.
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError>;
}

/// Why a file could not be had.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FileError {
    /// It is not there.
    Missing,
    /// It has more bytes than [`LARGEST_FILE`].
    TooLarge(u64),
    /// The system refused, in its words.
    Refused(String),
}

/// Files given in memory, for tests and for the browser.
impl Files for std::collections::BTreeMap<String, Vec<u8>> {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        self.get(path).cloned().ok_or(FileError::Missing)
    }
}

/// All faults of a load, with the files they point into.
#[derive(Clone, Debug, PartialEq)]
pub struct Faults {
    /// The faults, ordered by file and place; at least one.
    pub faults: Vec<Diagnostic>,
    /// The files.
    pub sources: Sources,
}

/// Loads `swap.toml` and every file that it names.
///
/// # Errors
/// [`Faults`] with every fault of every file; nothing is returned in part.
pub fn load(files: &dyn Files) -> Result<Swap, Faults> {
    let mut loader = Loader {
        files,
        sources: Sources::default(),
        faults: Vec::new(),
        declared: BTreeSet::new(),
    };
    let swap = loader.swap();
    let Loader {
        mut faults, sources, ..
    } = loader;
    match swap {
        Some(swap) if faults.is_empty() => Ok(Swap { sources, ..swap }),
        _ => {
            faults.sort_by_key(|fault| fault.place);
            faults.dedup();
            Err(Faults { faults, sources })
        }
    }
}

/// Loads one board file by itself, as an editor or a collection of boards would.
///
/// # Errors
/// [`Faults`] with every fault of the file.
pub fn load_board(files: &dyn Files, path: &str) -> Result<(Board, Sources), Faults> {
    let mut loader = Loader {
        files,
        sources: Sources::default(),
        faults: Vec::new(),
        declared: BTreeSet::new(),
    };
    let board = loader
        .table::<BoardFile>(path, None)
        .map(|file| loader.checked(|checker| check::board(file, path, checker)));
    let Loader {
        mut faults, sources, ..
    } = loader;
    match board {
        Some(board) if faults.is_empty() => Ok((board, sources)),
        _ => {
            faults.sort_by_key(|fault| fault.place);
            Err(Faults { faults, sources })
        }
    }
}

struct Loader<'a> {
    files: &'a dyn Files,
    sources: Sources,
    faults: Vec<Diagnostic>,
    declared: BTreeSet<String>,
}

impl Loader<'_> {
    fn swap(&mut self) -> Option<Swap> {
        let file = self.table::<SwapFile>("swap.toml", None)?;
        let machine_path = file
            .machine
            .as_ref()
            .map_or("machine.toml", |name| name.value.as_str())
            .to_owned();
        let machine = self.table::<MachineFile>(&machine_path, file.machine.as_ref().or(Some(&file.name)));
        let machine = machine.map(|machine| self.checked(|checker| check::machine(machine, checker)));
        let old = self.board(&file.old_board);
        let candidates: Vec<Board> = file
            .candidates
            .iter()
            .filter_map(|name| self.board(name))
            .collect();
        let captured: Vec<Captured> = file
            .captured
            .iter()
            .filter_map(|name| self.captured(name))
            .collect();
        self.checked(|checker| {
            checker.unique(&file.candidates, "candidate file");
            checker.unique(candidates.iter().map(|board| &board.name), "board");
        });
        let choice = file.choice.as_ref().and_then(|name| {
            let names: Vec<String> = candidates.iter().map(|board| board.name.value.clone()).collect();
            self.checked(|checker| checker.find(name, names.iter().map(String::as_str), "candidate board"))
        });
        let (machine, old) = (machine?, old?);
        let wishes = self.checked(|checker| {
            check::old_ports(&machine, &old, checker);
            check::wishes(file.wish, &machine, checker)
        });
        Some(Swap {
            name: file.name,
            invented: file.invented.is_some_and(|invented| invented.value),
            machine,
            old,
            candidates,
            captured,
            choice,
            ambient: file.ambient,
            wishes,
            part_prices: file.part,
            sources: Sources::default(),
        })
    }

    fn checked<T>(&mut self, check: impl FnOnce(&mut Checker<'_>) -> T) -> T {
        check(&mut Checker {
            faults: &mut self.faults,
            declared: &self.declared,
        })
    }

    fn board(&mut self, path: &Name) -> Option<Board> {
        let file = self.table::<BoardFile>(&path.value, Some(path))?;
        Some(self.checked(|checker| check::board(file, &path.value, checker)))
    }

    fn captured(&mut self, path: &Name) -> Option<Captured> {
        let bytes = self.bytes(&path.value, Some(path))?;
        Some(Captured {
            path: path.value.clone(),
            text: String::from_utf8_lossy(&bytes).into_owned(),
        })
    }

    /// The bytes of a file, or a fault at the place that names it.
    fn bytes(&mut self, path: &str, named: Option<&Name>) -> Option<Vec<u8>> {
        let outside = Path::new(path)
            .components()
            .any(|part| !matches!(part, Component::Normal(_) | Component::CurDir));
        let result = if outside {
            Err(FileError::Refused("it lies outside the swap folder".to_owned()))
        } else {
            self.files.read(path)
        };
        let error = match result {
            Ok(bytes) if bytes.len() as u64 > LARGEST_FILE => FileError::TooLarge(bytes.len() as u64),
            Ok(bytes) => return Some(bytes),
            Err(error) => error,
        };
        let place = match named {
            Some(name) => name.place,
            None => Place::new(self.sources.add(path, ""), 0..0),
        };
        let (code, problem) = match error {
            FileError::Missing => ("file-missing", format!("the file `{path}` is not there")),
            FileError::TooLarge(size) => (
                "file-too-large",
                format!(
                    "the file `{path}` has {} MiB, more than the 4 MiB that are read",
                    size >> 20
                ),
            ),
            FileError::Refused(why) => (
                "file-unreadable",
                format!("the file `{path}` cannot be read: {why}"),
            ),
        };
        let diagnostic =
            Diagnostic::new(code, place, problem, "this file").expected("a text file inside the swap folder");
        self.faults.push(diagnostic);
        None
    }

    /// Reads a file as one table.
    fn table<T: Field>(&mut self, path: &str, named: Option<&Name>) -> Option<T> {
        let bytes = self.bytes(path, named)?;
        let text = match String::from_utf8(bytes) {
            Ok(text) => text,
            Err(error) => {
                let at = error.utf8_error().valid_up_to();
                let valid = String::from_utf8_lossy(&error.as_bytes()[..at]).into_owned();
                let file = self.sources.add(path, &valid);
                let place = Place::new(file, at..at);
                self.faults.push(
                    Diagnostic::new(
                        "not-utf-8",
                        place,
                        format!("the file `{path}` is not UTF-8 text"),
                        "no UTF-8 from here on",
                    )
                    .expected("a text file in UTF-8")
                    .help("save it as UTF-8 in your editor".to_owned()),
                );
                return None;
            }
        };
        let file = self.sources.add(path, &text);
        self.parse(&text, file)
    }

    fn parse<T: Field>(&mut self, text: &str, file: FileId) -> Option<T> {
        let (table, errors) = DeTable::parse_recoverable(text);
        let broken = !errors.is_empty();
        for error in errors {
            let span = error.span().unwrap_or(0..0);
            let problem = error.message().lines().next().unwrap_or("not TOML").to_owned();
            self.faults.push(
                Diagnostic::new(
                    "toml-syntax",
                    Place::new(file, span),
                    format!("not valid TOML: {problem}"),
                    problem,
                )
                .expected("TOML, version 1.0 (toml.io)"),
            );
        }
        if broken && table.get_ref().is_empty() {
            return None;
        }
        let mut reader = Reader {
            file,
            text,
            faults: &mut self.faults,
            declared: BTreeSet::new(),
        };
        let span = 0..text.len().min(text.find('\n').unwrap_or(text.len()));
        let node = toml::Spanned::new(span, toml::de::DeValue::Table(table.into_inner()));
        let before = reader.faults.len();
        let value = T::read(&node, &mut reader);
        // Missing keys after a syntax error are mostly that error's shadow.
        if broken {
            reader.faults.truncate(before);
        }
        let declared = reader.declared;
        self.declared.extend(declared);
        value
    }
}

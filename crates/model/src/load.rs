//! From the files of a folder to a checked swap, or every fault of every file.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use catalogue::{Catalogue, Kind, Table, TableFile};
use quantity::si::ThermodynamicTemperature;
use quantity::{Number, Value};
use toml::de::{DeTable, DeValue};

use crate::board::Board;
use crate::check::{self, CheckedBoard, Checker};
use crate::diagnostic::{Diagnostic, cut, did_you_mean, one_of};
use crate::dialect::Word;
use crate::file::board::BoardFile;
use crate::file::machine::MachineFile;
use crate::file::swap::{ControllerFile, EvidenceFile, SwapFile};
use crate::file::words::WordsFile;
use crate::machine::UNKNOWN_PORT;
use crate::origin::{Kept, Recorded};
use crate::read::{Assumptions, Field, Lost, Node, Reader, Supposed, Told, UNKNOWN};
use crate::source::{FileId, Name, Place, Sources};
use crate::swap::{Captured, Controller, Evidence, MeasuredOn, Swap};
use crate::words::EvidenceKind;

/// The largest file that is read: 4 MiB is hundreds of times a real one.
pub const LARGEST_FILE: u64 = 4 << 20;

/// The folder inside a swap whose files add rows to the catalogue, or replace some; they are named as in `data/`.
pub const OWN_ROWS: &str = "catalogue";

/// The folder, inside a swap and inside the user's own folder, whose files hold words of controllers.
pub const WORDS: &str = "words";

/// How the loader gets at files. The loader itself knows no disk.
pub trait Files {
    /// The bytes of a file of the swap folder.
    ///
    /// # Errors
    /// [`FileError`] where it is not there, too large, or cannot be read.
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError>;
    /// A file of the user's own folder, which serves all swaps.
    ///
    /// # Errors
    /// As for [`Self::read`].
    fn own(&self, _path: &str) -> Result<OwnFile, FileError> {
        Err(FileError::Missing)
    }
    /// The names of the files in a folder of the swap, in order; none where nobody can say.
    fn names(&self, _folder: &str) -> Vec<String> {
        Vec::new()
    }
    /// The names of the files in a folder of the user's own folder, in order.
    fn own_names(&self, _folder: &str) -> Vec<String> {
        Vec::new()
    }
    /// Whether values keep to `data/bounds.toml`. Only worked examples say no: they have parts without inertia, edges without time.
    fn bounded(&self) -> bool {
        true
    }
}

/// A file of the user's own folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnFile {
    /// Where it is, for messages.
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
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
impl Files for BTreeMap<String, Vec<u8>> {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        self.get(path).cloned().ok_or(FileError::Missing)
    }
    fn names(&self, folder: &str) -> Vec<String> {
        let inside = self
            .keys()
            .filter_map(|path| path.strip_prefix(folder)?.strip_prefix('/'));
        inside
            .filter(|name| !name.contains('/'))
            .map(str::to_owned)
            .collect()
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
    let recorded = Recorded::of(files);
    let swap = supposing(&recorded, &Supposed::default(), &[])?;
    let origin = (!swap.assumed.is_empty()).then(|| Arc::new(Kept::new(recorded.taken())));
    Ok(Swap { origin, ..swap })
}

/// A swap in which other answers stand for what nobody stated, and some facts are told.
pub(crate) fn supposing(files: &dyn Files, supposed: &Supposed, told: &[Told]) -> Result<Swap, Faults> {
    let mut loader = Loader::new(files);
    loader.assumptions.supposed = supposed.clone();
    loader.assumptions.told = told.to_vec();
    let swap = loader.swap();
    let assumed = core::mem::take(&mut loader.assumptions.assumed);
    let (mut swap, sources, catalogue) = loader.finish(swap)?;
    let room = &mut swap.ambient.temperature.value;
    *room = in_usual_room(*room, catalogue.limits().ambient_room.value);
    Ok(Swap {
        sources,
        catalogue,
        assumed,
        ..swap
    })
}

/// A room that is stated without tolerance gets cold and warm by as much as a usual one does.
fn in_usual_room(
    stated: Value<ThermodynamicTemperature>,
    usual: Value<ThermodynamicTemperature>,
) -> Value<ThermodynamicTemperature> {
    if !stated.is_exact() {
        return stated;
    }
    let off = |end: ThermodynamicTemperature| {
        ThermodynamicTemperature::from_base(stated.nominal().base() + end.base() - usual.nominal().base())
    };
    Value::between(off(usual.low()), stated.nominal(), off(usual.high()))
}

/// Loads one board file by itself, as an editor or a collection of boards would.
///
/// # Errors
/// [`Faults`] with every fault of the file.
pub fn load_board(files: &dyn Files, path: &str) -> Result<(Board, Sources), Faults> {
    let mut loader = Loader::new(files);
    loader.own_rows();
    let file = loader.table::<BoardFile>(path, None);
    let board = file.and_then(|file| {
        loader
            .checked(|checker| check::board(file, path, checker))
            .whole()
    });
    let (board, sources, _) = loader.finish(board)?;
    Ok((board, sources))
}

/// Reads the keys of one measurement by themselves, for a file outside any swap; `path` is what faults call the text.
///
/// # Errors
/// [`Faults`] with every fault of the keys. That tags and names exist is not asked: there is no machine.
pub fn load_evidence(path: &str, keys: &str) -> Result<EvidenceFile, Faults> {
    let files = BTreeMap::new();
    let mut loader = Loader::new(&files);
    let file = loader.sources.add(path, keys);
    let root = loader.root(keys, file);
    let evidence = loader.read::<EvidenceFile>(&root);
    loader.checked(|checker| {
        if let Some(keys) = &evidence {
            check::evidence_keys(keys, checker);
        }
    });
    Ok(loader.finish(evidence)?.0)
}

/// Reads the rows of a words file by itself; `path` is what faults call the text.
///
/// # Errors
/// [`Faults`] with every fault of the text.
pub fn load_words(path: &str, text: &str) -> Result<Vec<Word>, Faults> {
    let files = BTreeMap::new();
    let mut loader = Loader::new(&files);
    let file = loader.sources.add(path, text);
    let rows = loader.words_of(file, text);
    Ok(loader.finish(rows)?.0)
}

struct Loader<'a> {
    files: &'a dyn Files,
    sources: Sources,
    faults: Vec<Diagnostic>,
    refused: BTreeSet<String>,
    lost: Lost,
    assumptions: Assumptions,
    catalogue: Cow<'static, Catalogue>,
}

/// The text of a file as TOML. Where its syntax is broken, what could be recovered is there.
struct Root<'a> {
    node: Node<'a>,
    text: &'a str,
    file: FileId,
    broken: bool,
}

/// The other files that a swap names; read even where the swap itself is refused, so that their faults are reported too.
struct Named {
    machine: Option<Name>,
    old_board: Option<Name>,
    candidates: Vec<Name>,
    captured: Vec<Name>,
    words: Vec<Name>,
    after_loading: Vec<Name>,
}

/// What `[[controller]]` names: the rows of words by their name, file by file, and reports by their path.
struct Spoken {
    words: BTreeMap<String, Vec<(String, Vec<Word>)>>,
    reports: BTreeMap<String, Captured>,
}

impl<'a> Loader<'a> {
    fn new(files: &'a dyn Files) -> Self {
        Self {
            files,
            sources: Sources::default(),
            faults: Vec::new(),
            refused: BTreeSet::new(),
            lost: Lost::default(),
            assumptions: Assumptions::default(),
            catalogue: Cow::Borrowed(catalogue::built_in()),
        }
    }

    fn finish<T>(self, value: Option<T>) -> Result<(T, Sources, Cow<'static, Catalogue>), Faults> {
        let Self {
            mut faults, sources, ..
        } = self;
        match value {
            Some(value) if faults.is_empty() => Ok((value, sources, self.catalogue)),
            _ => {
                for fault in &mut faults {
                    fault.place = sources.fitted(fault.place);
                    for (place, _) in &mut fault.others {
                        *place = sources.fitted(*place);
                    }
                }
                faults.sort_by_key(|fault| fault.place);
                Err(Faults {
                    faults: once_each(faults),
                    sources,
                })
            }
        }
    }

    fn swap(&mut self) -> Option<Swap> {
        let (text, file) = self.text("swap.toml", None)?;
        let root = self.root(&text, file);
        let swap = self.read::<SwapFile>(&root);
        let named = self.named(&root);
        self.own_rows();
        let machine = match &named.machine {
            Some(name) => self.table::<MachineFile>(&name.value, Some(name.place)),
            None if root.has("machine") => None,
            None => self.table::<MachineFile>("machine.toml", Some(Place::new(file, first_line(&text)))),
        };
        let mut machine = machine.map(|machine| self.checked(|checker| check::machine(machine, checker)));
        let old = match &named.old_board {
            Some(name) => self.old_board(name),
            None if root.has("old_board") && !root.says_unknown("old_board") => None,
            None => Some((self.unknown_board(Place::new(file, first_line(&text))), false)),
        };
        let described = old
            .as_ref()
            .map_or(named.old_board.is_some(), |(_, described)| *described);
        let old = old.and_then(|(old, _)| old);
        if let Some(machine) = machine.as_mut().filter(|_| !described) {
            // Ports of a board that nobody described cannot be told apart.
            let ports = machine
                .devices
                .iter_mut()
                .filter_map(|device| device.cable.old_port.as_mut());
            ports.for_each(|port| UNKNOWN_PORT.clone_into(&mut port.value));
        }
        let paths: Vec<&Name> = firsts(&named.candidates).collect();
        let candidates = paths.iter().filter_map(|name| self.board(name)?.whole());
        let candidates: Vec<Board> = candidates.collect();
        let captured = firsts(&named.captured).filter_map(|name| self.captured(name));
        let captured: Vec<Captured> = captured.collect();
        let spoken = self.spoken(&named);
        self.checked(|checker| {
            checker.unique(&named.candidates, "candidate file");
            checker.unique(&named.captured, "captured file");
            checker.unique(candidates.iter().map(|board| &board.name), "board");
            if let (Some(machine), Some(old), true) = (&machine, &old, described) {
                check::old_ports(&machine.devices, &old.ports, checker);
            }
        });
        let swap = swap?;
        let choice = swap.chosen_board.as_ref().and_then(|name| {
            let known = candidates.iter().position(|board| board.name == *name);
            // The chosen board may be the one whose file was refused.
            if known.is_none() && candidates.len() == paths.len() {
                let names = candidates.iter().map(|board| board.name.value.as_str());
                self.checked(|checker| checker.find(name, names, "candidate board"));
            }
            known
        });
        let devices = machine.as_ref().map(|machine| machine.devices.as_slice());
        let old_name = old.as_ref().and_then(|old| old.name.as_ref());
        let boards = old_name
            .into_iter()
            .chain(candidates.iter().map(|board| &board.name));
        let mut controllers: Vec<Controller> = boards.map(Controller::of).collect();
        // A board whose file was refused may be the one that is meant.
        let whole = old_name.is_some() && candidates.len() == paths.len();
        self.reports_of_one(&swap.controller, &named.captured, old_name);
        self.controllers(swap.controller, &spoken, old_name, &mut controllers, whole);
        let wishes = self.checked(|checker| {
            check::parts(&swap.part, checker);
            check::workload(&swap.workload, checker);
            check::wishes(swap.wish, devices, checker)
        });
        let accepted = self.checked(|checker| {
            let names = candidates.iter().map(|board| board.name.value.as_str());
            let names: Vec<&str> = names.collect();
            let whole = (candidates.len() == paths.len()).then_some(&names[..]);
            check::accepted(swap.accepted, whole, checker)
        });
        let evidence = self.checked(|checker| {
            // A board whose file was refused may be the one that is meant.
            let boards = old
                .as_ref()
                .and_then(|old| old.name.as_ref())
                .filter(|_| candidates.len() == paths.len())
                .map(|old| {
                    let candidates = candidates.iter().map(|board| &board.name);
                    std::iter::once(old)
                        .chain(candidates)
                        .map(|name| name.value.as_str())
                        .collect()
                });
            let named = check::Named {
                tags: devices.map(|devices| devices.iter().map(|device| device.tag.value.as_str()).collect()),
                axes: machine
                    .as_ref()
                    .map(|machine| machine.axes.iter().map(|axis| axis.name.value.as_str()).collect()),
                boards,
            };
            check::evidence(swap.evidence, &named, checker)
        });
        self.read_backs(&evidence, &mut controllers);
        let unused_words = self.unused_words(&controllers);
        Some(Swap {
            name: swap.name.0?,
            invented: swap.invented.is_some_and(|invented| invented.value),
            machine: machine?.whole()?,
            old: old?.whole()?,
            candidates,
            old_settings: captured,
            controllers: Arc::from(controllers),
            unused_words,
            chosen_board: choice,
            ambient: swap.ambient.0?,
            wishes,
            part_prices: swap.part,
            evidence,
            workload: swap.workload,
            accepted,
            assumed: Vec::new(),
            origin: None,
            sources: Sources::default(),
            catalogue: Cow::Borrowed(catalogue::built_in()),
        })
    }

    fn named(&self, root: &Root<'_>) -> Named {
        // Their faults were reported when the swap itself was read.
        let (mut ignored, mut none) = (Vec::new(), Assumptions::default());
        let kinds = catalogue::built_in().kinds();
        let mut reader = root.reader(&mut ignored, false, &mut none, kinds);
        let mut names = |node, key| -> Vec<Name> {
            let read = items(node, key)
                .into_iter()
                .filter_map(|node| Name::read(node, &mut reader));
            read.map(tidied).collect()
        };
        let controllers = items(&root.node, "controller");
        let (mut words, mut after_loading) = (Vec::new(), Vec::new());
        for node in controllers {
            words.extend(names(node, "words"));
            after_loading.extend(names(node, "after_loading"));
        }
        let mut names = |key| names(&root.node, key);
        Named {
            machine: names("machine").pop(),
            old_board: names("old_board").pop().filter(|name| name.value != UNKNOWN),
            candidates: names("candidates"),
            captured: names("old_settings"),
            words,
            after_loading,
        }
    }

    fn checked<T>(&mut self, check: impl FnOnce(&mut Checker<'_>) -> T) -> T {
        check(&mut Checker {
            faults: &mut self.faults,
            refused: &mut self.refused,
            lost: &self.lost,
            assumptions: &mut self.assumptions,
            catalogue: &self.catalogue,
        })
    }

    fn board(&mut self, path: &Name) -> Option<CheckedBoard> {
        let file = self.table::<BoardFile>(&path.value, Some(path.place))?;
        Some(self.checked(|checker| check::board(file, &path.value, checker)))
    }

    /// The old board, and whether its ports are described.
    fn old_board(&mut self, path: &Name) -> Option<(Option<CheckedBoard>, bool)> {
        let file = self.table::<BoardFile>(&path.value, Some(path.place))?;
        let (board, described) = self.checked(|checker| check::old_board(file, &path.value, checker));
        Some((Some(board), described))
    }

    /// A board of which nothing is known: no port, and all else as usual.
    fn unknown_board(&mut self, place: Place) -> Option<CheckedBoard> {
        let text = "name = \"old board\"";
        let file = self.assumptions.table::<BoardFile>(place, text)?;
        Some(self.checked(|checker| check::unknown_board(file, checker)))
    }

    fn captured(&mut self, path: &Name) -> Option<Captured> {
        let bytes = self.bytes(&path.value, Some(path.place))?;
        Some(Captured {
            path: path.value.clone(),
            text: String::from_utf8_lossy(&bytes).into_owned(),
        })
    }

    /// Reads what `[[controller]]` names, also where the swap itself is refused.
    fn spoken(&mut self, named: &Named) -> Spoken {
        let mut spoken = Spoken {
            words: BTreeMap::new(),
            reports: BTreeMap::new(),
        };
        for name in &named.words {
            // Several boards may speak the same words: each file is read once. That one is not there is told wherever it is named.
            if !spoken.words.contains_key(&name.value)
                && let Some(rows) = self.words(name)
            {
                spoken.words.insert(name.value.clone(), rows);
            }
        }
        for path in &named.after_loading {
            if let Some(report) = self.captured(path) {
                spoken.reports.insert(path.value.clone(), report);
            }
        }
        spoken
    }

    /// What `[[controller]]` says of the controllers; `whole` where all boards could be read.
    fn controllers(
        &mut self,
        files: Vec<ControllerFile>,
        spoken: &Spoken,
        old: Option<&Name>,
        controllers: &mut [Controller],
        whole: bool,
    ) {
        self.checked(|checker| checker.unique(files.iter().map(|file| &file.board), "board of a controller"));
        for file in files {
            let names: Vec<String> = controllers
                .iter()
                .map(|controller| controller.board.clone())
                .collect();
            let known = names.contains(&file.board.value);
            if !known && !whole {
                continue;
            }
            let paths: Vec<Name> = file.after_loading.into_iter().map(tidied).collect();
            self.checked(|checker| checker.unique(&paths, "report"));
            if let Some(report) = paths
                .first()
                .filter(|_| old.is_some_and(|old| old.value == file.board.value))
            {
                let problem = format!("`{}` is the old board: it is not loaded anew", file.board.value);
                self.faults.push(
                    Diagnostic::new("contradiction", report.place, problem, "not of the old board")
                        .expected("what the old controller reported, in `old_settings`"),
                );
            }
            let names = names.iter().map(String::as_str);
            let Some(at) = self.checked(|checker| checker.find(&file.board, names, "board of this swap"))
            else {
                continue;
            };
            let controller = &mut controllers[at];
            let reports = paths.iter().filter_map(|path| spoken.reports.get(&path.value));
            controller.after_loading = reports.cloned().collect();
            let rows = file.words.as_ref().and_then(|name| spoken.words.get(&name.value));
            for (path, rows) in rows.into_iter().flatten() {
                controller.gave_way.extend(controller.dialect.add(rows.clone()));
                controller.files.push(path.clone());
            }
            controller.words = file.words;
        }
    }

    /// A report is of one controller: where two boards name the same file, or one names that of the old controller, one of them is wrong.
    fn reports_of_one(&mut self, files: &[ControllerFile], captured: &[Name], old: Option<&Name>) {
        let mut seen: Vec<(String, String)> = Vec::new();
        seen.extend(
            captured
                .iter()
                .map(|name| (name.value.clone(), "the old controller".to_owned())),
        );
        // That the old board is not loaded anew is told by itself.
        let is_old = |file: &&ControllerFile| old.is_some_and(|old| old.value == file.board.value);
        for file in files.iter().filter(|file| !is_old(file)) {
            let paths: Vec<Name> = file.after_loading.iter().cloned().map(tidied).collect();
            for path in &paths {
                let other = seen
                    .iter()
                    .find(|(known, of)| *known == path.value && *of != file.board.value);
                if let Some((_, of)) = other {
                    let problem = format!(
                        "`{path}` is named as the report of {of} and of {}",
                        file.board.value
                    );
                    self.faults.push(
                        Diagnostic::new("contradiction", path.place, problem, "a second time")
                            .expected("a report of its own for each controller"),
                    );
                }
            }
            seen.extend(
                paths
                    .into_iter()
                    .map(|path| (path.value, file.board.value.clone())),
            );
        }
    }

    /// The rows of words of that name, with the path of each file: the user's own folder first, since what the swap says goes before.
    fn words(&mut self, name: &Name) -> Option<Vec<(String, Vec<Word>)>> {
        let path = format!("{WORDS}/{}.toml", name.value);
        if check::is_outside(&path) || name.value.contains('/') {
            let problem = format!("`{}` is no name of words", name.value);
            self.faults.push(
                Diagnostic::new("bad-name", name.place, problem, "not one name")
                    .expected("NAME of a file `words/NAME.toml`"),
            );
            return None;
        }
        let mut texts = Vec::new();
        match self.files.own(&path) {
            Ok(own) if own.bytes.len() as u64 > LARGEST_FILE => {
                let (code, problem) = too_large(&own.path, own.bytes.len() as u64);
                self.faults
                    .push(Diagnostic::new(code, name.place, problem, "this file"));
            }
            Ok(own) => texts.extend(
                self.decoded(&own.path, own.bytes)
                    .map(|(text, file)| (own.path, text, file)),
            ),
            Err(FileError::Missing) => {}
            Err(error) => {
                let (code, problem) = refused(&path, &error);
                self.faults
                    .push(Diagnostic::new(code, name.place, problem, "this file"));
            }
        }
        if self.files.read(&path) == Err(FileError::Missing) {
            if texts.is_empty() {
                self.missing_words(name, &path);
                return None;
            }
        } else if let Some((text, file)) = self.text(&path, Some(name.place)) {
            texts.push((path, text, file));
        }
        let rows = texts
            .into_iter()
            .filter_map(|(path, text, file)| Some((path, self.words_of(file, &text)?)));
        Some(rows.collect())
    }

    fn missing_words(&mut self, name: &Name, path: &str) {
        let mut known: Vec<String> = self.files.names(WORDS);
        known.extend(self.files.own_names(WORDS));
        let mut known: Vec<&str> = known
            .iter()
            .filter_map(|file| file.strip_suffix(".toml"))
            .collect();
        known.sort_unstable();
        known.dedup();
        let problem = format!("there are no words `{}`", name.value);
        let mut fault = Diagnostic::new("file-missing", name.place, problem, format!("no `{path}`"))
            .help(did_you_mean(&name.value, known.iter().copied()));
        fault = fault.expected(if known.is_empty() {
            format!("a file `{path}` in the swap, or in your own folder")
        } else {
            one_of(known.iter().copied())
        });
        self.faults.push(fault);
    }

    fn words_of(&mut self, file: FileId, text: &str) -> Option<Vec<Word>> {
        let path = self.sources.file(file).path.clone();
        let root = self.root(text, file);
        let words = self.read::<WordsFile>(&root)?;
        Some(self.checked(|checker| check::words(words, &path, checker)))
    }

    /// What controllers reported after they had been told: it shows their words too. That a file is not there is told with the measurements.
    fn read_backs(&self, evidence: &[Evidence], controllers: &mut [Controller]) {
        let read_backs = evidence
            .iter()
            .filter(|evidence| evidence.keys.kind.value == EvidenceKind::SettingsReadBack);
        for evidence in read_backs {
            let Some(MeasuredOn::Candidate(at)) = evidence.board else {
                continue;
            };
            let path = &evidence.keys.file.value;
            let bytes = Some(path)
                .filter(|path| !check::is_outside(path))
                .map(|path| self.files.read(path));
            if let (Some(Ok(bytes)), Some(controller)) = (bytes, controllers.get_mut(at + 1)) {
                controller.read_back.push(Captured {
                    path: path.clone(),
                    text: String::from_utf8_lossy(&bytes).into_owned(),
                });
            }
        }
    }

    fn unused_words(&self, controllers: &[Controller]) -> Vec<String> {
        let used = |name: &str| {
            let words = controllers
                .iter()
                .filter_map(|controller| controller.words.as_ref());
            words.into_iter().any(|words| words.value == name)
        };
        let names = self.files.names(WORDS).into_iter();
        let unused = names.filter(|file| file.strip_suffix(".toml").is_some_and(|name| !used(name)));
        unused.map(|file| format!("{WORDS}/{file}")).collect()
    }

    /// Rows of the user's own for the catalogue, from the files that are there.
    fn own_rows(&mut self) {
        for name in self.files.names(OWN_ROWS) {
            // Editors leave files of their own beside others.
            if TableFile::from_name(&name).is_some() || name.starts_with('.') || name.ends_with('~') {
                continue;
            }
            let path = format!("{OWN_ROWS}/{name}");
            let place = Place::new(self.sources.add(&path, ""), 0..0);
            let names: Vec<&str> = TableFile::ALL.iter().map(|table| table.name()).collect();
            let headline = format!("no table of the catalogue is called `{}`", cut(&name, 60));
            self.faults.push(
                Diagnostic::new("unknown-table", place, headline, "this file would not be read")
                    .expected(one_of(names))
                    .help(TableFile::nearest(&name).map(|near| format!("did you mean `{near}`?"))),
            );
        }
        // What a swap says itself goes before what the user says for all swaps.
        for table in TableFile::ALL {
            let path = format!("{OWN_ROWS}/{}", table.name());
            if let Ok(own) = self.files.own(&path)
                && own.bytes.len() as u64 <= LARGEST_FILE
                && let Some((text, file)) = self.decoded(&own.path, own.bytes)
            {
                self.rows_over(table, &text, file);
            }
        }
        for table in TableFile::ALL {
            let path = format!("{OWN_ROWS}/{}", table.name());
            if self.files.read(&path) == Err(FileError::Missing) {
                continue;
            }
            if let Some((text, file)) = self.text(&path, None) {
                self.rows_over(table, &text, file);
            }
        }
    }

    fn rows_over(&mut self, table: TableFile, text: &str, file: FileId) {
        if let Err(faults) = self.catalogue.to_mut().override_with(table, text) {
            let diagnostics = faults.into_iter().map(|fault| {
                let message = cut(&fault.message, 400);
                Diagnostic::new("bad-row", Place::new(file, fault.span), message, "in this row")
            });
            self.faults.extend(diagnostics);
        }
    }

    /// The bytes of a file, or a fault at the place that names it.
    fn bytes(&mut self, path: &str, named: Option<Place>) -> Option<Vec<u8>> {
        let (code, problem) = if check::is_outside(path) {
            check::outside(path)
        } else {
            match self.files.read(path) {
                Ok(bytes) if bytes.len() as u64 <= LARGEST_FILE => return Some(bytes),
                Ok(bytes) => too_large(path, bytes.len() as u64),
                Err(error) => refused(path, &error),
            }
        };
        let place = named.unwrap_or_else(|| Place::new(self.sources.add(path, ""), 0..0));
        self.faults.push(
            Diagnostic::new(code, place, problem, "this file").expected("a text file inside the swap folder"),
        );
        None
    }

    /// The text of a file, or a fault.
    fn text(&mut self, path: &str, named: Option<Place>) -> Option<(String, FileId)> {
        let bytes = self.bytes(path, named)?;
        self.decoded(path, bytes)
    }

    fn decoded(&mut self, path: &str, bytes: Vec<u8>) -> Option<(String, FileId)> {
        let error = match String::from_utf8(bytes) {
            Ok(text) => {
                let file = self.sources.add(path, &text);
                return Some((text, file));
            }
            Err(error) => error,
        };
        let at = error.utf8_error().valid_up_to();
        let valid = String::from_utf8_lossy(&error.as_bytes()[..at]).into_owned();
        let file = self.sources.add(path, &valid);
        self.faults.push(
            Diagnostic::new(
                "not-utf-8",
                Place::new(file, at..at),
                format!("the file `{path}` is not UTF-8 text"),
                "no UTF-8 from here on",
            )
            .expected("a text file in UTF-8")
            .help("save it as UTF-8 in your editor".to_owned()),
        );
        None
    }

    /// Reads a file as one table; nothing where its syntax is broken, since what is missing then is only lost.
    fn table<T: Field>(&mut self, path: &str, named: Option<Place>) -> Option<T> {
        let (text, file) = self.text(path, named)?;
        let root = self.root(&text, file);
        self.read(&root)
    }

    fn root<'t>(&mut self, text: &'t str, file: FileId) -> Root<'t> {
        let (table, errors) = DeTable::parse_recoverable(text);
        let broken = !errors.is_empty();
        // Errors behind the first one of a line are mostly its echo. They come in the order of the text.
        let (mut line, mut counted) = (0, 0);
        let mut told = BTreeSet::new();
        for error in errors {
            let span = error.span().unwrap_or(0..0);
            if let Some(between) = text.as_bytes().get(counted..span.start) {
                line += between.iter().filter(|byte| **byte == b'\n').count();
                counted = span.start;
            }
            if told.insert(line) {
                let written = text.get(span.clone()).unwrap_or("");
                self.faults
                    .push(syntax(error.message(), Place::new(file, span), written));
            }
        }
        let span = first_line(text);
        Root {
            node: toml::Spanned::new(span, DeValue::Table(table.into_inner())),
            text,
            file,
            broken,
        }
    }

    fn read<T: Field>(&mut self, root: &Root<'_>) -> Option<T> {
        let before = self.faults.len();
        if !root.broken && root.is_empty() {
            let path = &self.sources.file(root.file).path;
            let problem = format!("the file `{path}` holds nothing");
            self.faults.push(
                Diagnostic::new(
                    "empty-file",
                    Place::new(root.file, 0..0),
                    problem,
                    "no key and no table",
                )
                .expected("the keys and tables of docs/formats.md"),
            );
            return None;
        }
        let path = &self.sources.file(root.file).path;
        let mut reader = Reader {
            path: Some(Arc::from(path.as_str())),
            ..root.reader(
                &mut self.faults,
                self.files.bounded(),
                &mut self.assumptions,
                self.catalogue.kinds(),
            )
        };
        let value = T::read(&root.node, &mut reader);
        let Reader { refused, lost, .. } = reader;
        self.refused.extend(refused);
        self.lost.extend(lost);
        if !root.broken {
            return value;
        }
        // After a syntax error keys are missing, or in the wrong table, mostly by that error; values stand for themselves.
        let read = self.faults.split_off(before);
        let of_values = ["bad-value", "implausible-value", "unknown-word", "bad-name"];
        self.faults
            .extend(read.into_iter().filter(|fault| of_values.contains(&fault.code)));
        None
    }
}

impl Root<'_> {
    fn is_empty(&self) -> bool {
        matches!(self.node.get_ref(), DeValue::Table(table) if table.is_empty())
    }

    /// Whether a key says that nobody knows it.
    fn says_unknown(&self, key: &str) -> bool {
        items(&self.node, key)
            .first()
            .is_some_and(|node| node.get_ref().as_str() == Some(UNKNOWN))
    }

    fn has(&self, key: &str) -> bool {
        matches!(self.node.get_ref(), DeValue::Table(table) if table.contains_key(key))
    }

    fn reader<'f>(
        &'f self,
        faults: &'f mut Vec<Diagnostic>,
        bounded: bool,
        assumptions: &'f mut Assumptions,
        kinds: &'f Table<Kind>,
    ) -> Reader<'f> {
        Reader {
            file: self.file,
            text: self.text,
            faults,
            refused: BTreeSet::new(),
            lost: Lost::default(),
            asked: None,
            bounded,
            path: None,
            stand_in: None,
            end: None,
            drawing: None,
            scopes: Vec::new(),
            assumptions,
            kinds,
        }
    }
}

/// The values under a key of a table: those of a list one by one.
fn items<'n, 't>(node: &'n Node<'t>, key: &str) -> Vec<&'n Node<'t>> {
    let DeValue::Table(table) = node.get_ref() else {
        return Vec::new();
    };
    match table.get(key) {
        None => Vec::new(),
        Some(node) => match node.get_ref() {
            DeValue::Array(items) => items.iter().collect(),
            _ => vec![node],
        },
    }
}

/// Each fault once; equal ones stand at one place.
fn once_each(sorted: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let mut once: Vec<Diagnostic> = Vec::with_capacity(sorted.len());
    for fault in sorted {
        let mut same_place = once.iter().rev().take_while(|other| other.place == fault.place);
        if !same_place.any(|other| *other == fault) {
            once.push(fault);
        }
    }
    once
}

/// The first line that says something: keys that the root lacks are told there.
fn first_line(text: &str) -> core::ops::Range<usize> {
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let said = line.trim_start_matches('\u{feff}').trim();
        if !said.is_empty() && !said.starts_with('#') {
            return start..start + line.trim_end().len();
        }
        start += line.len();
    }
    0..0
}

/// A syntax error in the words of the parser, but for text without quotes, which it takes for something else.
fn syntax(message: &str, place: Place, written: &str) -> Diagnostic {
    let problem = message.lines().next().unwrap_or("not TOML");
    let word = written.starts_with(char::is_alphabetic) && !written.contains(['\n', '"', '\'']);
    let bare = word
        && ["invalid boolean", "string values must be quoted"]
            .iter()
            .any(|start| problem.starts_with(start));
    let problem = if bare { "text without quotes" } else { problem };
    let shown = cut(written.trim_end(), 60);
    Diagnostic::new(
        "toml-syntax",
        place,
        format!("not valid TOML: {problem}"),
        problem,
    )
    .expected("TOML, version 1.0 (toml.io)")
    .help(bare.then(|| format!("write `\"{shown}\"`")))
}

fn refused(path: &str, error: &FileError) -> (&'static str, String) {
    match error {
        FileError::TooLarge(size) => too_large(path, *size),
        FileError::Missing => ("file-missing", format!("the file `{path}` is not there")),
        FileError::Refused(why) => (
            "file-unreadable",
            format!("the file `{path}` cannot be read: {why}"),
        ),
    }
}

fn too_large(path: &str, size: u64) -> (&'static str, String) {
    let problem = format!(
        "the file `{path}` has {} MiB, more than the {} MiB that are read",
        size.div_ceil(1 << 20),
        LARGEST_FILE >> 20
    );
    ("file-too-large", problem)
}

/// Each path once: that it stands twice is reported, what the file holds is not then reported twice.
fn firsts(paths: &[Name]) -> impl Iterator<Item = &Name> {
    let first = |at: usize| !paths[..at].contains(&paths[at]);
    (0..paths.len()).filter(move |at| first(*at)).map(|at| &paths[at])
}

/// A path without needless parts, so that two spellings of one file are seen to be the same.
fn tidied(mut path: Name) -> Name {
    let parts: Vec<&str> = path.value.split('/').filter(|part| *part != ".").collect();
    path.value = parts.join("/");
    path
}

//! A swap as checked, with all that belongs to it.

pub use crate::file::swap::{Ambient, EvidenceFile, PartPrice, WorkloadFile};

use std::borrow::Cow;
use std::sync::Arc;

use catalogue::Catalogue;

use crate::board::Board;
use crate::dialect::{Dialect, GaveWay};
use crate::machine::{AxisId, DeviceId, Machine};
use crate::origin::Kept;
use crate::read::Assumed;
use crate::source::{Located, Name, Place, Sources};
use crate::words::WishKind;

/// A whole swap: the machine, its old board, the candidates, the wishes.
#[derive(Clone, Debug)]
pub struct Swap {
    /// What it is called.
    pub name: Name,
    /// Whether it is made up for an example.
    pub invented: bool,
    /// The machine.
    pub machine: Machine,
    /// The board that is replaced.
    pub old: Board,
    /// The boards to choose from.
    pub candidates: Vec<Board>,
    /// What the old controller reported.
    pub old_settings: Vec<Captured>,
    /// The controllers: that of the old board, then those of `candidates` in their order. Shared, since swaps are copied for draws.
    pub controllers: Arc<[Controller]>,
    /// Words files of the swap's folder that no controller speaks, by their path.
    pub unused_words: Vec<String>,
    /// The chosen candidate, by its place in `candidates`.
    pub chosen_board: Option<usize>,
    /// The room.
    pub ambient: Ambient,
    /// What the owner wants beyond what the machine had.
    pub wishes: Vec<Wish>,
    /// Prices of parts that differ from the catalogue's.
    pub part_prices: Vec<PartPrice>,
    /// Measurements to be looked at. Their files are not read with the swap: a log may be larger than all of it.
    pub evidence: Vec<Evidence>,
    /// The owner's own G-code: files, archives or folders, not read with the swap.
    pub workload: Vec<WorkloadFile>,
    /// Findings that somebody accepted.
    pub accepted: Vec<Accepted>,
    /// What nobody stated, and what is taken for it until somebody does; in the order of reading.
    pub assumed: Vec<Assumed>,
    /// The files, where something is assumed: other answers are tried on them.
    pub origin: Option<Arc<Kept>>,
    /// All files, to point into.
    pub sources: Sources,
    /// The catalogue with the rows of the swap's own (`catalogue/*.toml` in its folder): every name of it was looked up here.
    pub catalogue: Cow<'static, Catalogue>,
}

/// A file that holds what the old controller reported.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Captured {
    /// Its path inside the swap folder.
    pub path: String,
    /// Its text; bytes that are no UTF-8 are replaced, since terminals cut characters.
    pub text: String,
}

/// The controller on a board, as far as words go.
#[derive(Clone, Debug, PartialEq)]
pub struct Controller {
    /// The name of its board.
    pub board: String,
    /// What it speaks: the shared words, and those of its own.
    pub dialect: Dialect,
    /// The name of its words of its own.
    pub words: Option<Name>,
    /// The files of those words, what goes before standing last.
    pub files: Vec<String>,
    /// Rows that gave way to rows of those files.
    pub gave_way: Vec<GaveWay>,
    /// What it reported after it was loaded.
    pub after_loading: Vec<Captured>,
    /// What it reported later, once it had been told its settings.
    pub read_back: Vec<Captured>,
}

/// Something that the owner wants beyond what the machine had.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// What people call it.
    pub name: Name,
    /// What it asks for.
    pub kind: WishKind,
    /// The devices it is about, at least one.
    pub devices: Vec<DeviceId>,
    /// What it is worth beside the other wishes, 1 ..= 1000.
    pub weight: Located<u32>,
    /// Where its table begins.
    pub place: Place,
}

/// A finding that somebody looked at and accepts.
#[derive(Clone, Debug, PartialEq)]
pub struct Accepted {
    /// The finding, by its identifier.
    pub finding: Name,
    /// The candidate on which it is accepted, by its place; every one where there is none.
    pub board: Option<usize>,
    /// The worst value that is accepted: a number and its unit.
    pub value: Option<Located<(f64, String)>>,
    /// Why.
    pub reason: Name,
    /// Who accepted it.
    pub by: Name,
}

/// A measurement that belongs to the swap.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// The keys as written; each has a meaning for its kind.
    pub keys: EvidenceFile,
    /// The board on which it was measured.
    pub board: Option<MeasuredOn>,
    /// The devices that it is about.
    pub devices: Vec<DeviceId>,
    /// The axis that it is about.
    pub axis: Option<AxisId>,
}

/// A board of the swap.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MeasuredOn {
    /// The board that is replaced.
    Old,
    /// A candidate by its place.
    Candidate(usize),
}

impl Controller {
    pub(crate) fn of(board: &Name) -> Self {
        Self {
            board: board.value.clone(),
            dialect: Dialect::common().clone(),
            words: None,
            files: Vec::new(),
            gave_way: Vec::new(),
            after_loading: Vec::new(),
            read_back: Vec::new(),
        }
    }
}

impl Swap {
    /// The controller on a board of this swap.
    ///
    /// # Panics
    /// Where the board belongs to another swap.
    #[must_use]
    pub fn controller(&self, board: &Board) -> &Controller {
        let found = self
            .controllers
            .iter()
            .find(|controller| controller.board == board.name.value);
        found.unwrap_or_else(|| panic!("the board {} belongs to another swap", board.name))
    }
    /// The board on which something was measured.
    #[must_use]
    pub fn measured_on(&self, board: MeasuredOn) -> &Board {
        match board {
            MeasuredOn::Old => &self.old,
            MeasuredOn::Candidate(at) => &self.candidates[at],
        }
    }
}

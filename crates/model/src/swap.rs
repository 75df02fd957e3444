//! A swap as checked, with all that belongs to it.

pub use crate::file::swap::{Ambient, PartPrice};

use std::borrow::Cow;

use catalogue::Catalogue;

use crate::board::Board;
use crate::machine::{DeviceId, Machine};
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
    pub captured: Vec<Captured>,
    /// The chosen candidate, by its place in `candidates`.
    pub choice: Option<usize>,
    /// The room.
    pub ambient: Ambient,
    /// What the owner wants beyond what the machine had.
    pub wishes: Vec<Wish>,
    /// Prices of parts that differ from the catalogue's.
    pub part_prices: Vec<PartPrice>,
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
    pub value: Located<u32>,
    /// Where its table begins.
    pub place: Place,
}

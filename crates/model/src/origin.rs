//! The files that a swap was read from, kept where something in them is not stated: other answers are tried on them.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use crate::load::{FileError, Files, OwnFile, supposing};
use crate::read::{Assumed, Supposed, Told};
use crate::swap::Swap;

type Read = Result<Vec<u8>, FileError>;

/// What was read of some files.
#[derive(Clone, Debug, Default)]
pub(crate) struct Taken {
    read: BTreeMap<String, Read>,
    own: BTreeMap<String, Result<OwnFile, FileError>>,
    names: BTreeMap<String, Vec<String>>,
    own_names: BTreeMap<String, Vec<String>>,
    bounded: bool,
}

/// Files that remember what was read of them.
pub(crate) struct Recorded<'a> {
    files: &'a dyn Files,
    taken: RefCell<Taken>,
}

impl<'a> Recorded<'a> {
    pub fn of(files: &'a dyn Files) -> Self {
        let taken = Taken {
            bounded: files.bounded(),
            ..Taken::default()
        };
        Self {
            files,
            taken: RefCell::new(taken),
        }
    }
    pub fn taken(self) -> Taken {
        self.taken.into_inner()
    }
}

impl Files for Recorded<'_> {
    fn read(&self, path: &str) -> Read {
        let read = self.files.read(path);
        self.taken.borrow_mut().read.insert(path.to_owned(), read.clone());
        read
    }
    fn own(&self, path: &str) -> Result<OwnFile, FileError> {
        let own = self.files.own(path);
        self.taken.borrow_mut().own.insert(path.to_owned(), own.clone());
        own
    }
    fn names(&self, folder: &str) -> Vec<String> {
        let names = self.files.names(folder);
        self.taken
            .borrow_mut()
            .names
            .insert(folder.to_owned(), names.clone());
        names
    }
    fn own_names(&self, folder: &str) -> Vec<String> {
        let names = self.files.own_names(folder);
        self.taken
            .borrow_mut()
            .own_names
            .insert(folder.to_owned(), names.clone());
        names
    }
    fn bounded(&self) -> bool {
        self.files.bounded()
    }
}

impl Files for Taken {
    fn read(&self, path: &str) -> Read {
        self.read.get(path).cloned().unwrap_or(Err(FileError::Missing))
    }
    fn own(&self, path: &str) -> Result<OwnFile, FileError> {
        self.own.get(path).cloned().unwrap_or(Err(FileError::Missing))
    }
    fn names(&self, folder: &str) -> Vec<String> {
        self.names.get(folder).cloned().unwrap_or_default()
    }
    fn own_names(&self, folder: &str) -> Vec<String> {
        self.own_names.get(folder).cloned().unwrap_or_default()
    }
    fn bounded(&self) -> bool {
        self.bounded
    }
}

/// The files of a swap, and the same swap with other answers, each read once.
#[derive(Debug)]
pub struct Kept {
    taken: Arc<Taken>,
    told: Vec<Told>,
    tried: Mutex<Vec<(Supposed, Option<Arc<Swap>>)>>,
}

impl Kept {
    pub(crate) fn new(taken: Taken) -> Self {
        Self {
            taken: Arc::new(taken),
            told: Vec::new(),
            tried: Mutex::new(Vec::new()),
        }
    }
    /// The swap with other answers for what nobody stated; `None` where these contradict what is stated.
    #[must_use]
    pub fn supposing(&self, supposed: &Supposed) -> Option<Arc<Swap>> {
        let mut tried = self
            .tried
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        if let Some((_, swap)) = tried.iter().find(|(own, _)| own == supposed) {
            return swap.clone();
        }
        let swap = supposing(&*self.taken, supposed, &self.told).ok().map(Arc::new);
        tried.push((supposed.clone(), swap.clone()));
        swap
    }
    /// The swap as if its files stated a fact, with the answer as TOML writes it; `None` where that contradicts what they do state.
    #[must_use]
    pub fn telling(&self, fact: &Assumed, answer: &str) -> Option<Swap> {
        let mut told = self.told.clone();
        told.push(Told {
            place: fact.place,
            key: fact.key,
            answer: answer.to_owned(),
        });
        let swap = supposing(&*self.taken, &Supposed::default(), &told).ok()?;
        let origin = (!swap.assumed.is_empty()).then(|| {
            Arc::new(Self {
                taken: Arc::clone(&self.taken),
                told,
                tried: Mutex::new(Vec::new()),
            })
        });
        Some(Swap { origin, ..swap })
    }
}

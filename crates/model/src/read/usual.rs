//! What stands for a needed value that nobody stated: taken from what is usual, and kept in mind.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use catalogue::{Usual, literal};
use quantity::End;
use toml::de::DeValue;

use super::{Field, Lost, Node, Reader};
use crate::source::{Name, Place};

/// Which of the answers that are found in the trade stands for a value that nobody stated.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Answer {
    /// The whole interval, or the usual word.
    #[default]
    Usual,
    /// The middle of the interval alone, or the usual word.
    Likely,
    /// The lower end of the interval, or the first of the other words.
    Low,
    /// The upper end, or the last of the other words.
    High,
}

/// Which answer stands where: of the machine with its swap, and of the boards.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Supposed {
    /// In the files of swap and machine.
    pub machine: Answer,
    /// In the files of boards.
    pub boards: Answer,
    /// For the key of this kind of table alone; the usual answer elsewhere.
    pub only: Option<(&'static str, &'static str)>,
}

/// A fact that is tried as if a file stated it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Told {
    /// Where the table begins that lacks it.
    pub place: Place,
    /// The key.
    pub key: &'static str,
    /// The value, as TOML writes it.
    pub answer: String,
}

/// A value that nobody stated.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// The kind of table, as messages call it.
    pub of: &'static str,
    /// What the table belongs to, from the outside in: a tag, a port, a driver; empty for the file itself.
    pub owner: Vec<String>,
    /// The key.
    pub key: &'static str,
    /// What was taken, as it would be written into the file.
    pub taken: String,
    /// The row that it was taken from.
    pub row: &'static Usual,
    /// Where the table begins that lacks it.
    pub place: Place,
}

impl Assumed {
    /// The name by which it is asked for: "H1.wire", "case.size".
    #[must_use]
    pub fn id(&self) -> String {
        if self.owner.is_empty() {
            format!("{}.{}", self.of.replace(' ', "-"), self.key)
        } else {
            format!("{}.{}", self.owner.join("."), self.key)
        }
    }
    /// Answers that are found, as they would be written: the usual one, and those that differ most from it.
    #[must_use]
    pub fn answers(&self) -> Vec<String> {
        let row = std::iter::once(&self.row.value).chain(&self.row.also);
        let mut out: Vec<String> = Vec::new();
        for answer in row.map(literal) {
            if let Some((low, high)) = ends(&answer) {
                out.extend([low, high].map(|end| format!("\"{end}\"")));
            } else if !out.contains(&answer) {
                out.push(answer);
            }
        }
        out
    }
    /// What is assumed, in words: "`wire` of H1".
    #[must_use]
    pub fn words(&self) -> String {
        match self.owner.last() {
            Some(owner) => format!("`{}` of {owner}", self.key),
            None => format!("`{}` of the {}", self.key, self.of),
        }
    }
}

/// The words of a table that rows of what is usual ask for.
#[derive(Clone, Debug)]
pub(crate) struct Scope {
    table: &'static str,
    /// The name of a file; it says nothing of what the file holds.
    file: Option<String>,
    words: Vec<(&'static str, String)>,
}

/// What was taken for what nobody stated, while files are read and checked.
#[derive(Debug, Default)]
pub(crate) struct Assumptions {
    pub supposed: Supposed,
    pub told: Vec<Told>,
    pub assumed: Vec<Assumed>,
    /// The same by place and key.
    taken: BTreeSet<(Place, &'static str)>,
    /// Keys that say `?`, by the place of their table: where that stands.
    pub unknown: BTreeMap<(Place, &'static str), Place>,
    /// Whether a board is being checked: what nobody described at all stands in no file of one.
    pub in_board: bool,
    /// The words in and around each table of which the needed keys are known only once it is checked.
    scopes: BTreeMap<Place, Vec<(FileName, Vec<Scope>)>>,
}

type FileName = Option<Arc<str>>;

/// The keys whose words tell what is usual.
const TELLING: [&str; 6] = ["kind", "role", "zone", "drive", "name", "tag"];

impl Scope {
    pub fn of(table: &'static str, keys: &toml::de::DeTable<'_>) -> Self {
        let mut words = Vec::new();
        for key in TELLING {
            if let Some(text) = keys.get(key).and_then(|node| node.get_ref().as_str())
                && text.trim() != UNKNOWN
            {
                words.push((key, text.trim().to_owned()));
            }
        }
        if table == "device" {
            words.push(("wires", wires(keys).to_owned()));
        }
        let any = |wanted: &[&str]| wanted.iter().any(|key| keys.contains_key(*key));
        if table == "driver"
            && any(&[
                "sense_resistor",
                "gain",
                "reference_at_one_ampere",
                "trimmer_step",
            ])
        {
            words.push(("set", "trimmer".to_owned()));
        }
        if table == "driver" && any(&["levels"]) {
            words.push(("set", "bus".to_owned()));
        }
        if table == "jumper" && !any(&["purpose", "position", "driver", "port"]) {
            words.push(("chooses", "rail".to_owned()));
        }
        if table == "port" && any(&["amplification"]) {
            words.push(("amplified", "yes".to_owned()));
        }
        let mut file = None;
        if FILES.contains(&table) {
            file = words
                .drain(..)
                .find(|(key, _)| *key == "name")
                .map(|(_, name)| name);
        }
        Self { table, file, words }
    }

    /// A table that has its name from the key it stands under.
    pub fn named(name: &str) -> Self {
        Self {
            table: "",
            file: None,
            words: vec![("name", name.to_owned())],
        }
    }

    /// The name that people call the table by.
    fn name(&self) -> Option<&str> {
        let of = |wanted| self.words.iter().find(|(key, _)| *key == wanted);
        let board = self.file.as_deref().filter(|_| self.table == "board");
        board.or_else(|| of("tag").or_else(|| of("name")).map(|(_, name)| name.as_str()))
    }
}

/// The tables that are a file.
const FILES: [&str; 3] = ["swap", "machine", "board"];

/// What runs in the cable of a device: of a switch its contact alone, or a supply besides.
fn wires(keys: &toml::de::DeTable<'_>) -> &'static str {
    let text = |key| keys.get(key).and_then(|node| node.get_ref().as_str());
    match text("kind") {
        Some("limit switch" | "filament switch" | "bed probe") if keys.contains_key("voltage") => "sensor",
        Some("limit switch" | "filament switch" | "bed probe") => "contact",
        Some("light strip") if keys.contains_key("led_count") => "addressed",
        _ => "",
    }
}

/// What stands in a file where somebody knows that it is not known.
pub(crate) const UNKNOWN: &str = "?";

/// Whether a value says that nobody knows it. Of a port of the old board that is a statement: the device hangs on some port.
pub(crate) fn is_unknown(key: &str, node: &Node<'_>) -> bool {
    key != "old_port" && node.get_ref().as_str().is_some_and(|text| text.trim() == UNKNOWN)
}

impl Assumptions {
    /// Remembers the words in and around a table, for keys that only its check knows to be needed.
    pub fn keep_scope(&mut self, place: Place, file: &FileName, scopes: &[Scope]) {
        let checked = ["axis", "device", "driver", "port", "cable", "jumper"];
        if scopes.last().is_some_and(|last| checked.contains(&last.table)) {
            let kept = self.scopes.entry(place).or_default();
            kept.push((file.clone(), scopes.to_vec()));
        }
    }

    /// Whether a value was taken from what is usual.
    pub fn has(&self, place: Place, key: &'static str) -> bool {
        self.taken.contains(&(place, key))
    }

    /// What is usual for a key of a table that was read before.
    pub fn of_table<T: Field>(&mut self, place: Place, key: &'static str) -> Option<T> {
        let kept = self.scopes.get(&place)?;
        let knows = |scopes: &[Scope]| {
            scopes
                .last()
                .is_some_and(|own| !catalogue::rows_of(own.table, key).is_empty())
        };
        let (path, scopes) = kept.iter().find(|(_, scopes)| knows(scopes))?.clone();
        let mut faults = Vec::new();
        self.reader(place, (path, scopes), &mut faults).usual(place, key)
    }

    /// A table that no file holds, from its text; what it lacks is taken from what is usual.
    pub fn table<T: Field>(&mut self, place: Place, text: &str) -> Option<T> {
        let (table, errors) = toml::de::DeTable::parse_recoverable(text);
        if !errors.is_empty() {
            return None;
        }
        let node = toml::Spanned::new(place.range(), DeValue::Table(table.into_inner()));
        let mut faults = Vec::new();
        let mut reader = self.reader(place, (None, Vec::new()), &mut faults);
        reader.stand_in = Some(place.range());
        let read = T::read(&node, &mut reader);
        read.filter(|_| faults.is_empty())
    }

    /// A table that has its name from elsewhere, and no key.
    pub fn named_table<T: Field>(&mut self, name: &Name) -> Option<T> {
        let mut faults = Vec::new();
        let mut reader = self.reader(name.place, (None, vec![Scope::named(&name.value)]), &mut faults);
        let read = T::read(&empty(name.place), &mut reader);
        read.filter(|_| faults.is_empty())
    }

    fn reader<'r>(
        &'r mut self,
        place: Place,
        (path, scopes): (FileName, Vec<Scope>),
        faults: &'r mut Vec<crate::diagnostic::Diagnostic>,
    ) -> Reader<'r> {
        Reader {
            file: place.file,
            path,
            text: "",
            faults,
            refused: BTreeSet::new(),
            lost: Lost::default(),
            asked: None,
            bounded: false,
            stand_in: None,
            end: None,
            drawing: None,
            scopes,
            assumptions: self,
            kinds: catalogue::built_in().kinds(),
        }
    }
}

impl Reader<'_> {
    /// What is usual for a key of the table that is being read.
    pub(super) fn usual<T: Field>(&mut self, place: Place, key: &'static str) -> Option<T> {
        let table = self.scopes.last()?.table;
        let mut told = self.assumptions.told.iter();
        if let Some(told) = told.find(|told| told.place == place && told.key == key) {
            let answer = told.answer.clone();
            return self.taken(place, &answer, None);
        }
        let row = {
            let word = |wanted: &str| -> Vec<&str> {
                let inmost = self.scopes.iter().rev().flat_map(|scope| &scope.words);
                let found = inmost.filter(|(key, _)| *key == wanted);
                found.map(|(_, word)| word.as_str()).collect()
            };
            catalogue::usual(table, key, word)?
        };
        let supposed = &self.assumptions.supposed;
        let answer = if supposed.only.is_some_and(|only| only != (table, key)) {
            Answer::Usual
        } else if self.is_board() {
            supposed.boards
        } else {
            supposed.machine
        };
        let of_interval = row.also.is_empty();
        let value = match answer {
            Answer::Low => row.also.first(),
            Answer::High => row.also.last(),
            Answer::Usual | Answer::Likely => None,
        };
        let taken = self.filled(&literal(value.unwrap_or(&row.value)));
        let end = match answer {
            Answer::Likely => Some(End::Nominal),
            Answer::Low if of_interval => Some(End::Low),
            Answer::High if of_interval => Some(End::High),
            _ => None,
        };
        let read = self.taken(place, &taken, end);
        let read = read?;
        if let Some(scope) = self.scopes.last_mut()
            && scope.table == "board"
            && key == "name"
        {
            scope.file = Some(taken.trim_matches('"').to_owned());
        }
        let owner = self
            .scopes
            .iter()
            .filter_map(|scope| {
                let name = scope.name()?;
                Some(if scope.table == "device" {
                    crate::machine::called(name)
                } else {
                    name.to_owned()
                })
            })
            .collect();
        self.assumptions.taken.insert((place, key));
        self.assumptions.assumed.push(Assumed {
            of: table,
            owner,
            key,
            taken,
            row,
            place,
        });
        Some(read)
    }

    /// A value that stands in no file, as TOML writes it; of an interval one end, if so wanted. It keeps the place of the table that lacks it.
    fn taken<T: Field>(&mut self, place: Place, text: &str, end: Option<End>) -> Option<T> {
        let parsed = DeValue::parse(text).ok()?;
        let before = self.faults.len();
        let outer = (
            self.stand_in.replace(place.range()),
            core::mem::replace(&mut self.end, end),
            self.asked.take(),
        );
        let read = T::read(&parsed, self);
        (self.stand_in, self.end, self.asked) = outer;
        self.faults.truncate(before);
        read
    }

    /// Whether the file is one of a board.
    fn is_board(&self) -> bool {
        self.assumptions.in_board || self.scopes.first().is_some_and(|outer| outer.table == "board")
    }

    /// With the words of other keys in place of `{key}`.
    fn filled(&self, text: &str) -> String {
        let mut out = text.to_owned();
        if out.contains("{file}") {
            let path = self.path.as_deref().unwrap_or("board");
            let stem = path.rsplit('/').next().unwrap_or(path).trim_end_matches(".toml");
            out = out.replace("{file}", &stem.replace(['"', '\\'], ""));
        }
        for (key, word) in self.scopes.last().map_or(&[][..], |scope| &scope.words) {
            out = out.replace(&format!("{{{key}}}"), &word.replace(['"', '\\'], ""));
        }
        out
    }
}

/// The ends of "150 mm/s (80 mm/s .. 300 mm/s)".
fn ends(answer: &str) -> Option<(String, String)> {
    let inside = answer.trim_matches('"').split_once('(')?.1.strip_suffix(')')?;
    let (low, high) = inside.split_once(" .. ")?;
    Some((low.to_owned(), high.to_owned()))
}

/// A table with no key in it, in place of one that is not there.
pub(super) fn empty(place: Place) -> Node<'static> {
    toml::Spanned::new(place.range(), DeValue::Table(toml::de::DeTable::new()))
}

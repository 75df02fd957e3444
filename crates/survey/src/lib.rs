//! The interview: which question comes next, and what its answer writes into the files of a swap.
//!
//! The files are the only state: what a file has is answered, so that an interview can be left at any point, and a file edited by hand between two
//! questions. What no file can show, such as that a machine has no bed probe, is told by who asks ([`Survey::of`]). No terminal and no disk lives
//! here. The questions are rows of `data/survey.toml`.
//!
//! # Example
//!
//! ```
//! use std::collections::{BTreeMap, BTreeSet};
//! use survey::{Extent, Outcome, Survey};
//!
//! let mut survey = Survey::of(&BTreeMap::new(), BTreeSet::new()).unwrap();
//! let first = survey.next(Extent::Today, &[]).unwrap();
//! assert_eq!(first.ask, "What is the machine called?");
//! let Outcome::Written(files) = survey.answered(&first, "Wheatear").unwrap() else {
//!     unreachable!()
//! };
//! assert_eq!(files[0].path, "machine.toml");
//! ```

mod answer;
mod files;
mod rows;

use std::collections::{BTreeMap, BTreeSet};

use files::{Files, Step, Thing, called, word};
use rows::Row;

/// How much is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Extent {
    /// What a print tomorrow cannot do without.
    Today,
    /// All.
    Whole,
}

/// One question.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// Its stable name; a question about one thing has the thing's name in it: `wire:H1`.
    pub id: String,
    /// What is asked.
    pub ask: String,
    /// The things that it is about, as they are named; one answer stands for all, or one for each with commas between.
    pub about: Vec<String>,
    /// What an answer may look like.
    pub hint: Option<String>,
    /// The words that may be answered; any text where there are none.
    pub choices: Vec<String>,
    /// What an empty answer stands for.
    pub usual: Option<String>,
    /// Whether nothing is planned without it: it cannot stay unknown.
    pub needed: bool,
    row: usize,
    things: Vec<Thing>,
    /// The file of the board that it is about.
    board: Option<String>,
}

/// A file with an answer in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// Its path inside the folder of the swap.
    pub path: String,
    /// Its whole text.
    pub text: String,
}

/// What an answer comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// These files have it.
    Written(Vec<Written>),
    /// There is nothing of what was asked for, which no file shows: the id is to be kept.
    Nothing,
}

/// A swap under interview.
#[derive(Clone, Debug)]
pub struct Survey {
    files: Files,
    /// Questions whose answer is that there is nothing.
    nothing: BTreeSet<String>,
    /// What is proposed for questions, by their ids.
    known: BTreeMap<String, String>,
}

/// How far an interview is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Count {
    /// Questions with an answer.
    pub answered: usize,
    /// All that are known so far: an answer may bring others.
    pub of: usize,
}

/// The rows that are asked, with their places.
fn asked(extent: Extent) -> impl Iterator<Item = (usize, &'static Row)> {
    let rows = rows::all().iter().enumerate();
    rows.filter(move |(_, row)| extent == Extent::Whole || row.today)
}

/// One question as it stands.
struct Slot {
    question: Question,
    open: bool,
}

impl Survey {
    /// The swap as its files have it, by their paths, and the ids of questions whose answer was [`Outcome::Nothing`].
    ///
    /// # Errors
    /// The path of a file that is no TOML.
    pub fn of(texts: &BTreeMap<String, String>, nothing: BTreeSet<String>) -> Result<Self, String> {
        Ok(Self {
            files: Files::of(texts)?,
            nothing,
            known: BTreeMap::new(),
        })
    }

    /// What is known from elsewhere, by the ids of questions: it is proposed in place of what is usual.
    #[must_use]
    pub fn knowing(self, known: BTreeMap<String, String>) -> Self {
        Self { known, ..self }
    }

    /// The files that an interview reads, as far as the swap names them: `swap.toml` first.
    #[must_use]
    pub fn paths(&self) -> Vec<String> {
        let mut paths = vec!["swap.toml".to_owned(), self.files.machine()];
        paths.extend(self.files.boards());
        paths
    }

    /// The next question; those of `later` come last. `None` where nothing is left to ask.
    #[must_use]
    pub fn next(&self, extent: Extent, later: &[String]) -> Option<Question> {
        let open = || {
            let slots = self.slots(extent).into_iter();
            slots.filter(|slot| slot.open).map(|slot| slot.question)
        };
        let now = open().find(|question| !later.contains(&question.id));
        now.or_else(|| open().next())
    }

    /// How far it is.
    #[must_use]
    pub fn count(&self, extent: Extent) -> Count {
        let slots = self.slots(extent);
        let coming = asked(extent).filter(|(at, row)| {
            let known = slots.iter().any(|slot| slot.question.row == *at);
            !known && self.may_come(row)
        });
        Count {
            answered: slots.iter().filter(|slot| !slot.open).count(),
            of: slots.len() + coming.count(),
        }
    }

    /// Whether what a row is about may still be made.
    fn may_come(&self, row: &Row) -> bool {
        if row.is_of_board() && self.files.boards().is_empty() {
            return true;
        }
        let kinds = [row.of.as_deref(), row.has.as_deref()];
        let makers = kinds.into_iter().flatten().filter_map(|kind| {
            let makes = |maker: &&Row| {
                maker.makes.as_deref() == Some(kind) && (kind != "port" || maker.role == row.role)
            };
            rows::all().iter().find(makes)
        });
        makers.into_iter().all(|maker| {
            let mut nothing = self.nothing.iter();
            !nothing.any(|id| id.split(':').next() == Some(maker.id.as_str()))
        })
    }

    /// All questions that the files give rise to, in their order.
    fn slots(&self, extent: Extent) -> Vec<Slot> {
        let asked: Vec<(usize, &Row)> = asked(extent).collect();
        let mut slots = Vec::new();
        for some in asked.chunk_by(|(_, one), (_, other)| one.is_of_board() == other.is_of_board()) {
            if some.iter().any(|(_, row)| !row.is_of_board()) {
                self.of_machine(some, &mut slots);
                continue;
            }
            for board in self.files.boards() {
                for (at, row) in some {
                    self.slot(*at, row, Some(&board), &mut slots);
                }
            }
        }
        slots
    }

    /// What is asked of each thing by itself is asked thing by thing.
    fn of_machine(&self, rows: &[(usize, &Row)], slots: &mut Vec<Slot>) {
        for some in rows.chunk_by(|(_, one), (_, other)| one.each && other.each && one.of == other.of) {
            let mut asked = Vec::new();
            for (at, row) in some {
                self.slot(*at, row, None, &mut asked);
            }
            if some.len() > 1 {
                let thing = |slot: &Slot| slot.question.things.first().map(|thing| thing.way.clone());
                let mut order = Vec::new();
                for slot in &asked {
                    let own = thing(slot);
                    if !order.contains(&own) {
                        order.push(own);
                    }
                }
                asked.sort_by_key(|slot| order.iter().position(|own| *own == thing(slot)));
            }
            slots.extend(asked);
        }
    }

    fn slot(&self, at: usize, row: &Row, board: Option<&str>, slots: &mut Vec<Slot>) {
        if row
            .has
            .as_deref()
            .is_some_and(|kind| self.devices(kind).is_empty())
        {
            return;
        }
        let question = |id: String, about: Vec<String>, things: Vec<Thing>| Question {
            usual: self.known(&id, &about).or_else(|| self.usual(row)),
            id,
            ask: row.ask.clone(),
            about,
            hint: row.hint.clone(),
            choices: row.choices.clone(),
            needed: row.needed,
            row: at,
            things,
            board: board.map(str::to_owned),
        };
        let id = board.map_or_else(|| row.id.clone(), |board| format!("{}:{board}", row.id));
        if let Some(makes) = row.makes.as_deref() {
            let made = match makes {
                "board" => !self.files.boards().is_empty(),
                "port" => !self
                    .ports(board.unwrap_or_default(), row.role.as_deref())
                    .is_empty(),
                kind => !self.devices(kind).is_empty(),
            };
            let open = !made && !self.nothing.contains(&id);
            slots.push(Slot {
                question: question(id, Vec::new(), Vec::new()),
                open,
            });
            return;
        }
        let key = row.key.as_deref().unwrap_or_default();
        let things = self.things(row, board);
        if things.is_empty() {
            return;
        }
        let lacking = |things: &[Thing]| -> Vec<Thing> {
            let lacking = things.iter().filter(|thing| !self.files.has(thing, key));
            lacking.cloned().collect()
        };
        let names = |things: &[Thing]| -> Vec<String> {
            things.iter().flat_map(|thing| thing.names.clone()).collect()
        };
        if row.each {
            for thing in things {
                let id = format!("{}:{}", row.id, thing.name());
                let open = !self.files.has(&thing, key) && !self.nothing.contains(&id);
                let about = vec![thing.name()];
                slots.push(Slot {
                    question: question(id, about, vec![thing]),
                    open,
                });
            }
            return;
        }
        let left = lacking(&things);
        let open = !left.is_empty() && !self.nothing.contains(&id);
        slots.push(Slot {
            question: question(id, names(&left), left),
            open,
        });
    }

    /// What is known of a question, or of each thing that it is about.
    fn known(&self, id: &str, about: &[String]) -> Option<String> {
        if let Some(known) = self.known.get(id) {
            return Some(known.clone());
        }
        let known = about
            .iter()
            .map(|name| self.known.get(&format!("{id}:{name}")).cloned());
        let known: Vec<String> = known.collect::<Option<_>>()?;
        (!known.is_empty()).then(|| known.join(", "))
    }

    /// The tables that a row is about.
    fn things(&self, row: &Row, board: Option<&str>) -> Vec<Thing> {
        let machine = self.files.machine();
        let thing = |file: &str, way: Vec<Step>, names: Vec<String>| Thing {
            file: file.to_owned(),
            way,
            names,
        };
        let unnamed = |file: &str, way: Vec<Step>| vec![thing(file, way, Vec::new())];
        match (row.of.as_deref().unwrap_or_default(), board) {
            ("machine", _) => unnamed(&machine, Vec::new()),
            ("swap", _) => unnamed("swap.toml", Vec::new()),
            ("ambient", _) => unnamed("swap.toml", vec![Step::Key("ambient")]),
            ("axis", _) => {
                let rows = self.files.rows(&machine, "axis");
                let rows = rows.into_iter().map(|(at, row)| {
                    let way = vec![Step::Key("axis"), Step::At(at)];
                    thing(&machine, way, called(row, "name", "names"))
                });
                rows.collect()
            }
            ("cable", _) => {
                let devices = self.files.rows(&machine, "device");
                let devices = devices.into_iter().map(|(at, row)| {
                    let way = vec![Step::Key("device"), Step::At(at), Step::Key("cable")];
                    thing(&machine, way, called(row, "tag", "tags"))
                });
                devices.collect()
            }
            ("input", Some(board)) => unnamed(board, vec![Step::Key("input")]),
            ("port", Some(board)) => self.ports(board, row.role.as_deref()),
            ("driver", Some(board)) => {
                let rows = self.files.rows(board, "driver");
                let rows = rows.into_iter().map(|(at, row)| {
                    let way = vec![Step::Key("driver"), Step::At(at)];
                    thing(board, way, called(row, "name", "names"))
                });
                rows.collect()
            }
            (kind, _) => self.devices(kind),
        }
    }

    /// The devices of a kind.
    fn devices(&self, kind: &str) -> Vec<Thing> {
        let machine = self.files.machine();
        let rows = self.files.rows(&machine, "device");
        let rows = rows
            .into_iter()
            .filter(|(_, row)| word(*row, "kind") == Some(kind));
        let rows = rows.map(|(at, row)| {
            let mut names = called(row, "tag", "tags");
            if let ([tag], Some(name)) = (&mut names[..], word(row, "name")) {
                *tag = format!("{tag} ({name})");
            }
            Thing {
                file: machine.clone(),
                way: vec![Step::Key("device"), Step::At(at)],
                names,
            }
        });
        rows.collect()
    }

    /// The ports of a role on a board.
    fn ports(&self, board: &str, role: Option<&str>) -> Vec<Thing> {
        let rows = self.files.rows(board, "port");
        let rows = rows.into_iter().filter(|(_, row)| word(*row, "role") == role);
        let rows = rows.map(|(at, row)| Thing {
            file: board.to_owned(),
            way: vec![Step::Key("port"), Step::At(at)],
            names: called(row, "name", "names"),
        });
        rows.collect()
    }

    /// What is proposed: what the row says, by what is known already.
    fn usual(&self, row: &Row) -> Option<String> {
        let machine = self.files.machine();
        let devices = self.files.rows(&machine, "device");
        match row.usual.as_deref()? {
            "as the supply" => {
                let supply = devices
                    .iter()
                    .find(|(_, row)| word(*row, "kind") == Some("supply"));
                let voltage = supply?.1.get("voltage")?;
                // Without its tolerance: a label has none.
                let told = voltage
                    .as_str()
                    .map(|told| told.split('±').next().unwrap_or(told).trim());
                told.map(str::to_owned)
                    .or_else(|| voltage.as_integer().map(|volts| format!("{volts} V")))
                    .or_else(|| voltage.as_float().map(|volts| format!("{volts} V")))
            }
            "as heated" => {
                let mut zones: Vec<&str> = Vec::new();
                for (_, row) in &devices {
                    let zone = word(*row, "zone").filter(|zone| *zone != "?");
                    zones.extend(zone.filter(|zone| !zones.contains(zone)));
                }
                (!zones.is_empty()).then(|| zones.join(", "))
            }
            usual => Some(usual.to_owned()),
        }
    }
}

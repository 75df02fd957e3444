//! A dialect: which word of a controller means what. The words themselves live in data files, not here.

use std::sync::OnceLock;

use quantity::{AnyValue, Kind};

use crate::topic::{Counted, Topic};
use crate::words::{CurrentDefinition, Lengths, Reports};

/// The words of a controller.
#[derive(Clone, Debug, PartialEq)]
pub struct Dialect {
    rows: Vec<Word>,
}

/// One row of a dialect.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    /// What the row is about.
    pub meaning: Meaning,
    /// Key of the source.
    pub source: String,
    /// What else to know; empty where there is nothing to say.
    pub note: String,
    /// The file of the row; nothing for a shared one.
    pub from: Option<String>,
}

/// What a word or label means.
#[derive(Clone, Debug, PartialEq)]
pub enum Meaning {
    /// It tells settings.
    Setting(SettingWord),
    /// It asks or does something and holds no setting.
    Action {
        /// The word.
        word: String,
        /// What it does.
        does: String,
        /// The unit of lengths from here on.
        lengths: Option<Lengths>,
    },
    /// It stands before a number in a report.
    Report {
        /// The label, without its colon.
        label: String,
        /// What the number is.
        what: Reports,
        /// Whose number it is.
        about: String,
        /// Its unit; empty for a plain number.
        unit: String,
        /// What full power counts as, for a drive.
        full: Option<f64>,
    },
}

/// A word that tells settings, with the letters that this row is about.
#[derive(Clone, Debug, PartialEq)]
pub struct SettingWord {
    /// The word.
    pub word: String,
    /// Its letters; each holds one value.
    pub letters: Vec<char>,
    /// What the values are.
    pub topic: Topic,
    /// Whose value it is.
    pub about: About,
    /// The units between which controllers differ; one where it is known, an empty one for plain numbers.
    pub units: Vec<String>,
    /// How a motor current is meant, where that is known.
    pub measure: Option<CurrentDefinition>,
    /// Whether a running controller can be told.
    pub running: bool,
    /// What full power counts as, in a term of a temperature control or a fan's speed.
    pub full: Option<f64>,
    /// Decimals in which it is told; those of the controller's report where nothing is said.
    pub digits: Option<u8>,
    /// Letters of the word that hold no setting of ours.
    pub ignored: Vec<char>,
}

/// Whose value a letter holds.
#[derive(Clone, Debug, PartialEq)]
pub enum About {
    /// That of the axis with the name of the letter.
    Letter,
    /// Always that of this part.
    Part(String),
    /// That of the part with the number behind another letter.
    Picked {
        /// The letter.
        by: char,
        /// The parts, from number 0.
        parts: Vec<String>,
    },
}

/// One letter of one word, for one part: the place of a setting in a dialect.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slot<'a> {
    /// The row.
    pub word: &'a SettingWord,
    /// The letter.
    pub letter: char,
    /// The letter and number that pick the part, where the word needs that.
    pub pick: Option<(char, usize)>,
}

impl Dialect {
    /// The words that several independent families of controllers share (`data/gcode-words.toml`).
    pub fn common() -> &'static Dialect {
        static COMMON: OnceLock<Dialect> = OnceLock::new();
        COMMON.get_or_init(|| {
            Self::shipped(
                "data/gcode-words.toml",
                include_str!("../../../data/gcode-words.toml"),
            )
        })
    }

    /// The words of program files that the published grammar defines beside the shared ones (`data/program-words.toml`). Only who reads programs
    /// needs them: no controller is told them.
    pub fn of_programs() -> &'static Dialect {
        static PROGRAMS: OnceLock<Dialect> = OnceLock::new();
        PROGRAMS.get_or_init(|| {
            Self::shipped(
                "data/program-words.toml",
                include_str!("../../../data/program-words.toml"),
            )
        })
    }

    /// A table of ours. That it can be read is proven by a test, so this cannot fail in a build that passed it.
    fn shipped(name: &str, text: &str) -> Dialect {
        let rows = crate::load::load_words(name, text);
        let mut rows =
            rows.unwrap_or_else(|faults| panic!("the shipped words are faulty: {:?}", faults.faults));
        for row in &mut rows {
            row.from = None;
        }
        Dialect { rows }
    }

    /// A dialect of these rows alone.
    #[must_use]
    pub fn of(rows: Vec<Word>) -> Self {
        Self { rows }
    }

    /// Adds rows that go before those that are there, and says which letters, words and labels of them gave way.
    ///
    /// Rows meet by word and letter: an own `M203 X` leaves the other letters of a shared `M203` as they were. An action and a
    /// setting of one word cannot stand beside each other; the newer row stays.
    pub fn add(&mut self, rows: Vec<Word>) -> Vec<GaveWay> {
        let mut out = Vec::new();
        let before = self.rows.len();
        for row in &rows {
            for old in &mut self.rows[..before] {
                if let Some(what) = old.give_way(row) {
                    out.push(GaveWay {
                        what,
                        of: old.from.clone(),
                        to: row.from.clone(),
                    });
                }
            }
        }
        self.rows.extend(rows);
        self.rows.retain(|row| !row.is_empty());
        out
    }

    /// All rows, shared ones first.
    #[must_use]
    pub fn rows(&self) -> &[Word] {
        &self.rows
    }

    /// The same rows, to make them more certain.
    pub fn setting_words_mut(&mut self) -> impl Iterator<Item = &mut SettingWord> {
        self.rows.iter_mut().filter_map(|row| match &mut row.meaning {
            Meaning::Setting(word) => Some(word),
            _ => None,
        })
    }

    /// The rows that tell settings, in the order of [`Self::rows`].
    pub fn setting_words(&self) -> impl DoubleEndedIterator<Item = &SettingWord> {
        self.rows().iter().filter_map(|row| match &row.meaning {
            Meaning::Setting(word) => Some(word),
            _ => None,
        })
    }

    /// What a word does, where it is an action.
    #[must_use]
    pub fn action(&self, name: &str) -> Option<(&str, Option<Lengths>)> {
        self.rows().iter().find_map(|row| match &row.meaning {
            Meaning::Action { word, does, lengths } if word == name => Some((does.as_str(), *lengths)),
            _ => None,
        })
    }

    /// The word of an action, found by what it does.
    #[must_use]
    pub fn word_that(&self, wanted: &str) -> Option<&str> {
        self.rows().iter().rev().find_map(|row| match &row.meaning {
            Meaning::Action { word, does, .. } if does == wanted => Some(word.as_str()),
            _ => None,
        })
    }

    /// What a label of a report stands for.
    #[must_use]
    pub fn label(&self, name: &str) -> Option<(Reports, &str)> {
        self.rows().iter().find_map(|row| match &row.meaning {
            Meaning::Report {
                label, what, about, ..
            } if label == name => Some((*what, about.as_str())),
            _ => None,
        })
    }

    /// Where a setting stands in this dialect, own rows first; `None` where no word tells it.
    #[must_use]
    pub fn slot(&self, topic: Topic, of: &str) -> Option<Slot<'_>> {
        self.setting_words()
            .rev()
            .filter(|word| word.topic == topic)
            .find_map(|word| word.slot(of))
    }
}

/// A row, or some letters of it, that gave way to a row of another file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GaveWay {
    /// The word with its letters, or the label: "M906 X Y".
    pub what: String,
    /// Its file; nothing for a shared row.
    pub of: Option<String>,
    /// The file that goes before it.
    pub to: Option<String>,
}

impl Word {
    /// The word or label that the row is about.
    #[must_use]
    pub fn name(&self) -> &str {
        match &self.meaning {
            Meaning::Setting(setting) => &setting.word,
            Meaning::Action { word, .. } => word,
            Meaning::Report { label, .. } => label,
        }
    }

    /// Takes out what a newer row says anew, and names it.
    fn give_way(&mut self, newer: &Word) -> Option<String> {
        let same = self.name() == newer.name()
            && matches!(self.meaning, Meaning::Report { .. })
                == matches!(newer.meaning, Meaning::Report { .. });
        if !same {
            return None;
        }
        let taken = match (&mut self.meaning, &newer.meaning) {
            (Meaning::Setting(old), Meaning::Setting(new)) => {
                let (taken, left): (Vec<char>, Vec<char>) = old.letters.iter().partition(|letter| {
                    new.letters.contains(letter)
                        || new.picker() == Some(**letter)
                        || new.ignored.contains(letter)
                });
                old.letters = left;
                // To make a shared row more certain contradicts nothing.
                let refined = (old.topic, &old.about) == (new.topic, &new.about)
                    && new.units.iter().all(|unit| old.units.contains(unit));
                if refined {
                    return None;
                }
                taken
            }
            (Meaning::Setting(old), _) => core::mem::take(&mut old.letters),
            (Meaning::Action { word, .. }, _) => {
                let name = core::mem::take(word);
                return Some(name);
            }
            (
                Meaning::Report {
                    label, what, about, ..
                },
                new,
            ) => {
                let name = core::mem::take(label);
                let same = matches!(new, Meaning::Report { what: other, about: whose, .. } if what == other && about == whose);
                return (!same).then(|| format!("{name}:"));
            }
        };
        let letters: String = taken.iter().map(|letter| format!(" {letter}")).collect();
        (!taken.is_empty()).then(|| format!("{}{letters}", self.name()))
    }

    fn is_empty(&self) -> bool {
        match &self.meaning {
            Meaning::Setting(setting) => setting.letters.is_empty(),
            Meaning::Action { word, .. } => word.is_empty(),
            Meaning::Report { label, .. } => label.is_empty(),
        }
    }
}

impl SettingWord {
    /// The letter of this word for a part.
    #[must_use]
    pub fn slot(&self, of: &str) -> Option<Slot<'_>> {
        let slot = |letter, pick| Slot {
            word: self,
            letter,
            pick,
        };
        let first = *self.letters.first()?;
        match &self.about {
            About::Letter => {
                let mut name = of.chars();
                let letter = name.next().filter(|letter| self.letters.contains(letter))?;
                name.next().is_none().then_some(slot(letter, None))
            }
            About::Part(part) => (part == of).then_some(slot(first, None)),
            About::Picked { by, parts } => {
                let number = parts.iter().position(|part| part == of)?;
                Some(slot(first, Some((*by, number))))
            }
        }
    }

    /// The unit of its numbers; `None` where a report has to decide first.
    #[must_use]
    pub fn unit(&self) -> Option<&str> {
        match &self.units[..] {
            [only] => Some(only),
            _ => None,
        }
    }

    /// Why its numbers have no certain meaning; `None` where they have one.
    #[must_use]
    pub fn open(&self) -> Option<String> {
        if self.units.len() > 1 {
            return Some(format!("{} is not known", self.units.join(" or ")));
        }
        (self.topic == Topic::MotorCurrent && self.measure.is_none())
            .then(|| "rms or peak is not known".to_owned())
    }

    /// The value that a number behind one of its letters means; `None` where the number has no certain meaning.
    #[must_use]
    pub fn value(&self, number: f64) -> Option<AnyValue> {
        if self.open().is_some() {
            return None;
        }
        let number = match self.measure {
            Some(CurrentDefinition::Peak) => number * core::f64::consts::FRAC_1_SQRT_2,
            _ => number,
        };
        AnyValue::in_unit(self.kind(), number, self.unit()?)
    }

    /// The number that tells a value: the inverse of [`Self::value`].
    #[must_use]
    pub fn number(&self, value: &AnyValue) -> Option<f64> {
        if self.open().is_some() {
            return None;
        }
        let number = value.number_of(self.unit()?)?;
        Some(match self.measure {
            Some(CurrentDefinition::Peak) => number * core::f64::consts::SQRT_2,
            _ => number,
        })
    }

    /// The letter whose number picks the part, where the word needs that.
    #[must_use]
    pub fn picker(&self) -> Option<char> {
        match &self.about {
            About::Picked { by, .. } => Some(*by),
            _ => None,
        }
    }

    /// The parts whose value the row can tell; `None` where the letters are axes.
    #[must_use]
    pub fn parts(&self) -> Option<Vec<&str>> {
        match &self.about {
            About::Letter => None,
            About::Part(part) => Some(vec![part]),
            About::Picked { parts, .. } => Some(parts.iter().map(String::as_str).collect()),
        }
    }

    /// What the numbers are a quantity of.
    #[must_use]
    pub fn kind(&self) -> Kind {
        match self.topic.counted() {
            Counted::In(kind) => kind,
            Counted::Number | Counted::Words => Kind::Ratio,
        }
    }
}

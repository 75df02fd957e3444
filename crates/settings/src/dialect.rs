//! A dialect: which word of a controller means what. The words themselves live in data files, not here.

use std::sync::OnceLock;

use catalogue::{Row, RowFault, Sure, Table, nearest};
use quantity::{AnyValue, Kind};
use serde::Deserialize;

use crate::topic::{Counted, Topic};

/// The words of a kind of controller.
#[derive(Clone, Debug)]
pub struct Dialect {
    words: Table<Word>,
}

/// One row of a dialect.
#[derive(Clone, Debug, Deserialize)]
#[serde(try_from = "Written")]
pub struct Word {
    key: String,
    /// What the row is about.
    pub meaning: Meaning,
    /// Key of the source.
    pub source: String,
    /// How far to trust the row.
    pub sure: Sure,
    /// What else to know; empty where there is nothing to say.
    pub note: String,
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
        what: String,
        /// Its unit.
        unit: String,
    },
}

/// The unit of lengths in a program.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Lengths {
    /// Millimetres.
    #[serde(rename = "mm")]
    Millimetres,
    /// Inches.
    #[serde(rename = "in")]
    Inches,
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
    /// The unit of the number.
    pub unit: String,
    /// Whether a motor current is meant as its peak.
    pub peak: bool,
    /// Whether a running controller can be told.
    pub running: bool,
    /// What full power of a heater counts as in a term of its control.
    pub full: Option<f64>,
    /// Decimals in which it is told and reported.
    pub digits: u8,
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

impl Row for Word {
    const ARRAY: &'static str = "word";
    fn key(&self) -> &str {
        &self.key
    }
    fn source(&self) -> &str {
        &self.source
    }
    fn sure(&self) -> Sure {
        self.sure
    }
}

impl Dialect {
    /// The words that controllers of this trade commonly share (`data/gcode-words.toml`).
    pub fn common() -> &'static Dialect {
        static COMMON: OnceLock<Dialect> = OnceLock::new();
        COMMON.get_or_init(|| {
            // That it can be read is proven by a test, so this cannot fail in a build that passed it.
            Dialect::read(include_str!("../../../data/gcode-words.toml"))
                .unwrap_or_else(|faults| panic!("the shipped dialect is faulty: {faults:?}"))
        })
    }

    /// Reads a dialect in the form of `data/gcode-words.toml`.
    ///
    /// # Errors
    /// Every fault of the text.
    pub fn read(text: &str) -> Result<Self, Vec<RowFault>> {
        Ok(Self {
            words: Table::read(text)?,
        })
    }

    /// All rows, in the order of the file.
    #[must_use]
    pub fn rows(&self) -> &[Word] {
        self.words.rows()
    }

    /// The rows that tell settings, in the order of the file.
    pub fn setting_words(&self) -> impl Iterator<Item = &SettingWord> {
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
        self.rows().iter().find_map(|row| match &row.meaning {
            Meaning::Action { word, does, .. } if does == wanted => Some(word.as_str()),
            _ => None,
        })
    }

    /// What a label of a report stands for, with its unit.
    #[must_use]
    pub fn label(&self, name: &str) -> Option<(&str, &str)> {
        self.rows().iter().find_map(|row| match &row.meaning {
            Meaning::Report { label, what, unit } if label == name => Some((what.as_str(), unit.as_str())),
            _ => None,
        })
    }

    /// Where a setting stands in this dialect; `None` where no word tells it.
    #[must_use]
    pub fn slot(&self, topic: Topic, of: &str) -> Option<Slot<'_>> {
        self.setting_words()
            .filter(|word| word.topic == topic)
            .find_map(|word| word.slot(of))
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

    /// The value that a number behind one of its letters means; `None` where the number has no meaning.
    #[must_use]
    pub fn value(&self, number: f64) -> Option<AnyValue> {
        let number = if self.peak {
            number * core::f64::consts::FRAC_1_SQRT_2
        } else {
            number
        };
        AnyValue::in_unit(self.kind(), number, &self.unit)
    }

    /// The number that tells a value: the inverse of [`Self::value`].
    #[must_use]
    pub fn number(&self, value: &AnyValue) -> Option<f64> {
        let number = value.number_of(&self.unit)?;
        Some(if self.peak {
            number * core::f64::consts::SQRT_2
        } else {
            number
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

    fn kind(&self) -> Kind {
        match self.topic.counted() {
            Counted::In(kind) => kind,
            Counted::Number | Counted::Words => Kind::Ratio,
        }
    }
}

/// A row as it is written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    word: Option<String>,
    letters: Option<Vec<char>>,
    setting: Option<String>,
    about: Option<String>,
    picked_by: Option<char>,
    picks: Option<Vec<String>>,
    unit: Option<String>,
    measure: Option<WrittenMeasure>,
    told: Option<WrittenTold>,
    full: Option<f64>,
    digits: Option<u8>,
    #[serde(default)]
    ignored: Vec<char>,
    action: Option<String>,
    lengths: Option<Lengths>,
    label: Option<String>,
    report: Option<String>,
    #[serde(default = "own_statement")]
    source: String,
    #[serde(default)]
    sure: Sure,
    #[serde(default)]
    note: String,
}

#[derive(Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum WrittenMeasure {
    Rms,
    Peak,
}

#[derive(Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum WrittenTold {
    Running,
    Build,
}

fn own_statement() -> String {
    "own-statement".to_owned()
}

impl TryFrom<Written> for Word {
    type Error = String;

    fn try_from(mut written: Written) -> Result<Self, String> {
        let (source, sure) = (core::mem::take(&mut written.source), written.sure);
        let note = core::mem::take(&mut written.note);
        let (key, meaning) = match (&written.word, &written.action, &written.label) {
            (Some(_), None, None) => setting(written)?,
            (Some(word), Some(does), None) => {
                let word = checked_word(word)?;
                let meaning = Meaning::Action {
                    word: word.clone(),
                    does: does.clone(),
                    lengths: written.lengths,
                };
                (word, meaning)
            }
            (None, None, Some(label)) => {
                let meaning = Meaning::Report {
                    label: label.clone(),
                    what: written
                        .report
                        .ok_or("a label needs `report`: what its number is")?,
                    unit: written.unit.ok_or("a label needs `unit`")?,
                };
                (format!("{label}:"), meaning)
            }
            _ => return Err("expected `word` with `letters`, `word` with `action`, or `label`".to_owned()),
        };
        Ok(Self {
            key,
            meaning,
            source,
            sure,
            note,
        })
    }
}

fn setting(written: Written) -> Result<(String, Meaning), String> {
    let missing = |what: &str| format!("a word that tells settings needs `{what}`");
    let word = checked_word(&written.word.ok_or_else(|| missing("word"))?)?;
    let letters = written
        .letters
        .filter(|letters| !letters.is_empty())
        .ok_or_else(|| missing("letters"))?;
    if let Some(letter) = letters
        .iter()
        .chain(&written.ignored)
        .find(|letter| !letter.is_ascii_uppercase())
    {
        return Err(format!("`{letter}` is no capital letter"));
    }
    let name = written.setting.ok_or_else(|| missing("setting"))?;
    let topic = Topic::named(&name).ok_or_else(|| unknown_topic(&name))?;
    if topic.counted() == Counted::Words {
        return Err(format!("`{name}` is words, which no number tells"));
    }
    let about = match (written.about.as_deref(), written.picked_by, written.picks) {
        (Some("letter"), None, None) => About::Letter,
        (Some(part), None, None) => About::Part(part.to_owned()),
        (None, Some(by), Some(parts)) if !parts.is_empty() => About::Picked { by, parts },
        _ => return Err("expected either `about`, or `picked_by` with `picks`".to_owned()),
    };
    if letters.len() > 1 && about != About::Letter {
        return Err("several letters hold one value each only with `about = \"letter\"`".to_owned());
    }
    let key = format!("{word} {}", letters.iter().collect::<String>());
    let row = SettingWord {
        word,
        letters,
        topic,
        about,
        unit: written.unit.ok_or_else(|| missing("unit"))?,
        peak: written.measure == Some(WrittenMeasure::Peak),
        running: written.told.ok_or_else(|| missing("told"))? == WrittenTold::Running,
        full: match written.full {
            Some(full) if !topic.is_control_term() => {
                return Err(format!(
                    "`full = {full}` belongs to the terms of a temperature control"
                ));
            }
            Some(full) if !(full.is_finite() && full > 0.0) => {
                return Err("`full` must be above 0".to_owned());
            }
            full => full,
        },
        digits: written
            .digits
            .filter(|digits| *digits <= 6)
            .ok_or("`digits` must be 0 to 6")?,
        ignored: written.ignored,
    };
    if row.value(1.0).is_none() {
        return Err(format!("`{}` is no unit of `{name}`", row.unit));
    }
    Ok((key, Meaning::Setting(row)))
}

fn unknown_topic(name: &str) -> String {
    let near = nearest(name, Topic::ALL.iter().map(|topic| topic.id()));
    let help = near.map_or(String::new(), |near| format!("; did you mean `{near}`?"));
    format!("`{name}` is no setting{help}")
}

/// A capital letter and a number without needless zeros.
fn checked_word(word: &str) -> Result<String, String> {
    let number = word.strip_prefix(|letter: char| letter.is_ascii_uppercase());
    let plain = |number: &str| {
        let parsed: Option<f64> = number.parse().ok();
        number.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.')
            && parsed.is_some_and(|parsed| format!("{parsed}") == number)
    };
    if number.is_some_and(plain) {
        Ok(word.to_owned())
    } else {
        Err(format!(
            "`{word}` is no word: expected a capital letter and a number"
        ))
    }
}

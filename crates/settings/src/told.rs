//! What the new controller can be told: only words that its own reports, taken after loading, showed.

use std::collections::{BTreeMap, BTreeSet};

use model::{Dialect, Slot, Topic};
use serde::{Serialize, Serializer};

use crate::captured::{Report, Spoken};
use crate::list::Settings;
use crate::setting::Fate;
use crate::units::Clash;

/// Why a setting stands in the build sheet although it is a number.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Untold {
    /// No word is known for it.
    NoWord,
    /// Its word is only reported.
    OnlyReported(String),
    /// Nothing of the new controller was captured.
    NoReport(String),
    /// No report of the new controller shows the word with the letter.
    NotShown(String),
    /// What the number of its word means is not certain.
    Open(String, String),
    /// What was reported is impossible, or contradicts the files.
    Doubtful(String),
}

impl Untold {
    /// The word that is told as soon as a report of the controller shows it.
    #[must_use]
    pub fn waiting_word(&self) -> Option<&str> {
        match self {
            Self::NoReport(word) | Self::Open(word, _) => Some(word),
            Self::NoWord | Self::OnlyReported(_) | Self::NotShown(_) | Self::Doubtful(_) => None,
        }
    }
    /// The reason without the word, to gather settings by it.
    pub(crate) fn short(&self) -> String {
        match self {
            Self::NoWord | Self::OnlyReported(_) => self.to_string(),
            Self::NoReport(_) => "no report of this controller was captured".to_owned(),
            Self::NotShown(_) => "no report of this controller shows their words".to_owned(),
            Self::Open(_, why) => why.clone(),
            Self::Doubtful(_) => "what was reported is doubtful".to_owned(),
        }
    }
}

impl core::fmt::Display for Untold {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::NoWord => formatter.write_str("no word of this controller is known for it"),
            Self::OnlyReported(word) => write!(formatter, "{word} only reports it"),
            Self::NoReport(word) => {
                write!(
                    formatter,
                    "{word} is not told before a report of this controller shows it"
                )
            }
            Self::NotShown(word) => write!(formatter, "{word} stands in no report of this controller"),
            Self::Open(word, why) => write!(formatter, "of {word} {why}"),
            Self::Doubtful(why) => formatter.write_str(why),
        }
    }
}

impl Serialize for Untold {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// Settings that a word could tell and does not, by the reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Awaiting {
    /// Why their word is not told.
    pub why: String,
    /// Their titles, each with the parts: "steps per length (X, Y)".
    pub settings: Vec<String>,
}

impl core::fmt::Display for Awaiting {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(formatter, "{}: {}", self.why, self.settings.join("; "))
    }
}

/// A title with the parts that it is about.
type Titled<'a> = (&'a str, Vec<&'a str>);

/// The settings that stand in the build sheet although a word is known for them.
#[must_use]
pub fn awaiting(settings: &Settings) -> Vec<Awaiting> {
    let mut reasons: Vec<(String, Vec<Titled<'_>>)> = Vec::new();
    for setting in settings
        .settings
        .iter()
        .filter(|setting| setting.fate != Fate::Dropped)
    {
        let Some(why) = setting.untold.as_ref().filter(|why| {
            !matches!(
                why,
                Untold::NoWord | Untold::OnlyReported(_) | Untold::Doubtful(_)
            )
        }) else {
            continue;
        };
        let why = why.short();
        let at = reasons
            .iter()
            .position(|(known, _)| *known == why)
            .unwrap_or(reasons.len());
        if at == reasons.len() {
            reasons.push((why, Vec::new()));
        }
        let titles = &mut reasons[at].1;
        match titles.last_mut().filter(|(title, _)| *title == setting.title) {
            Some((_, whose)) => whose.push(&setting.of),
            None => titles.push((setting.title, vec![&setting.of])),
        }
    }
    let put = |(title, whose): Titled<'_>| format!("{title} ({})", whose.join(", "));
    reasons
        .into_iter()
        .map(|(why, titles)| Awaiting {
            why,
            settings: titles.into_iter().map(put).collect(),
        })
        .collect()
}

/// A letter with its number, which picks a part.
type Pick = (char, i64);

/// What reports of the new controller showed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    /// The paths of the reports.
    pub reports: Vec<String>,
    /// Each word with a letter; where letters pick a part, once with each letter and number that stood beside it.
    letters: BTreeSet<(String, char, Option<Pick>)>,
    /// The most decimals of each word.
    decimals: BTreeMap<String, u8>,
    /// Letters of words whose unit a report contradicts, with what does.
    clashes: Vec<Clash>,
}

impl Shown {
    /// From the reports after loading, the first so many, and from later ones. Decimals are those of the former where there are any: what was told
    /// in them is not to change with what came back.
    pub(crate) fn of(reports: &[Report], loaded: usize) -> Self {
        let mut out = Self {
            reports: reports.iter().map(|report| report.path.clone()).collect(),
            ..Self::default()
        };
        for (at, report) in reports.iter().enumerate() {
            for spoken in &report.commands {
                out.take(spoken, at < loaded || loaded == 0);
            }
        }
        out
    }

    /// Tells nothing by words whose unit is contradicted.
    pub(crate) fn without(mut self, clashes: Vec<Clash>) -> Self {
        self.clashes = clashes;
        self
    }

    fn take(&mut self, spoken: &Spoken, decimals_count: bool) {
        for letter in &spoken.letters {
            if decimals_count {
                let decimals = self.decimals.entry(spoken.word.clone()).or_default();
                *decimals = (*decimals).max(letter.decimals);
            }
            self.letters.insert((spoken.word.clone(), letter.letter, None));
            for other in spoken
                .letters
                .iter()
                .filter(|other| other.letter != letter.letter && other.number.fract() == 0.0)
            {
                #[expect(
                    clippy::cast_possible_truncation,
                    reason = "a whole number that saturates is none of a part"
                )]
                let pick = (other.letter, other.number as i64);
                self.letters
                    .insert((spoken.word.clone(), letter.letter, Some(pick)));
            }
        }
    }

    /// The decimals in which a word is told: as many as its reports show.
    #[must_use]
    pub fn decimals(&self, word: &str) -> Option<u8> {
        self.decimals.get(word).copied()
    }

    fn has(&self, slot: &Slot<'_>) -> bool {
        let pick = slot
            .pick
            .and_then(|(letter, number)| Some((letter, i64::try_from(number).ok()?)));
        self.letters
            .contains(&(slot.word.word.clone(), slot.letter, pick))
    }

    /// The word that tells a setting, or why none does; `None` where it is words, which no number tells.
    pub(crate) fn slot<'d>(
        &self,
        dialect: &'d Dialect,
        topic: Topic,
        of: &str,
    ) -> Option<Result<Slot<'d>, Untold>> {
        if topic.counted() == model::Counted::Words {
            return None;
        }
        let Some(slot) = dialect.slot(topic, of) else {
            return Some(Err(Untold::NoWord));
        };
        let pick = slot
            .pick
            .map_or_else(String::new, |(letter, number)| format!(" {letter}{number}"));
        let word = format!("{}{pick} {}", slot.word.word, slot.letter);
        Some(if !slot.word.running {
            Err(Untold::OnlyReported(slot.word.word.clone()))
        } else if self.reports.is_empty() {
            Err(Untold::NoReport(word))
        } else if !self.has(&slot) {
            Err(Untold::NotShown(word))
        } else if let Some(clash) = self
            .clashes
            .iter()
            .find(|clash| clash.is_of(&slot.word.word, slot.letter))
        {
            Err(Untold::Open(slot.word.word.clone(), clash.why()))
        } else if let Some(why) = slot.word.open() {
            Err(Untold::Open(slot.word.word.clone(), why))
        } else {
            Ok(slot)
        })
    }
}

//! The reader of what a controller reported: terminal text, one command a line, with what terminals add and lose.
//!
//! A line is a command where a G or M word begins it, also behind an echo or prompt that ends in a blank, `:` or `>`. From there
//! on the grammar is that of NISTIR 6556: blanks and letter case mean nothing, a number has a sign, digits and at most one point
//! and no exponent, `( )` is a comment. The trade adds `;` for a comment to the end of the line, `*` for a checksum, and line
//! numbers of any length. One thing is narrower than the source: the word of the command itself holds no blank unless it begins
//! the line, and then only behind its letter, since terminals lose characters and sentences hold letters and numbers too.
//!
//! Nothing is lost: a line ends as values, as an action, as readings, as a remark, among the commands whose meaning nobody told yet, or
//! among what could not be read, with a reason; only blank lines and comments leave nothing. A line with one broken number is refused whole: where one digit was lost, others may be too.

mod line;

use model::{About, Dialect, Lengths, SettingWord, Topic};
use quantity::{AnyValue, Kind};
use serde::Serialize;

pub use line::Letter;
use line::{Command, Line};

/// What a controller reported, line by line.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Report {
    /// The path of the file; empty where the text came from elsewhere.
    pub path: String,
    /// The values of settings in the order of the text, those that a later line overrides included.
    pub values: Vec<Reported>,
    /// Temperatures, positions and the like.
    pub readings: Vec<Reading>,
    /// Commands with letters and numbers, those without a meaning included: what this controller was seen to say.
    pub commands: Vec<Spoken>,
    /// Commands that hold no setting.
    pub actions: Vec<Action>,
    /// Lines of plain words.
    pub remarks: Vec<Remark>,
    /// What could not be read.
    pub unread: Vec<Unread>,
}

/// The value of one setting as it was reported.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reported {
    /// What it is about.
    pub topic: Topic,
    /// Whose value it is: an axis, a heated part, a preset, `machine`.
    pub of: String,
    /// The value.
    pub value: AnyValue,
    /// The number as it stood in the text.
    pub number: f64,
    /// The word.
    pub word: String,
    /// The letter.
    pub letter: char,
    /// The line, from 1.
    pub line: usize,
    /// Whether a later line of this text overrides it.
    pub overridden: bool,
}

/// A command with letters and numbers, as it was reported.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Spoken {
    /// The word.
    pub word: String,
    /// Its letters with their numbers.
    pub letters: Vec<Letter>,
    /// Letters that have no meaning in the dialect: all of them where the word has none.
    pub strange: Vec<char>,
    /// Why the numbers of known letters have no certain meaning; nothing where they have one.
    pub open: Option<String>,
    /// What is said near it: the comment of its line, and the last remark before it.
    pub near: String,
    /// What is said of this word: the comment of its line, and the remark that heads it; nothing of a remark that heads another word.
    pub beside: String,
    /// The line, from 1.
    pub line: usize,
    /// The line as it stands there.
    pub text: String,
}

/// A number behind a label.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reading {
    /// The label.
    pub label: String,
    /// The value, in the unit of the dialect.
    pub number: f64,
    /// The line, from 1.
    pub line: usize,
}

/// A command that holds no setting.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Action {
    /// The word.
    pub word: String,
    /// The line, from 1.
    pub line: usize,
}

/// A line of plain words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Remark {
    /// The line, from 1.
    pub line: usize,
    /// Its text.
    pub text: String,
}

/// Something that could not be read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Unread {
    /// The path of the file; empty where the text came from elsewhere.
    pub path: String,
    /// The line, from 1.
    pub line: usize,
    /// The line as it stands there.
    pub text: String,
    /// Why it was not read.
    pub reason: String,
}

/// Reads what a controller reported.
#[must_use]
pub fn read(text: &str, dialect: &Dialect) -> Report {
    read_file("", text, dialect)
}

/// As [`read`], with the path that unread lines shall name.
#[must_use]
pub fn read_file(path: &str, text: &str, dialect: &Dialect) -> Report {
    let mut reader = Reader {
        dialect,
        lengths: Lengths::Millimetres,
        remark: String::new(),
        headed: None,
        report: Report {
            path: path.to_owned(),
            ..Report::default()
        },
    };
    for (at, whole) in text.split('\n').enumerate() {
        // A carriage return alone begins no line for an editor, but a terminal writes over what stood there.
        for part in whole.split('\r') {
            reader.take(at + 1, part);
        }
    }
    reader.report.mark_overridden();
    reader.report
}

impl Report {
    /// The last value of a setting.
    #[must_use]
    pub fn last(&self, topic: Topic, of: &str) -> Option<&Reported> {
        self.values
            .iter()
            .rev()
            .find(|value| value.topic == topic && value.of == of)
    }

    /// The most decimals that a word's numbers were reported with; nothing where it was not reported.
    #[must_use]
    pub fn decimals(&self, word: &str) -> Option<u8> {
        let spoken = self.commands.iter().filter(|spoken| spoken.word == word);
        spoken
            .flat_map(|spoken| &spoken.letters)
            .map(|letter| letter.decimals)
            .max()
    }

    fn mark_overridden(&mut self) {
        let mut seen: std::collections::BTreeSet<(Topic, String)> = std::collections::BTreeSet::new();
        for value in self.values.iter_mut().rev() {
            value.overridden = !seen.insert((value.topic, value.of.clone()));
        }
    }
}

struct Reader<'a> {
    dialect: &'a Dialect,
    lengths: Lengths,
    /// The last line of plain words.
    remark: String,
    /// The first word behind that line.
    headed: Option<String>,
    report: Report,
}

impl Reader<'_> {
    fn take(&mut self, number: usize, text: &str) {
        match line::classify(text, self.dialect) {
            Line::Blank => {}
            Line::Remark => {
                text.trim().clone_into(&mut self.remark);
                self.headed = None;
                self.report.remarks.push(Remark {
                    line: number,
                    text: self.remark.clone(),
                });
            }
            Line::Broken(reason) => self.unread(number, text, reason),
            Line::Readings(readings) => {
                let read = |(label, value)| Reading {
                    label,
                    number: value,
                    line: number,
                };
                self.report.readings.extend(readings.into_iter().map(read));
            }
            Line::Command(command) => self.command(number, text, &command),
        }
    }

    fn command(&mut self, number: usize, text: &str, command: &Command) {
        let word = &command.word;
        if let Some((_, lengths)) = self.dialect.action(word) {
            self.lengths = lengths.unwrap_or(self.lengths);
            self.report.actions.push(Action {
                word: word.clone(),
                line: number,
            });
            return;
        }
        let rows: Vec<&SettingWord> = self
            .dialect
            .setting_words()
            .filter(|row| row.word == *word)
            .collect();
        match line::parameters(&command.rest) {
            Err(reason) => self.unread(number, text, reason),
            Ok(letters) if letters.is_empty() => {
                let reason = if rows.is_empty() {
                    format!("`{word}` is no word of this controller that is known, and has no values")
                } else {
                    format!("`{word}` without values")
                };
                self.unread(number, text, reason);
            }
            Ok(letters) => {
                let heads = *self.headed.get_or_insert_with(|| word.clone()) == *word;
                let open = rows.iter().find(|row| {
                    letters.iter().any(|letter| row.letters.contains(&letter.letter)) && row.open().is_some()
                });
                let spoken = Spoken {
                    word: word.clone(),
                    strange: strange(&letters, &rows),
                    open: open.and_then(|row| row.open()),
                    near: self.near(text),
                    beside: if heads {
                        self.near(text)
                    } else {
                        line::comment(text)
                    },
                    line: number,
                    text: text.trim().to_owned(),
                    letters,
                };
                let before = (self.report.values.len(), self.report.unread.len());
                for letter in spoken.letters.clone() {
                    if !spoken.strange.contains(&letter.letter) {
                        self.parameter(&spoken, letter, &rows);
                    }
                }
                let silent = before == (self.report.values.len(), self.report.unread.len());
                if silent && spoken.strange.is_empty() && spoken.open.is_none() {
                    self.unread(
                        number,
                        text,
                        format!("`{word}` without the values that it should tell"),
                    );
                }
                self.report.commands.push(spoken);
            }
        }
    }

    /// What is said near a line: its own comment first.
    fn near(&self, text: &str) -> String {
        let comment = line::comment(text);
        [comment.as_str(), self.remark.as_str()]
            .join(" ")
            .trim()
            .to_owned()
    }

    /// One letter with its number: the value of the row that has the letter.
    fn parameter(&mut self, spoken: &Spoken, letter: Letter, rows: &[&SettingWord]) {
        let Some(row) = rows.iter().find(|row| row.letters.contains(&letter.letter)) else {
            return;
        };
        if row.open().is_some() {
            return;
        }
        let of = match part(row, letter.letter, &spoken.letters) {
            Ok(of) => of,
            Err(reason) => return self.unread(spoken.line, &spoken.text, reason),
        };
        let read = row
            .value(letter.number)
            .map(|value| in_millimetres(value, self.lengths));
        match read.filter(|value| value.nominal.is_finite()) {
            Some(read) => self.report.values.push(Reported {
                topic: row.topic,
                of,
                value: read,
                number: letter.number,
                word: row.word.clone(),
                letter: letter.letter,
                line: spoken.line,
                overridden: false,
            }),
            None => self.unread(
                spoken.line,
                &spoken.text,
                format!("{} is out of all bounds", letter.letter),
            ),
        }
    }

    fn unread(&mut self, line: usize, text: &str, reason: String) {
        self.report.unread.push(Unread {
            path: self.report.path.clone(),
            line,
            text: text.trim().to_owned(),
            reason,
        });
    }
}

/// The letters that no row of their word gives a meaning.
fn strange(letters: &[Letter], rows: &[&SettingWord]) -> Vec<char> {
    let known = |letter: char| {
        rows.iter().any(|row| {
            row.letters.contains(&letter) || row.ignored.contains(&letter) || row.picker() == Some(letter)
        })
    };
    let all = letters.iter().map(|letter| letter.letter);
    all.filter(|letter| !known(*letter)).collect()
}

/// Whose value a letter holds.
fn part(row: &SettingWord, letter: char, all: &[Letter]) -> Result<String, String> {
    match &row.about {
        About::Letter => Ok(letter.to_string()),
        About::Part(part) => Ok(part.clone()),
        About::Picked { by, parts } => {
            let found = all.iter().find(|other| other.letter == *by);
            let Letter { number, .. } =
                found.ok_or_else(|| format!("{by} is missing, which tells whose value it is"))?;
            let at = (0..parts.len()).zip(parts).find(|(at, _)| {
                #[expect(clippy::cast_precision_loss, reason = "a handful of parts")]
                let at = *at as f64;
                at == *number
            });
            at.map(|(_, part)| part.clone())
                .ok_or_else(|| format!("{by}{number} is nothing that this controller's words know"))
        }
    }
}

/// A value that was written in inches, as if it had been in millimetres.
fn in_millimetres(value: AnyValue, lengths: Lengths) -> AnyValue {
    let factor = match (lengths, value.kind) {
        (Lengths::Inches, Kind::Length | Kind::Velocity | Kind::Acceleration) => 25.4,
        (Lengths::Inches, Kind::StepDensity) => 1.0 / 25.4,
        _ => return value,
    };
    AnyValue {
        nominal: value.nominal * factor,
        low: value.low * factor,
        high: value.high * factor,
        ..value
    }
}

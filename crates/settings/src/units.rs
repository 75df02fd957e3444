//! Units that a report names beside its values, held against those that the words of its controller give them.
//!
//! A report that says `[°C]` beside a word which its words file takes in K was read, or written, with the wrong unit: what is told by that word would
//! be another quantity. So is a unit that makes what the controller came with impossible, or what it is told many times that.

use model::{CurrentDefinition, Dialect, Meaning, SettingWord, Topic};
use quantity::{AnyValue, Kind};

use crate::bounds;
use crate::captured::{Report, Reported, Spoken};
use crate::understood::names_measure;

/// A word whose unit contradicts a report of its controller.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Clash {
    /// The word.
    pub word: String,
    /// The letters that the row is about.
    pub letters: Vec<char>,
    /// What they tell.
    pub topic: Topic,
    /// The path of the report.
    pub path: String,
    /// The line, from 1.
    pub line: usize,
    /// What contradicts, in a sentence without its stop: "captured/new.gcode:12 says °C beside M5432 A, words/own.toml says K".
    pub what: String,
}

impl Clash {
    /// Why nothing is told by it, in words that follow "of M5432".
    pub fn why(&self) -> String {
        format!("the unit is not certain: {}", self.what)
    }
    /// Whether it is about a letter of a word.
    pub fn is_of(&self, word: &str, letter: char) -> bool {
        self.word == word && self.letters.contains(&letter)
    }
}

/// The rows of a dialect with the file that each is from.
fn rows(dialect: &Dialect) -> impl Iterator<Item = (&SettingWord, &str)> {
    dialect.rows().iter().filter_map(|row| match &row.meaning {
        Meaning::Setting(word) => Some((word, row.from.as_deref().unwrap_or("the shared words"))),
        _ => None,
    })
}

/// Each row of a dialect that a report contradicts, once: by what the report names beside the word.
pub(crate) fn clashes(dialect: &Dialect, reports: &[Report]) -> Vec<Clash> {
    rows(dialect)
        .filter_map(|(row, from)| {
            let spoken = |report: &Report| {
                let mut own = report.commands.iter().filter(|spoken| is_of(row, spoken));
                own.find_map(|spoken| Some((spoken.line, named_otherwise(row, from, report, spoken)?)))
            };
            reports.iter().find_map(|report| {
                let (line, what) = spoken(report)?;
                Some(clash(row, report, line, what))
            })
        })
        .collect()
}

/// Each row whose unit makes impossible what a controller came with, where another unit of that kind would not.
pub(crate) fn absurd(dialect: &Dialect, reports: &[Report]) -> Vec<Clash> {
    rows(dialect)
        .filter_map(|(row, from)| {
            reports.iter().find_map(|report| {
                let mut own = report
                    .values
                    .iter()
                    .filter(|value| value.word == row.word && row.letters.contains(&value.letter));
                own.find_map(|value| {
                    let what = impossible(row, from, report, value)?;
                    Some(clash(row, report, value.line, what))
                })
            })
        })
        .collect()
}

fn clash(row: &SettingWord, report: &Report, line: usize, what: String) -> Clash {
    Clash {
        word: row.word.clone(),
        letters: row.letters.clone(),
        topic: row.topic,
        path: report.path.clone(),
        line,
        what,
    }
}

fn is_of(row: &SettingWord, spoken: &Spoken) -> bool {
    spoken.word == row.word
        && spoken
            .letters
            .iter()
            .any(|letter| row.letters.contains(&letter.letter))
}

/// "M5432 A, B"
pub(crate) fn name(row: &SettingWord) -> String {
    let letters: Vec<String> = row.letters.iter().map(char::to_string).collect();
    format!("{} {}", row.word, letters.join(", "))
}

fn named_otherwise(row: &SettingWord, from: &str, report: &Report, spoken: &Spoken) -> Option<String> {
    let beside = &spoken.beside;
    let says = |said: &str, taken: &str| {
        format!(
            "the report says {said} beside {} ({}:{}). {from} takes it in {taken}",
            name(row),
            report.path,
            spoken.line
        )
    };
    if let (Topic::MotorCurrent, Some(measure)) = (row.topic, row.measure) {
        let other = match measure {
            CurrentDefinition::Rms => CurrentDefinition::Peak,
            CurrentDefinition::Peak => CurrentDefinition::Rms,
        };
        if names_measure(beside, other) && !names_measure(beside, measure) {
            return Some(says(other.word(), measure.word()));
        }
    }
    let (kind, unit) = (row.kind(), row.unit()?);
    let own = scale(kind, unit)?;
    let named = named(beside, kind);
    let (first, _) = named.first()?;
    named
        .iter()
        .all(|(_, other)| !alike(*other, own))
        .then(|| says(first, unit))
}

/// Units that are written in reports of this trade.
const UNITS: [&str; 16] = [
    "mm/s", "mm/min", "m/s", "mm/s²", "m/s²", "°C", "K", "Ω", "kΩ", "mA", "A", "mm", "µm", "s", "ms", "V",
];

fn impossible(row: &SettingWord, from: &str, report: &Report, value: &Reported) -> Option<String> {
    let (kind, unit) = (row.kind(), row.unit().filter(|unit| !unit.is_empty())?);
    let bound = bounds::bound(row.topic, &value.of)?;
    if value.number == 0.0 || bound.holds(row.topic, value.value.nominal) {
        return None;
    }
    let fits = |other: &&&str| {
        AnyValue::in_unit(kind, value.number, other)
            .is_some_and(|read| bound.holds(row.topic, read.nominal) && read.nominal > 0.0)
    };
    let other = UNITS.iter().find(fits)?;
    Some(format!(
        "the report says {}{} ({}:{}). {from} takes it in {unit}, and possible is {}: the unit looks like {other}",
        value.letter,
        value.number,
        report.path,
        value.line,
        bound.words(row.topic)
    ))
}

/// By which factor the units of a kind are mistaken for each other.
fn factors(kind: Kind) -> &'static [f64] {
    match kind {
        Kind::Velocity => &[60.0, 1000.0],
        Kind::Acceleration | Kind::Current | Kind::Resistance | Kind::Time | Kind::Voltage => &[1000.0],
        Kind::Length => &[1000.0, 25.4],
        _ => &[],
    }
}

/// Numbers that are told may be this many times, or this part of, what the controller came with, beside the factor of a unit.
const SPREAD: f64 = 2.5;

/// Whether all numbers that a row would tell are off by the factor of a unit from those that the controller came with.
pub(crate) fn off_by_a_unit(row: &SettingWord, told_and_shown: &[(f64, f64)]) -> Option<f64> {
    let ratios: Vec<f64> = told_and_shown
        .iter()
        .filter(|(told, shown)| *told > 0.0 && *shown > 0.0)
        .map(|(told, shown)| told / shown)
        .collect();
    let both = factors(row.kind())
        .iter()
        .flat_map(|factor| [*factor, 1.0 / factor]);
    let mut both = both.filter(|factor| {
        let near = |ratio: &f64| (ratio / factor).ln().abs() < SPREAD.ln();
        ratios.len() > 1 && ratios.iter().all(near)
    });
    both.next()
}

type Scale = (f64, f64);

/// What one of a unit, and none of it, is in base units.
fn scale(kind: Kind, unit: &str) -> Option<Scale> {
    let at = |number: f64| Some(AnyValue::in_unit(kind, number, unit)?.nominal);
    let zero = at(0.0)?;
    Some((at(1.0)? - zero, zero))
}

fn alike(one: Scale, other: Scale) -> bool {
    (one.0 / other.0 - 1.0).abs() < 1e-6 && (one.1 - other.1).abs() < 1e-6
}

/// The units of a kind that a text names, with their scales.
fn named(text: &str, kind: Kind) -> Vec<(String, Scale)> {
    if kind == Kind::Ratio {
        return Vec::new();
    }
    let mut out: Vec<(String, Scale)> = Vec::new();
    let mut take = |token: &str, alone: bool| {
        let unit = spelled(token);
        // A single letter, and `in`, are words of a sentence too.
        let plain = !alone
            && (unit.chars().filter(|letter| letter.is_alphabetic()).count() < 2
                && !unit.contains(['°', 'Ω'])
                || unit == "in");
        if unit.is_empty() || plain {
            return;
        }
        let fahrenheit = (5.0 / 9.0, 459.67 * 5.0 / 9.0);
        let found = if unit == "°F" && kind == Kind::Temperature {
            Some(fahrenheit)
        } else {
            scale(kind, &unit)
        };
        if let Some(found) = found {
            out.push((unit, found));
        }
    };
    for bracketed in text.split('[').skip(1).filter_map(|rest| rest.split(']').next()) {
        for part in bracketed.split([',', ';']) {
            take(part.trim(), true);
        }
    }
    let tokens: Vec<&str> = text
        .split(|letter: char| letter.is_whitespace() || "[](),;:=|\"'`".contains(letter))
        .map(|token| token.trim_matches('.'))
        .filter(|token| !token.is_empty())
        .collect();
    for (at, token) in tokens.iter().enumerate() {
        // Behind a number it is a quantity of the sentence: "at 25 °C".
        let behind_number = at > 0 && tokens[at - 1].parse::<f64>().is_ok();
        if !behind_number {
            take(token, false);
        }
    }
    if kind == Kind::Velocity {
        for (words, unit) in [
            ("per second", "mm/s"),
            ("a second", "mm/s"),
            ("per minute", "mm/min"),
            ("a minute", "mm/min"),
        ] {
            let text = text.to_lowercase();
            // "per second squared" is no speed.
            let squared = |at: usize| {
                text[at + words.len()..]
                    .trim_start()
                    .starts_with(['s', '²', '^', '2'])
            };
            if text.match_indices(words).any(|(at, _)| !squared(at)) {
                take(unit, true);
            }
        }
    }
    out
}

/// A unit as the tables write it.
fn spelled(token: &str) -> String {
    let small = token.to_lowercase();
    match small.as_str() {
        "degc" | "°c" | "celsius" | "deg_c" => return "°C".to_owned(),
        "degf" | "°f" | "fahrenheit" | "deg_f" => return "°F".to_owned(),
        "kelvin" => return "K".to_owned(),
        "ohm" | "ohms" => return "Ω".to_owned(),
        "kohm" | "kohms" | "kiloohm" | "kiloohms" => return "kΩ".to_owned(),
        "milliampere" | "milliamperes" | "ma" => return "mA".to_owned(),
        "ampere" | "amperes" => return "A".to_owned(),
        "steps/mm" => return "step/mm".to_owned(),
        "mm/sec" => return "mm/s".to_owned(),
        "mm/minute" => return "mm/min".to_owned(),
        _ => {}
    }
    match token.strip_suffix("/s2").or_else(|| token.strip_suffix("/s^2")) {
        Some(length) => format!("{length}/s²"),
        None => token.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn units(text: &str, kind: Kind) -> Vec<String> {
        let mut found: Vec<String> = named(text, kind).into_iter().map(|(unit, _)| unit).collect();
        found.dedup();
        found
    }

    #[test]
    fn units_are_found_where_they_are_named() {
        for (text, kind, unit) in [
            ("preheat temperature, hot end [°C]", Kind::Temperature, "°C"),
            ("preheat (degC)", Kind::Temperature, "°C"),
            ("preheat [K]", Kind::Temperature, "K"),
            ("preheat in °F", Kind::Temperature, "°F"),
            ("pull-up [Ω]", Kind::Resistance, "Ω"),
            ("pull-up, kOhm", Kind::Resistance, "kΩ"),
            ("sudden change [mm/s]", Kind::Velocity, "mm/s"),
            ("speeds per minute", Kind::Velocity, "mm/min"),
            ("acceleration mm/s2", Kind::Acceleration, "mm/s²"),
            ("currents, mA", Kind::Current, "mA"),
        ] {
            assert_eq!(units(text, kind), [unit], "{text}");
        }
    }

    #[test]
    fn words_and_quantities_of_a_sentence_are_no_units() {
        for (text, kind) in [
            ("thermistor: at 25 °C, constant", Kind::Temperature),
            ("home offset in X and Y", Kind::Length),
            ("current of A and B", Kind::Current),
            ("K is what it needs", Kind::Temperature),
            ("acceleration [mm/s2]", Kind::Velocity),
            ("1.75 mm filament", Kind::Length),
            ("gain per second squared", Kind::Velocity),
            ("", Kind::Length),
        ] {
            assert!(units(text, kind).is_empty(), "{text}: {:?}", units(text, kind));
        }
    }
}

//! What a controller's own reports make certain: units that differ between families, and how a current is meant.

use model::{Captured, Controller, CurrentDefinition, Dialect, SettingWord};
use serde::Serialize;

use crate::captured::{Letter, Report, Spoken, read_file};
use crate::expected::Expected;

/// Where families differ: which of the readings of a word this controller means, and what told it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Decided {
    /// The name of the board.
    pub board: String,
    /// The word.
    pub word: String,
    /// What it means: "mm/s", "peak".
    pub meaning: String,
    /// What told it.
    pub because: String,
}

/// A controller with the words of its reports made as certain as they make them.
#[derive(Clone, Debug)]
pub(crate) struct Understood {
    pub dialect: Dialect,
    pub reports: Vec<Report>,
    pub decided: Vec<Decided>,
}

/// How near to the effective value or the peak of what the machine's file asks for a current must be to tell which it is.
const NEAR_CURRENT: f64 = 0.05;

/// Reads what a controller reported.
pub(crate) fn understood(controller: &Controller, texts: &[Captured], expected: &Expected<'_>) -> Understood {
    let read = |dialect: &Dialect| -> Vec<Report> {
        texts
            .iter()
            .map(|text| read_file(&text.path, &text.text, dialect))
            .collect()
    };
    let mut dialect = controller.dialect.clone();
    let mut reports = read(&dialect);
    let mut decided = Vec::new();
    for row in dialect.setting_words_mut().filter(|row| row.open().is_some()) {
        let commands = reports.iter().flat_map(|report| &report.commands);
        let commands: Vec<&Spoken> = commands.filter(|spoken| spoken.word == row.word).collect();
        if let Some(because) = decide(row, &commands, expected) {
            decided.push(Decided {
                board: controller.board.clone(),
                word: row.word.clone(),
                meaning: row
                    .measure
                    .map_or_else(|| row.units.concat(), |measure| measure.word().to_owned()),
                because,
            });
        }
    }
    if !decided.is_empty() {
        reports = read(&dialect);
    }
    Understood {
        dialect,
        reports,
        decided,
    }
}

/// Makes a row certain where what stands near its commands, or the size of their numbers, does; says what told it.
fn decide(row: &mut SettingWord, commands: &[&Spoken], expected: &Expected<'_>) -> Option<String> {
    if row.units.len() > 1 {
        let (unit, because) = said(&row.units, commands, |near, unit| names_unit(near, unit))
            .or_else(|| unit_by_size(row, commands, expected))?;
        row.units = vec![unit];
        return Some(because);
    }
    let measures = [CurrentDefinition::Rms, CurrentDefinition::Peak];
    let (measure, because) = said(&measures, commands, |near, measure| names_measure(near, *measure))
        .or_else(|| measure_by_size(row, commands, expected))?;
    row.measure = Some(measure);
    Some(because)
}

/// The one of several meanings that the text near the commands names.
fn said<T: Clone>(
    meanings: &[T],
    commands: &[&Spoken],
    names: impl Fn(&str, &T) -> bool,
) -> Option<(T, String)> {
    let named = |spoken: &Spoken| {
        let mut named = meanings.iter().filter(|meaning| names(&spoken.near, meaning));
        let only = named.next()?;
        named.next().is_none().then_some(only)
    };
    let (meaning, line) = commands
        .iter()
        .find_map(|spoken| Some((named(spoken)?, spoken.line)))?;
    let agree = commands.iter().all(|spoken| {
        meanings
            .iter()
            .all(|other| !names(&spoken.near, other) || names(&spoken.near, meaning))
    });
    agree.then(|| (meaning.clone(), format!("the report says so near line {line}")))
}

/// Whether a text names a unit of speed or acceleration, also in the words of people.
fn names_unit(near: &str, unit: &str) -> bool {
    let near = near.to_lowercase();
    let plain = unit.replace('²', "2");
    let words: &[&str] = match unit {
        "mm/s" => &["per second", "a second"],
        "mm/min" => &["per minute", "a minute"],
        _ => &[],
    };
    let token = |text: &str| {
        near.match_indices(text).any(|(at, _)| {
            let after = near[at + text.len()..].chars().next();
            let before = near[..at].chars().next_back();
            let inside = |character: Option<char>| {
                character.is_some_and(|character| {
                    character.is_alphanumeric() || matches!(character, '²' | '^' | '/')
                })
            };
            !inside(after) && !inside(before)
        })
    };
    token(unit) || token(&plain) || words.iter().any(|words| token(words))
}

pub(crate) fn names_measure(near: &str, measure: CurrentDefinition) -> bool {
    let words: &[&str] = match measure {
        CurrentDefinition::Rms => &["rms", "effective"],
        CurrentDefinition::Peak => &["peak"],
    };
    let near = near.to_lowercase();
    near.split(|character: char| !character.is_alphanumeric())
        .any(|word| words.contains(&word))
}

/// The numbers of a row's letters beside what the machine's file asks for, in base units.
fn beside<'r>(
    row: &'r SettingWord,
    commands: &'r [&Spoken],
    expected: &'r Expected<'_>,
) -> impl Iterator<Item = (&'r Letter, f64)> {
    let letters = commands.iter().flat_map(|spoken| &spoken.letters);
    letters
        .filter(|letter| row.letters.contains(&letter.letter))
        .filter_map(|letter| {
            let parts = row.parts();
            let own = letter.letter.to_string();
            let of = parts.as_ref().map_or(own.as_str(), |parts| parts[0]);
            let asked = expected.of(row.topic, of)?.nominal;
            (asked > 0.0 && letter.number > 0.0).then_some((letter, asked))
        })
}

/// The unit in which each number is nearest to what the machine's file asks for, where it is one and no number lies between two.
fn unit_by_size(
    row: &SettingWord,
    commands: &[&Spoken],
    expected: &Expected<'_>,
) -> Option<(String, String)> {
    let base = |unit: &str| quantity::AnyValue::in_unit(row.kind(), 1.0, unit).map(|one| one.nominal);
    let mut found: Option<(String, String)> = None;
    for (letter, asked) in beside(row, commands, expected) {
        let off = |unit: &String| {
            (letter.number * base(unit).unwrap_or(f64::NAN) / asked)
                .ln()
                .abs()
        };
        let mut sorted: Vec<(&String, f64)> = row.units.iter().map(|unit| (unit, off(unit))).collect();
        sorted.sort_by(|one, other| one.1.total_cmp(&other.1));
        let [(nearest, least), (_, next), ..] = sorted[..] else {
            return None;
        };
        // Between two units lies a stretch in which a number may be either; and beyond both it is neither.
        if least > 0.35 * (least + next) || least > 7_f64.ln() {
            return None;
        }
        match &found {
            Some((unit, _)) if unit != nearest => return None,
            Some(_) => {}
            None => {
                let asked = expected.of(
                    row.topic,
                    &row.parts()
                        .map_or_else(|| letter.letter.to_string(), |parts| parts[0].to_owned()),
                )?;
                let because = format!(
                    "{}{} is then near the {} of the machine file",
                    letter.letter,
                    letter.number,
                    quantity::show(&asked, quantity::Digits::new(3))
                );
                found = Some((nearest.clone(), because));
            }
        }
    }
    found
}

/// Whether all currents are the effective values, or all the peaks, of what the machine's file asks for.
fn measure_by_size(
    row: &SettingWord,
    commands: &[&Spoken],
    expected: &Expected<'_>,
) -> Option<(CurrentDefinition, String)> {
    let unit = row.unit()?;
    let ampere = quantity::AnyValue::in_unit(row.kind(), 1.0, unit)?.nominal;
    let ratios: Vec<f64> = beside(row, commands, expected)
        .map(|(letter, asked)| letter.number * ampere / asked)
        .collect();
    let all_near = |goal: f64| {
        !ratios.is_empty()
            && ratios
                .iter()
                .all(|ratio| (ratio / goal - 1.0).abs() < NEAR_CURRENT)
    };
    let because = |what: &str| format!("the currents are then {what} of those of the machine file");
    if all_near(1.0) {
        return Some((CurrentDefinition::Rms, because("the effective values")));
    }
    all_near(core::f64::consts::SQRT_2).then(|| (CurrentDefinition::Peak, because("the peaks")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_named_as_signs_and_in_words() {
        for near in [
            "highest speeds, mm/s",
            "speed [mm/s]:",
            "Speeds per second",
            "in mm a second",
        ] {
            assert!(names_unit(near, "mm/s") && !names_unit(near, "mm/min"), "{near}");
        }
        for near in ["speeds (mm/min)", "per minute"] {
            assert!(names_unit(near, "mm/min") && !names_unit(near, "mm/s"), "{near}");
        }
        for near in ["accelerations in mm/s2", "mm/s²", "mm/s^2", "mm/season", ""] {
            assert!(!names_unit(near, "mm/s"), "{near}");
        }
    }

    #[test]
    fn measures_are_named_by_words() {
        assert!(names_measure("currents, mA (RMS)", CurrentDefinition::Rms));
        assert!(names_measure("peak currents", CurrentDefinition::Peak));
        assert!(!names_measure("speaker", CurrentDefinition::Peak));
    }
}

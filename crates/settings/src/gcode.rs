//! What a running controller can be told, as a commented program; and what it reports afterwards, held against that.

use core::fmt::Write;

use model::{About, Dialect, SettingWord, Slot};
use quantity::AnyValue;
use serde::Serialize;

use crate::captured::Report;
use crate::job::as_counted;
use crate::list::Settings;
use crate::setting::{By, Fate, Setting, SettingValue};
use crate::told::{Untold, awaiting};

/// The widest comment; controllers cut lines somewhere beyond.
const WIDTH: usize = 92;

/// The program that tells a running controller its settings: ASCII, commented, in the order of the dialect; only words that the
/// controller's own reports showed.
///
/// It stores nothing: its last line asks for the report, which [`read_back`] holds against what was meant.
#[must_use]
pub fn gcode(settings: &Settings) -> String {
    let dialect = &settings.dialect;
    let mut out = String::new();
    header(settings, dialect, &mut out);
    let marked = settings
        .settings
        .iter()
        .filter(|setting| setting.caution && setting.is_told());
    let marked: Vec<String> = marked
        .map(|setting| format!("{}, {}: {}", setting.title, setting.of, setting.reason))
        .collect();
    listed("CAUTION: read these before you send anything:", &marked, &mut out);
    for row in rows_by_word(dialect) {
        word(settings, &row, &mut out);
    }
    let by_word = |setting: &&Setting| matches!(setting.by, By::Word { .. });
    let left = settings
        .settings
        .iter()
        .filter(by_word)
        .filter(|setting| !setting.is_told());
    let left: Vec<String> = left
        .map(|setting| {
            format!(
                "{}, {}: {}. {}",
                setting.title,
                setting.of,
                setting.fate.word(),
                setting.reason
            )
        })
        .collect();
    listed(
        "Not told, since it is dropped or has to be measured first:",
        &left,
        &mut out,
    );
    let awaiting = awaiting(settings)
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>();
    listed("Not told, but in the build sheet:", &awaiting, &mut out);
    comment("", &mut out);
    if let Some(ask) = dialect.word_that("asks for all settings") {
        comment(
            "The answer to this line is what the controller now knows: save it and read it back.",
            &mut out,
        );
        let _ = writeln!(out, "{ask}");
    }
    out
}

fn listed(heading: &str, lines: &[String], out: &mut String) {
    if lines.is_empty() {
        return;
    }
    comment("", out);
    comment(heading, out);
    for line in lines {
        comment(&format!("  {line}"), out);
    }
}

fn header(settings: &Settings, dialect: &Dialect, out: &mut String) {
    comment(
        &format!(
            "Settings for the board {}, computed for the swap \"{}\".",
            settings.board, settings.swap
        ),
        out,
    );
    if settings.invented {
        comment("Invented example: no such machine exists.", out);
    }
    comment(
        "Only for this board and this machine: on another one these values can break and burn things. Send it with heaters off and the \
         machine in reach of its switch, one line at a time.",
        out,
    );
    let ask = dialect
        .word_that("asks for all settings")
        .unwrap_or("the word that asks for all settings");
    if settings.shown.reports.is_empty() {
        comment(
            &format!(
                "Nothing is told here: no report of this controller, taken after it was loaded, shows which words it knows. Load it, send \
                 {ask}, save the answer and name the file as `after_loading` of this board's `[[controller]]` in swap.toml."
            ),
            out,
        );
    } else {
        comment(
            &format!(
                "It is told only words that its own reports showed: {}.",
                settings.shown.reports.join(", ")
            ),
            out,
        );
    }
    let store = dialect.word_that("stores the settings");
    let store = store.map_or(String::new(), |word| {
        format!(" Nothing is stored until you send {word}.")
    });
    comment(
        &format!("Then read it back and compare.{store} What must be built in stands in the build sheet."),
        out,
    );
}

/// The rows of one word with one choice of part: they share a line.
struct Line<'a> {
    word: &'a str,
    pick: Option<(char, usize)>,
    rows: Vec<&'a SettingWord>,
}

fn rows_by_word(dialect: &Dialect) -> Vec<Line<'_>> {
    let mut out: Vec<Line<'_>> = Vec::new();
    for row in dialect.setting_words().filter(|row| row.running) {
        let picks: Vec<Option<(char, usize)>> = match &row.about {
            About::Picked { by, parts } => (0..parts.len()).map(|at| Some((*by, at))).collect(),
            _ => vec![None],
        };
        for pick in picks {
            match out
                .iter_mut()
                .find(|line| line.word == row.word && line.pick == pick)
            {
                Some(line) => line.rows.push(row),
                None => out.push(Line {
                    word: &row.word,
                    pick,
                    rows: vec![row],
                }),
            }
        }
    }
    out
}

fn word(settings: &Settings, line: &Line<'_>, out: &mut String) {
    let told: Vec<(&Setting, Slot<'_>, String)> = line
        .rows
        .iter()
        .flat_map(|row| {
            settings.settings.iter().filter_map(|setting| {
                let slot = (setting.topic == row.topic && setting.is_told())
                    .then(|| row.slot(&setting.of))
                    .flatten()?;
                let number = number(settings, setting, &slot)?;
                (slot.pick == line.pick).then_some((setting, slot, number))
            })
        })
        .collect();
    let doubtful = |setting: &&Setting| {
        matches!(setting.untold, Some(Untold::Doubtful(_)))
            && line.rows.iter().any(|row| {
                row.topic == setting.topic && row.slot(&setting.of).is_some_and(|slot| slot.pick == line.pick)
            })
    };
    let doubtful: Vec<&Setting> = settings.settings.iter().filter(doubtful).collect();
    if told.is_empty() && doubtful.is_empty() {
        return;
    }
    comment("", out);
    for setting in doubtful {
        comment(&format!("NOT TOLD: {}", setting.reason), out);
    }
    if told.is_empty() {
        return;
    }
    let mut before = None;
    for (at, (setting, slot, _)) in told.iter().enumerate() {
        if before != Some(setting.title) {
            let unit = slot.word.unit().unwrap_or_default();
            let unit = if unit.is_empty() {
                String::new()
            } else {
                format!(" [{unit}]")
            };
            comment(&format!("{}{unit}", setting.title), out);
            before = Some(setting.title);
        }
        let alike = |other: &Setting| {
            (other.title, other.fate, &other.reason) == (setting.title, setting.fate, &setting.reason)
        };
        // Neighbours with one reason share its line.
        if at > 0 && alike(told[at - 1].0) {
            continue;
        }
        let run = told[at..].iter().take_while(|(other, _, _)| alike(other));
        let whose: Vec<&str> = run.map(|(other, _, _)| other.of.as_str()).collect();
        let start = if setting.fate == Fate::MeasureAgain {
            " (only a start)"
        } else {
            ""
        };
        let (whose, fate) = (whose.join(", "), setting.fate.word());
        comment(&format!("  {whose}: {fate}{start}. {}", setting.reason), out);
    }
    let pick = line
        .pick
        .map_or(String::new(), |(letter, number)| format!(" {letter}{number}"));
    let _ = write!(out, "{}{pick}", line.word);
    for (_, slot, number) in &told {
        let _ = write!(out, " {}{number}", slot.letter);
    }
    out.push('\n');
}

/// A number loses no more than this when it is told in the decimals of a report.
const ROUNDING: f64 = 1e-3;

/// The number that tells a setting, without needless zeros, in the decimals of its row or else of the controller's report. A report
/// that leaves zeros out shows fewer than it takes: where those would change the number, it is told in more.
fn number(settings: &Settings, setting: &Setting, slot: &Slot<'_>) -> Option<String> {
    let number = slot
        .word
        .number(&setting.new.as_ref()?.any()?)
        .filter(|number| number.is_finite())?;
    let written = |digits: u8| format!("{number:.*}", usize::from(digits));
    let holds = |text: &String| {
        let back: f64 = text.parse().unwrap_or(f64::NAN);
        (back - number).abs() <= ROUNDING * number.abs()
    };
    let text = match slot.word.digits {
        Some(digits) => written(digits),
        None => {
            let shown = settings.shown.decimals(&slot.word.word).unwrap_or(0).min(6);
            let enough = (shown..=6).map(written).find(holds);
            enough.unwrap_or_else(|| written(6))
        }
    };
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    Some(if text == "-0" { "0" } else { text }.to_owned())
}

/// A comment, wrapped, in ASCII: not every controller reads more.
fn comment(text: &str, out: &mut String) {
    let text = ascii(text);
    let indent: String = text.chars().take_while(|character| *character == ' ').collect();
    let mut line = String::new();
    let mut any = false;
    for token in text.split_whitespace() {
        if !line.trim().is_empty() && line.len() + 1 + token.len() > WIDTH {
            let _ = writeln!(out, "; {line}");
            line = format!("{indent}  ");
        } else if line.is_empty() {
            line.clone_from(&indent);
        } else {
            line.push(' ');
        }
        line.push_str(token);
        any = true;
    }
    let _ = if any {
        writeln!(out, "; {line}")
    } else {
        writeln!(out, ";")
    };
}

fn ascii(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '°' => out.push_str("deg "),
            '²' => out.push('2'),
            'Ω' => out.push_str("ohm"),
            'µ' => out.push('u'),
            '±' => out.push_str("+-"),
            '→' => out.push_str("->"),
            '−' => out.push('-'),
            ';' => out.push(','),
            '(' => out.push('['),
            ')' => out.push(']'),
            other if other.is_ascii() => out.push(other),
            _ => out.push('?'),
        }
    }
    out
}

/// How a reported value compares with what was meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Match {
    /// It is the same, within the digits of the report.
    Same,
    /// It is another one.
    Differs,
    /// The controller did not report it.
    Missing,
    /// It was reported and nobody meant anything by it.
    NotMeant,
}

/// One row of a read-back.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Compared {
    /// The identifier of the setting.
    pub id: String,
    /// What was meant.
    pub meant: Option<SettingValue>,
    /// What the controller reported.
    pub reported: Option<SettingValue>,
    /// The line of the report.
    pub line: Option<usize>,
    /// How they compare.
    pub result: Match,
}

/// Holds what a controller reports against what it was told; every told setting first, then what else it reported.
#[must_use]
pub fn read_back(settings: &Settings, report: &Report) -> Vec<Compared> {
    let dialect = &settings.dialect;
    let mut out: Vec<Compared> = Vec::new();
    for setting in settings.settings.iter().filter(|setting| setting.is_told()) {
        let found = report.last(setting.topic, &setting.of);
        let slot = dialect.slot(setting.topic, &setting.of);
        // What was told was rounded.
        let told = slot.and_then(|slot| number(settings, setting, &slot)?.parse().ok());
        let result = match (found, told, slot) {
            (None, _, _) => Match::Missing,
            (Some(found), Some(told), Some(slot)) if same(told, &found.value, &slot, report) => Match::Same,
            _ => Match::Differs,
        };
        out.push(Compared {
            id: setting.id.clone(),
            meant: setting.new.clone(),
            reported: found.map(|found| as_counted(found.topic, &found.value)),
            line: found.map(|found| found.line),
            result,
        });
    }
    for value in report.values.iter().filter(|value| !value.overridden) {
        let meant = settings
            .find(value.topic, &value.of)
            .is_some_and(Setting::is_told);
        if !meant {
            out.push(Compared {
                id: format!("{}:{}", value.topic.id(), value.of.replace(' ', "-")),
                meant: None,
                reported: Some(as_counted(value.topic, &value.value)),
                line: Some(value.line),
                result: Match::NotMeant,
            });
        }
    }
    out
}

/// Whether a report with its decimals could mean the number that was told.
fn same(told: f64, reported: &AnyValue, slot: &Slot<'_>, report: &Report) -> bool {
    let Some(reported) = slot.word.number(reported) else {
        return false;
    };
    let decimals = report.decimals(&slot.word.word).or(slot.word.digits).unwrap_or(0);
    let half = 0.5 * 0.1_f64.powi(i32::from(decimals));
    (told - reported).abs() <= half * (1.0 + 1e-6) + 1e-9
}

//! What an answer writes.

use std::collections::BTreeSet;

use toml_edit::{Array, Value};

use crate::files::{Files, Thing, called, word};
use crate::rows::{self, Row};
use crate::{Outcome, Question, Survey, Written};

/// What stands for "there is nothing of it".
const NONE: [&str; 3] = ["none", "no", "0"];
/// What stands for "nobody knows".
pub(crate) const UNKNOWN: &str = "?";
/// The most of one kind: more is a slip.
const MOST: usize = 40;

impl Survey {
    /// Takes an answer; an empty one stands for what is proposed, `?` for what nobody knows.
    ///
    /// One answer stands for all things that the question is about, or one for each with commas between. A choice may be told by its number, or by how
    /// it begins. Whether a value is a value is judged by whoever loads the files.
    ///
    /// # Errors
    /// Why it is no answer, as a sentence; nothing is changed then.
    pub fn answered(&mut self, question: &Question, answer: &str) -> Result<Outcome, String> {
        let answer = match (answer.trim(), question.usual.as_deref()) {
            ("", Some(usual)) => usual,
            ("", None) => {
                return Err("nothing is proposed: type an answer, or ? where nobody knows".to_owned());
            }
            (answer, _) => answer,
        };
        let row = &rows::all()[question.row];
        let mut files = self.files.clone();
        let mut touched = BTreeSet::new();
        begun(&mut files, &mut touched);
        match row.makes.as_deref() {
            Some("board") => board(&mut files, &mut touched, answer)?,
            Some(makes) => {
                let none = NONE.contains(&answer.to_lowercase().as_str()) || answer == UNKNOWN;
                if none && !row.needed {
                    self.nothing.insert(question.id.clone());
                    return Ok(Outcome::Nothing);
                }
                if makes == "port" {
                    let board = question.board.as_deref().unwrap_or_default();
                    ports(&mut files, board, row, answer)?;
                    touched.insert(board.to_owned());
                } else {
                    devices(&mut files, makes, row, answer)?;
                    touched.insert(files.machine());
                }
            }
            None if row.words && NONE.contains(&answer.to_lowercase().as_str()) => {
                self.nothing.insert(question.id.clone());
                return Ok(Outcome::Nothing);
            }
            None => values(&mut files, &mut touched, question, row, answer)?,
        }
        self.files = files;
        let written = touched.into_iter().map(|path| Written {
            text: self.files.text(&path),
            path,
        });
        Ok(Outcome::Written(written.collect()))
    }
}

/// What every swap has: a machine with a supply, an old board of which nothing is known.
fn begun(files: &mut Files, touched: &mut BTreeSet<String>) {
    if files.root("swap.toml").is_empty() {
        files
            .root("swap.toml")
            .insert("old_board", Value::from(UNKNOWN).into());
        touched.insert("swap.toml".to_owned());
    }
    let machine = files.machine();
    if files.rows(&machine, "device").is_empty() {
        let row = vec![("tag", "PS".into()), ("kind", "supply".into())];
        files.add(&machine, "device", row);
        touched.insert(machine);
    }
}

/// A new candidate, in a file named after it.
fn board(files: &mut Files, touched: &mut BTreeSet<String>, name: &str) -> Result<(), String> {
    if name == UNKNOWN || NONE.contains(&name.to_lowercase().as_str()) {
        return Err("it needs some name, such as the one printed on it".to_owned());
    }
    let letters = name.chars().map(|letter| {
        if letter.is_ascii_alphanumeric() {
            letter.to_ascii_lowercase()
        } else {
            '-'
        }
    });
    let stem: String = letters.collect();
    let stem = stem.trim_matches('-');
    let path = format!("boards/{}.toml", if stem.is_empty() { "new" } else { stem });
    files.root(&path).insert("name", Value::from(name).into());
    files.list("swap.toml", "candidates", path.as_str().into());
    touched.extend([path, "swap.toml".to_owned()]);
    Ok(())
}

/// The names of an answer, each once.
fn names(answer: &str) -> Result<Vec<&str>, String> {
    let names: Vec<&str> = answer.split(',').map(str::trim).collect();
    if names.iter().any(|name| name.is_empty()) {
        return Err("an empty name stands between two commas".to_owned());
    }
    if names.len() > MOST {
        return Err(format!(
            "{} are more than {MOST}: add them to the file by hand",
            names.len()
        ));
    }
    Ok(names)
}

fn ports(files: &mut Files, board: &str, row: &Row, answer: &str) -> Result<(), String> {
    let names = names(answer)?;
    let role = row.role.as_deref().unwrap_or_default();
    let mut known: BTreeSet<String> = BTreeSet::new();
    for (_, port) in files.rows(board, "port") {
        known.extend(called(port, "name", "names"));
    }
    for name in &names {
        if !known.insert((*name).to_owned()) {
            return Err(format!(
                "`{name}` stands twice: each port of a board has a name of its own"
            ));
        }
    }
    let named = |names: &[&str]| -> (&'static str, Value) {
        match names {
            [name] => ("name", (*name).into()),
            names => ("names", names.iter().copied().collect::<Array>().into()),
        }
    };
    let mut made = vec![named(&names), ("role", role.into())];
    if role == "motor output" {
        // A driver behind each, under the name of its port.
        let (_, drivers) = named(&names);
        made.push(("driver", drivers));
        files.add(board, "driver", vec![named(&names)]);
    }
    files.add(board, "port", made);
    Ok(())
}

fn devices(files: &mut Files, kind: &str, row: &Row, answer: &str) -> Result<(), String> {
    let answers: Vec<String> = match (row.key.as_deref(), row.choices.is_empty()) {
        (Some(_), true) => names(answer)?
            .into_iter()
            .map(axis_name)
            .collect::<Result<_, _>>()?,
        (Some(_), false) => {
            let chosen = names(answer)?.into_iter().map(|one| chosen(row, one));
            chosen.collect::<Result<_, _>>()?
        }
        (None, _) => {
            let count = answer
                .parse::<usize>()
                .ok()
                .filter(|count| (1..=MOST).contains(count));
            let count = count.ok_or_else(|| format!("`{answer}` is no count: type a number, or none"))?;
            vec![String::new(); count]
        }
    };
    let machine = files.machine();
    let prefix = row.tag.as_deref().unwrap_or("D");
    for own in answers {
        let tag = free_tag(files, prefix, kind, &own);
        let mut made: Vec<(&'static str, Value)> = vec![("tag", tag.into())];
        if let Some(name) = name(kind, &own) {
            made.push(("name", name.into()));
        }
        made.push(("kind", kind.into()));
        match row.key.as_deref() {
            Some("zone") => made.push(("zone", own.clone().into())),
            Some("axis") => {
                made.push(("axis", own.clone().into()));
                axis(files, &machine, &own);
            }
            Some("cools") => made.push(("cools", own.into())),
            _ => {}
        }
        files.add(&machine, "device", made);
    }
    Ok(())
}

/// What people call a device.
fn name(kind: &str, own: &str) -> Option<String> {
    match (kind, own) {
        (_, "" | UNKNOWN) => None,
        ("heater", zone) => Some(format!("{zone} heater")),
        ("relay", zone) => Some(format!("{zone} relay")),
        ("thermometer", zone) => Some(format!("{zone} sensor")),
        ("motor", axis) => Some(format!("motor {axis}")),
        ("fan", "heat sink") => Some("hot-end fan".to_owned()),
        ("fan", cools) => Some(format!("{cools} fan")),
        ("limit switch", axis) => Some(format!("limit switch {axis}")),
        _ => None,
    }
}

/// A tag that no device has: the letter of its axis behind the prefix, else a number.
fn free_tag(files: &Files, prefix: &str, kind: &str, own: &str) -> String {
    let machine = files.machine();
    let taken: BTreeSet<String> = files
        .rows(&machine, "device")
        .into_iter()
        .flat_map(|(_, row)| called(row, "tag", "tags"))
        .collect();
    let by_axis = ["motor", "limit switch"].contains(&kind) && own.len() == 1;
    let named = by_axis.then(|| format!("{prefix}{own}"));
    if let Some(named) = named.filter(|named| !taken.contains(named)) {
        return named;
    }
    let stem = if by_axis {
        format!("{prefix}{own}")
    } else {
        prefix.to_owned()
    };
    let mut number = if by_axis { 2 } else { 1 };
    loop {
        let tag = format!("{stem}{number}");
        if !taken.contains(&tag) {
            return tag;
        }
        number += 1;
    }
}

/// An axis as a letter, perhaps with a number behind.
fn axis_name(answer: &str) -> Result<String, String> {
    let name = answer.to_uppercase();
    let mut letters = name.chars();
    let letter = letters.next().is_some_and(|letter| letter.is_ascii_alphabetic());
    if name == UNKNOWN || letter && name.len() <= 2 && letters.all(|rest| rest.is_ascii_digit()) {
        return Ok(name);
    }
    Err(format!("`{answer}` is no axis: name it by its letter, such as X"))
}

/// A table for an axis that has none.
fn axis(files: &mut Files, machine: &str, name: &str) {
    let known = files
        .rows(machine, "axis")
        .iter()
        .any(|(_, row)| word(*row, "name") == Some(name));
    if !known && name != UNKNOWN {
        files.add(machine, "axis", vec![("name", name.into())]);
    }
}

/// The choice that is meant: by its number, its word, or how it alone begins.
fn chosen(row: &Row, answer: &str) -> Result<String, String> {
    let choices = &row.choices;
    if answer == UNKNOWN {
        return Ok(UNKNOWN.to_owned());
    }
    let meant = answer.to_lowercase();
    if let Some(choice) = meant
        .parse::<usize>()
        .ok()
        .and_then(|at| choices.get(at.checked_sub(1)?))
    {
        return Ok(choice.clone());
    }
    if let Some(choice) = choices.iter().find(|choice| choice.to_lowercase() == meant) {
        return Ok(choice.clone());
    }
    let mut alike = choices
        .iter()
        .filter(|choice| choice.to_lowercase().starts_with(&meant));
    match (alike.next(), alike.next()) {
        (Some(choice), None) => Ok(choice.clone()),
        _ if row.free => Ok(answer.to_owned()),
        _ => Err(format!("`{answer}` is none of {}", choices.join("; "))),
    }
}

/// Puts a value of each thing.
fn values(
    files: &mut Files,
    touched: &mut BTreeSet<String>,
    question: &Question,
    row: &Row,
    answer: &str,
) -> Result<(), String> {
    if row.needed && answer == UNKNOWN {
        return Err("nothing is planned without it".to_owned());
    }
    let things = &question.things;
    if !row.also.is_empty() {
        return one_behind_the_other(files, touched, question, row, answer);
    }
    // Some choices have a comma in them.
    let whole = chosen(row, answer)
        .ok()
        .filter(|whole| row.choices.contains(whole) || whole == UNKNOWN);
    let separator = if row.choices.iter().any(|choice| choice.contains(',')) {
        ';'
    } else {
        ','
    };
    let answers: Vec<String> = match whole {
        Some(whole) => vec![whole],
        None if row.words || row.each => vec![answer.to_owned()],
        None => answer.split(separator).map(|one| one.trim().to_owned()).collect(),
    };
    // A row with several names has one value for all, or one for each.
    let parts: usize = things.iter().map(|thing| thing.names.len().max(1)).sum();
    if answers.len() != 1 && answers.len() != parts {
        return Err(format!(
            "these are {} answers for {parts}: type one for all, or one for each with `{separator}` between",
            answers.len()
        ));
    }
    let mut each = answers.iter().cycle();
    for thing in things {
        let own = each.by_ref().take(thing.names.len().max(1)).map(|own| {
            if own.is_empty() {
                return Err("an empty answer stands between two others; ? where nobody knows".to_owned());
            }
            if row.needed && own == UNKNOWN {
                return Err("nothing is planned without it".to_owned());
            }
            value(files, thing, row, own)
        });
        let own: Vec<Value> = own.collect::<Result<_, String>>()?;
        let alike = own.iter().all(|one| one.to_string() == own[0].to_string());
        let value = if alike {
            own[0].clone()
        } else {
            own.into_iter().collect::<Array>().into()
        };
        files.put(thing, row.key.as_deref().unwrap_or_default(), value);
        touched.insert(thing.file.clone());
    }
    Ok(())
}

/// Puts the parts of an answer under several keys of one thing; `?` alone stands for all of them.
fn one_behind_the_other(
    files: &mut Files,
    touched: &mut BTreeSet<String>,
    question: &Question,
    row: &Row,
    answer: &str,
) -> Result<(), String> {
    let keys: Vec<&str> = row.key.iter().chain(&row.also).map(String::as_str).collect();
    let mut parts: Vec<&str> = answer.split(',').map(str::trim).collect();
    if parts == [UNKNOWN] {
        parts = vec![UNKNOWN; keys.len()];
    }
    if parts.len() != keys.len() || parts.contains(&"") {
        return Err(format!(
            "{} answers with commas between are asked: {}",
            keys.len(),
            keys.join(", ")
        ));
    }
    for thing in &question.things {
        for (at, (key, part)) in keys.iter().zip(&parts).enumerate() {
            let unit = row
                .units
                .get(at)
                .map(String::as_str)
                .filter(|unit| !unit.is_empty());
            files.put(thing, key, Value::from(with_unit(part, unit)));
        }
        touched.insert(thing.file.clone());
    }
    Ok(())
}

/// What an answer puts under the key of a row.
fn value(files: &Files, thing: &Thing, row: &Row, answer: &str) -> Result<Value, String> {
    Ok(if answer == UNKNOWN {
        Value::from(UNKNOWN)
    } else if !row.choices.is_empty() {
        Value::from(chosen(row, answer)?)
    } else if row.words {
        let words = answer.split([' ', ',']).filter(|word| !word.is_empty());
        words.collect::<Array>().into()
    } else if row.instead.as_deref() == Some("resistance")
        && let Some(ohms) = resistance(answer)
    {
        let volts = files.number(thing, "voltage").filter(|volts| *volts > 0.0);
        let volts = volts.ok_or("its voltage is not known: type its power")?;
        if ohms.is_nan() || ohms <= 0.0 {
            return Err(format!("`{answer}` is no resistance of a heater"));
        }
        // Joule's law, to three digits.
        let watts = volts * volts / ohms;
        let mut value = Value::from(format!("{} W", three_digits(watts)));
        value
            .decor_mut()
            .set_suffix(format!("  # from {ohms} Ω at {volts} V, cold"));
        value
    } else {
        Value::from(with_unit(answer, row.unit.as_deref()))
    })
}

/// The ohms of an answer with the unit of a resistance.
fn resistance(answer: &str) -> Option<f64> {
    let units = ["Ω", "\u{3a9}", "ohms", "ohm", "Ohm"];
    let number = units.iter().find_map(|unit| answer.strip_suffix(unit))?;
    number.trim().parse().ok()
}

fn three_digits(value: f64) -> String {
    let digits = (2 - value.abs().log10().floor() as i32).max(0);
    let places = usize::try_from(digits).unwrap_or(0);
    let text = format!("{value:.places$}");
    match text.split_once('.') {
        Some(_) => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        None => text,
    }
}

/// A bare number with the unit of its key.
fn with_unit(answer: &str, unit: Option<&str>) -> String {
    match unit {
        Some(unit) if answer.parse::<f64>().is_ok() => format!("{answer} {unit}"),
        _ => answer.to_owned(),
    }
}

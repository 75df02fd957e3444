//! Logs of JSON lines: one object a line.

use super::heads::{Heads, Role};
use super::layout::{Form, HeadLine};
use super::part::Value;
use super::separated::word;
use super::{Layout, Part, WhatIsKnown};
use crate::Refused;
use crate::read::json::{Flat, flat};
use crate::read::number::{Numeral, numeral};
use crate::read::stamp::stamp;

/// Keys, and what each holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Json {
    keys: Vec<(String, Role)>,
}

/// So many lines of the head tell the keys.
const LOOKED_AT: usize = 50;

pub(super) fn layout(lines: &[HeadLine<'_>], known: WhatIsKnown) -> Result<Layout, Refused> {
    let mut keys: Vec<String> = Vec::new();
    for (_, line) in lines.iter().take(LOOKED_AT) {
        for (key, value) in flat(line).unwrap_or_default() {
            let is_stamp = matches!(&value, Flat::Text(text) if stamp(text.as_bytes()).is_some());
            let is_number = |text: &str| !matches!(numeral(text.trim().as_bytes(), b'.'), Numeral::Other);
            let is_word = |text: &str| ["on", "off", "true", "false"].contains(&text);
            let useful =
                is_stamp || !matches!(&value, Flat::Text(text) if !is_number(text) && !is_word(text));
            if useful && !keys.contains(&key) {
                keys.push(key);
            }
        }
    }
    let mut heads = Heads::of(&keys, &known)?;
    let roles = std::mem::take(&mut heads.roles);
    let keys: Vec<(String, Role)> = keys.into_iter().zip(roles).collect();
    if let Some((time, _)) = keys.iter().find(|(_, role)| *role == Role::Time) {
        let times = lines.iter().take(LOOKED_AT).filter_map(|(_, line)| {
            let pairs = flat(line).ok()?;
            let value = pairs.into_iter().find(|(key, _)| key == time)?.1;
            match value {
                Flat::Number(number) => Some(number),
                _ => None,
            }
        });
        heads.tell_untold_time_unit(&times.collect::<Vec<f64>>());
    }
    Ok(Layout::new(Form::Json(Json { keys }), heads, known))
}

/// A number in quotes, or a word for one.
fn quoted(text: &str, role: Role) -> Option<f64> {
    match numeral(text.trim().as_bytes(), b'.') {
        Numeral::Number(number) => Some(number),
        Numeral::Missing => Some(f64::NAN),
        Numeral::Other => word(text.trim().as_bytes(), role),
    }
}

impl Json {
    /// Reads an object.
    pub fn take(&self, part: &mut Part, layout: &Layout, line: u64, text: &[u8]) {
        let pairs = match flat(text) {
            Ok(pairs) => pairs,
            Err(what) => {
                // The parser's words name a column of the line and so differ from line to line.
                let what = what.split(" (").next().unwrap_or("no JSON");
                part.troubles.add(line, what);
                return;
            }
        };
        let mut time = f64::NAN;
        let mut values = Vec::with_capacity(self.keys.len());
        for (key, value) in pairs {
            let Some((_, role)) = self.keys.iter().find(|(own, _)| *own == key) else {
                continue;
            };
            let number = match value {
                Flat::Number(number) => number,
                Flat::Missing => f64::NAN,
                Flat::Text(text) => match stamp(text.as_bytes()).filter(|_| *role == Role::Time) {
                    Some(found) => part.stamped(found) / layout.time_unit,
                    None if *role == Role::Nothing => continue,
                    None if let Some(number) = quoted(&text, *role) => number,
                    None => {
                        part.troubles.add(line, &format!("`{key}` holds no number"));
                        return;
                    }
                },
            };
            match role {
                Role::Time => time = number * layout.time_unit,
                role => values.push(Value { role: *role, number }),
            }
        }
        if time.is_nan() && self.keys.iter().any(|(_, role)| *role == Role::Time) {
            part.troubles.add(line, "no time");
        } else {
            part.row(layout, line, time, &values);
        }
    }
}

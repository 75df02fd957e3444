//! Logs in which each number stands behind its label.

use super::heads::{Heads, Role};
use super::layout::{Form, HeadLine};
use super::part::Value;
use super::separated::word;
use super::{Layout, Part, WhatIsKnown};
use crate::Refused;
use crate::read::labelled::{Held, Labels};

/// Labels, and what each holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Labelled {
    labels: Labels,
    roles: Vec<Role>,
}

/// So many lines tell the labels.
const LOOKED_AT: usize = 200;

/// The labels of a log, where it is written in this way.
pub(super) fn labels(lines: &[HeadLine<'_>]) -> Option<Labels> {
    let lines: Vec<&[u8]> = lines.iter().take(LOOKED_AT).map(|(_, line)| *line).collect();
    Labels::of(lines.into_iter())
}

pub(super) fn layout(labels: Labels, lines: &[HeadLine<'_>], known: WhatIsKnown) -> Result<Layout, Refused> {
    let mut heads = Heads::of(&labels.heads(), &known)?;
    let mut roles = std::mem::take(&mut heads.roles);
    if labels.stamped {
        // The stamp before the labels is the time of the row.
        for role in roles.iter_mut().filter(|role| **role == Role::Time) {
            *role = Role::Nothing;
        }
        heads.time_unit = 1.0;
    } else if let Some(at) = roles.iter().position(|role| *role == Role::Time) {
        let times = lines.iter().take(LOOKED_AT).filter_map(|(_, line)| {
            let row = labels.row(line).ok()??;
            match row.pairs[at].value {
                Held::Number(number) => Some(number),
                _ => None,
            }
        });
        heads.tell_untold_time_unit(&times.collect::<Vec<f64>>());
    }
    let form = Form::Labelled(Labelled { labels, roles });
    Ok(Layout::new(form, heads, known))
}

impl Labelled {
    /// Reads a line.
    pub fn take(&self, part: &mut Part, layout: &Layout, line: u64, text: &[u8]) {
        let row = match self.labels.row(text) {
            Ok(Some(row)) => row,
            Ok(None) => {
                part.chatter += 1;
                return;
            }
            Err(what) => {
                part.troubles.add(line, &what);
                return;
            }
        };
        let mut time = row.stamp.map_or(f64::NAN, |found| part.stamped(found));
        let mut values = Vec::with_capacity(self.roles.len());
        for (pair, role) in row.pairs.iter().zip(&self.roles) {
            let number = match pair.value {
                Held::Number(number) => number,
                Held::Missing => f64::NAN,
                Held::Text(_) if *role == Role::Nothing => continue,
                Held::Text(text) => match word(text.as_bytes(), *role) {
                    Some(number) => number,
                    None => {
                        part.troubles
                            .add(line, &format!("no number behind `{}`", pair.label));
                        return;
                    }
                },
            };
            match role {
                Role::Time => time = number * layout.time_unit,
                role => values.push(Value { role: *role, number }),
            }
        }
        let has_time = self.labels.stamped || self.roles.contains(&Role::Time);
        if time.is_nan() && has_time {
            part.troubles.add(line, "no time");
        } else {
            part.row(layout, line, time, &values);
        }
    }
}

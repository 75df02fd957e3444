//! Captured terminal text: reports among chatter, perhaps each behind a time stamp.

use super::heads::{ChannelLayout, Heads, Role};
use super::layout::{Form, HeadLine};
use super::part::Value;
use super::{Layout, Part, WhatIsKnown};
use crate::read::Words;
use crate::read::stamp::leading;
use crate::read::terminal::{Reported, reported};

/// In so many lines of the head some report has to stand.
const LOOKED_AT: usize = 2_000;

/// Terminal text: some line has a temperature behind its label.
pub(super) fn is_terminal(lines: &[HeadLine<'_>], words: &Words) -> bool {
    lines.iter().take(LOOKED_AT).any(|(_, line)| {
        let mut found = false;
        let read = reported(line, words, |what| {
            found |= matches!(what, Reported::Temperature(..));
        });
        found || read.is_err()
    })
}

pub(super) fn layout(mut known: WhatIsKnown) -> Layout {
    known.full_duty = known.full_duty.or(known.full_duty_of_labels);
    let labels = known.words.temperatures.iter();
    let channels = labels.map(|label| ChannelLayout::named(label, &known)).collect();
    Layout::new(Form::Terminal, Heads::told(Vec::new(), channels), known)
}

/// Reads a line.
pub(super) fn take(part: &mut Part, layout: &Layout, line: u64, text: &[u8]) {
    let words = &layout.known.words;
    let mut values: Vec<Value> = Vec::new();
    let mut add = |role: Role, number: f64| values.push(Value { role, number });
    let read = reported(text, words, |what| match what {
        Reported::Temperature(at, number, target) => {
            add(Role::Measured(at), number);
            if let Some(target) = target {
                add(Role::Target(at), target);
            }
        }
        Reported::Duty(at, number) => {
            let heater = &words.duties[at].1;
            if let Some(at) = words.temperatures.iter().position(|own| own == heater) {
                add(Role::Duty(at), number);
            }
        }
    });
    if let Err(what) = read {
        part.troubles.add(line, &what);
        return;
    }
    if !values.iter().any(|value| matches!(value.role, Role::Measured(_))) {
        part.chatter += 1;
        return;
    }
    let time = leading(text).map_or(f64::NAN, |found| part.stamped(found));
    part.row(layout, line, time, &values);
}

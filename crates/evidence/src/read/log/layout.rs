//! How a log is written, found from its head.

use quantity::si::Time;

use super::heads::{ChannelLayout, Heads};
use super::json::Json;
use super::labelled::Labelled;
use super::separated::Separated;
use super::{HEAD, PartReader, json, labelled, separated, terminal};
use crate::Refused;
use crate::read::cells::is_remark;
use crate::read::coding::{plain, text_only};
use crate::read::json::is_object;
use crate::read::{TemperatureScale, Words};

/// What is known about a log besides its bytes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WhatIsKnown {
    /// The labels of terminal text.
    pub words: Words,
    /// The time between reports where the log has no time stamps.
    pub interval: Option<Time>,
    /// The scale of temperatures without a unit.
    pub scale: Option<TemperatureScale>,
    /// The number that the log writes for full duty.
    pub full_duty: Option<f64>,
    /// The number that stands for full duty behind the labels of terminal text; tables count in their own way.
    pub full_duty_of_labels: Option<f64>,
}

/// How a log is written.
#[derive(Clone, Debug)]
pub struct Layout {
    pub(super) form: Form,
    /// The line of the head, if there is one.
    pub(super) head: Option<u64>,
    /// Seconds in a unit of a time column.
    pub(super) time_unit: f64,
    pub(super) channels: Vec<ChannelLayout>,
    pub(super) known: WhatIsKnown,
    /// What had to be assumed.
    pub(super) remarks: Vec<String>,
}

/// The way of writing.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Form {
    Separated(Separated),
    Json(Json),
    Labelled(Labelled),
    Terminal,
}

/// A line of the head with its number.
pub(super) type HeadLine<'h> = (u64, &'h [u8]);

impl Layout {
    /// Finds how a log is written from its first [`HEAD`] bytes, or all.
    ///
    /// # Errors
    /// [`Refused`] where no temperature can be found, or where it is not clear which column holds what.
    pub fn of(head: &[u8], known: WhatIsKnown) -> Result<Self, Refused> {
        text_only(head)?;
        let lines = lines(head);
        let Some((_, first)) = lines.first() else {
            return Err(Refused::new(
                "the file holds no line of values",
                "a log with time and temperature in each line",
            ));
        };
        if is_object(first) {
            return json::layout(&lines, known);
        }
        if terminal::is_terminal(&lines, &known.words) {
            return Ok(terminal::layout(known));
        }
        if let Some(labels) = labelled::labels(&lines) {
            return labelled::layout(labels, &lines, known);
        }
        separated::layout(&lines, known)
    }

    pub(super) fn new(form: Form, heads: Heads, known: WhatIsKnown) -> Self {
        Self {
            form,
            head: None,
            time_unit: heads.time_unit,
            channels: heads.channels,
            known,
            remarks: heads.remarks,
        }
    }

    /// A reader for a part: the first one with the head of the file, or a later one. A part is made of whole lines.
    #[must_use]
    pub fn part(&self, first: bool) -> PartReader<'_> {
        PartReader::new(self, first)
    }
}

/// The lines that are no remarks, without the last one where it may be cut.
fn lines(head: &[u8]) -> Vec<HeadLine<'_>> {
    let numbered = (1..).zip(head.split(|byte| *byte == b'\n').map(plain));
    let mut lines: Vec<HeadLine<'_>> = numbered.filter(|(_, line)| !is_remark(line)).collect();
    if lines.len() > 1 && head.len() >= HEAD {
        lines.pop();
    }
    lines
}

//! A part of a log while it is read: whole lines to rows, in pieces of bytes that may end anywhere.

use super::heads::{ChannelLayout, Role};
use super::layout::Form;
use super::samples::Samples;
use super::{Channel, Layout, terminal};
use crate::read::cells::is_remark;
use crate::read::lines::{Line, Lines};
use crate::read::stamp::Stamp;
use crate::read::troubles::Troubles;

/// A part of a log that was read.
#[derive(Clone, Debug, Default)]
pub struct Part {
    pub(super) samples: Samples,
    lines: u64,
    /// Lines of terminal text that report nothing of ours.
    pub(super) chatter: u64,
    pub(super) clock: bool,
    pub(super) troubles: Troubles,
    /// Room for the values of a row while it is read.
    pub(super) row: Vec<Value>,
}

/// Reads one part of a log; the pieces of bytes may end anywhere.
#[derive(Clone, Debug)]
pub struct PartReader<'l> {
    layout: &'l Layout,
    lines: Lines,
    part: Part,
    /// Whether the part begins the file, with its head.
    first: bool,
}

impl<'l> PartReader<'l> {
    pub(super) fn new(layout: &'l Layout, first: bool) -> Self {
        let channel = |own: &ChannelLayout| Channel {
            name: own.name.clone(),
            ..Channel::default()
        };
        let samples = Samples {
            time: Vec::new(),
            channels: layout.channels.iter().map(channel).collect(),
        };
        Self {
            layout,
            lines: Lines::default(),
            part: Part {
                samples,
                ..Part::default()
            },
            first,
        }
    }

    /// Takes a piece of the part.
    pub fn push(&mut self, piece: &[u8]) {
        let Self {
            layout,
            lines,
            part,
            first,
        } = self;
        // A head is never all numbers, so that the first part may be looked at in this way, too.
        let quick = |part: &mut Part, number: u64, rest: &[u8]| match &layout.form {
            Form::Separated(form) => form.quick(part, layout, number, rest),
            Form::Json(_) | Form::Labelled(_) | Form::Terminal => None,
        };
        lines.push_quick(piece, part, quick, |part, line| part.take(layout, *first, &line));
    }

    /// The part, whole.
    #[must_use]
    pub fn finish(self) -> Part {
        let Self {
            layout,
            mut lines,
            mut part,
            first,
        } = self;
        lines.finish(|line| part.take(layout, first, &line));
        part.lines = lines.count();
        part
    }
}

/// A value of one row, while it is read.
#[derive(Clone, Copy, Debug)]
pub(super) struct Value {
    pub role: Role,
    pub number: f64,
}

impl Part {
    fn take(&mut self, layout: &Layout, first: bool, line: &Line<'_>) {
        let Some(text) = line.text else {
            self.troubles.add(line.number, "a line of more than 64 KiB");
            return;
        };
        if is_remark(text) || first && layout.head == Some(line.number) {
            return;
        }
        match &layout.form {
            Form::Separated(form) => form.take(self, layout, line.number, text),
            Form::Json(form) => form.take(self, layout, line.number, text),
            Form::Labelled(form) => form.take(self, layout, line.number, text),
            Form::Terminal => terminal::take(self, layout, line.number, text),
        }
    }

    /// Seconds of a stamp.
    pub(super) fn stamped(&mut self, stamp: Stamp) -> f64 {
        match stamp {
            Stamp::Clock(seconds) => {
                self.clock = true;
                seconds
            }
            Stamp::Date(seconds) => seconds,
        }
    }

    /// Adds a row.
    pub(super) fn row(&mut self, layout: &Layout, line: u64, time: f64, values: &[Value]) {
        if let Some(what) = self.samples.time.last().and_then(|last| disorder(*last, time)) {
            self.troubles.add(line, what);
        }
        let at = self.samples.time.len();
        self.samples.time.push(time);
        for (place, channel) in self.samples.channels.iter_mut().enumerate() {
            let scale = layout.channels[place].scale;
            let (mut measured, mut target, mut duty) = (f64::NAN, f64::NAN, f64::NAN);
            for value in values {
                match value.role {
                    Role::Measured(own) if own == place => measured = scale.to_celsius(value.number),
                    // A heater that is off has the target 0 on every scale.
                    Role::Target(own) if own == place && value.number == 0.0 => target = 0.0,
                    Role::Target(own) if own == place => target = scale.to_celsius(value.number),
                    Role::Duty(own) if own == place => duty = value.number,
                    _ => {}
                }
            }
            if measured.is_nan() && values.len() > 1 && layout.channels.len() == 1 {
                self.troubles.add(line, "no temperature");
            }
            channel.push(at, measured, target, duty);
        }
    }

    /// Adds a later part.
    pub(super) fn append(&mut self, later: Part) {
        if let (Some(last), Some(first)) = (self.samples.time.last(), later.samples.time.first())
            && let Some(what) = disorder(*last, *first)
        {
            self.troubles.add(self.lines + 1, what);
        }
        self.troubles.append(later.troubles, self.lines);
        self.lines += later.lines;
        self.chatter += later.chatter;
        self.clock |= later.clock;
        self.samples.append(later.samples);
    }
}

/// What is wrong with the order of two stamps.
fn disorder(last: f64, next: f64) -> Option<&'static str> {
    if next == last {
        Some("the time stamp is that of the line before")
    } else if next < last {
        Some("the time stamp goes backward")
    } else {
        None
    }
}

//! The course of a log: its points and phases over the whole, and near each heat-up sample by sample.

use quantity::si::TemperatureInterval;

use super::Ask;
use super::open_loop::is_open;
use super::phases::{self, Span};
use super::process::{self, Process};
use super::view::{self, View};
use crate::read::{Channel, Log};
use crate::{Refused, Trouble};

/// At most so many heat-ups are looked at closely.
const MOST_HEAT_UPS: usize = 20;

pub(super) struct Course {
    /// The whole log in few points.
    pub view: View,
    /// Whether the duty does not react to the reading.
    pub open_loop: bool,
    /// Its phases.
    pub spans: Vec<Span>,
    /// Each heat-up and what follows it, where the points of the whole are too coarse for it.
    near: Vec<(View, Vec<Span>)>,
}

impl Course {
    pub fn of(log: &Log, channel: &Channel, view: View, ask: &Ask, troubles: &mut Vec<Trouble>) -> Self {
        if is_open(&view) {
            let whole = phases::driven(&view);
            let near = (view.len() < log.len()).then(|| {
                let near = View::between(log, channel, 0, log.len(), view::MOST_NEAR);
                let whole = phases::driven(&near);
                (near, whole)
            });
            return Self {
                view,
                open_loop: true,
                spans: whole,
                near: near.into_iter().collect(),
            };
        }
        let spans = phases::phases(&view, ask, troubles);
        let near = near_heat_ups(log, channel, &view, &spans, ask);
        Self {
            view,
            open_loop: false,
            spans,
            near,
        }
    }

    /// The process, told from the first heat-up.
    pub fn process(
        &self,
        channel: &Channel,
        ask: &Ask,
        troubles: &mut Vec<Trouble>,
    ) -> Result<Process, Refused> {
        let (view, spans) = match self.near.first() {
            Some((view, spans)) => (view, spans),
            None => (&self.view, &self.spans),
        };
        let about = process::About {
            ask,
            duties: channel.duty.as_deref(),
            full_power: channel.full_power,
            open_loop: self.open_loop,
        };
        process::identify(view, spans, about, troubles)
    }

    /// By how much the target was exceeded after each heat-up to the first one's target.
    pub fn overshoots(&self) -> Vec<TemperatureInterval> {
        if self.near.is_empty() || self.open_loop {
            return phases::overshoots(&self.view, &self.spans);
        }
        // Each view begins with its heat-up; what follows in it is another's.
        let first = |(view, spans): &(View, Vec<Span>)| phases::overshoots(view, spans).into_iter().next();
        self.near.iter().filter_map(first).collect()
    }
}

/// Views of each heat-up and what follows it, sample by sample, where that of the whole log is of blocks: a block of half a minute has no
/// dead time. None where the whole log is as fine already, or has no heat-up.
fn near_heat_ups(
    log: &Log,
    channel: &Channel,
    view: &View,
    spans: &[Span],
    ask: &Ask,
) -> Vec<(View, Vec<Span>)> {
    if view.len() >= log.len() {
        return Vec::new();
    }
    let near = |(from, to): (usize, usize)| {
        let length = (log.time[to.min(log.len() - 1)] - log.time[from]).max(60.0);
        // What the identification looks at, and a little more on either side.
        let (begin, end) = (log.time[from] - 70.0, log.time[from] + 6.5 * length + 60.0);
        let first = log.time.partition_point(|time| *time < begin);
        let last = log.time.partition_point(|time| *time <= end);
        let near = View::between(log, channel, first, last, view::MOST_NEAR);
        // What is assumed of targets was told of the whole log.
        let spans = phases::phases(&near, ask, &mut Vec::new());
        (near, spans)
    };
    let heats = phases::heat_ups(log, channel, view, spans);
    heats.into_iter().take(MOST_HEAT_UPS).map(near).collect()
}

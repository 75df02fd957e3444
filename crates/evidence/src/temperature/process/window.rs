//! The part of a log that is fitted: from before the heat-up to the first disturbance, or to five times the heat-up.

use crate::Refused;
use crate::quantities::in_celsius;
use crate::temperature::phases::{Phase, Span};
use crate::temperature::view::View;
use crate::temperature::{Ask, words};

/// The part of a log that is fitted.
#[derive(Clone, Debug)]
pub(super) struct Window {
    pub times: Vec<f64>,
    pub edges: Vec<f64>,
    pub input: Vec<f64>,
    /// What the rows leave open about the duty from each edge to the next: variance of its integral, s².
    pub jolts: Vec<f64>,
    /// How far the power may be off the duty from each edge on, as a share of what it is at worst: nothing where it is off or full.
    pub doubt: Vec<f64>,
    pub measured: Vec<f64>,
    /// Root of the number of points that each one stands for.
    pub weight: Vec<f64>,
    /// So many points from the first on, up to where the target is held, tell lags and dead time.
    pub quick: usize,
    /// Where the log does not begin cold: the room, which it then cannot show.
    pub room: Option<f64>,
}

/// Points that a heat-up needs, and how far it has to rise, K.
const FEWEST: usize = 12;
const LEAST_RISE: f64 = 15.0;
/// A log that begins within this of the room shows the room, K.
const COLD: f64 = 15.0;

impl Window {
    pub fn of(view: &View, spans: &[Span], ask: &Ask) -> Result<Self, Refused> {
        let at = spans.iter().position(|span| span.phase == Phase::HeatUp);
        let at = at.ok_or_else(words::no_heat_up)?;
        let from_duty = !view.duty.is_empty();
        let heat_up = spans[at].points;
        let begin = begin(view, spans, heat_up.0);
        let end = if from_duty {
            end(view, &spans[at..])
        } else {
            heat_up.1
        };
        let first = view.measured[begin];
        let rise = view.measured[begin..end].iter().copied().fold(f64::MIN, f64::max) - first;
        if end - begin < FEWEST || rise < LEAST_RISE {
            return Err(words::small_heat_up(end - begin, view.step(), rise));
        }
        let input = if from_duty {
            view.duty[begin..end].to_vec()
        } else {
            // Before the target is set nothing heats: taken as heated, the cold half minute would count as dead time.
            let is_heated = |at: usize| if at < heat_up.0 { 0.0 } else { 1.0 };
            (begin..end).map(is_heated).collect()
        };
        let approach = match spans.get(at + 1) {
            Some(span) if span.phase == Phase::Approach => span.points.1,
            _ => heat_up.1,
        };
        let ambient = in_celsius(ask.ambient);
        Ok(Self {
            times: view.time[begin..end].to_vec(),
            edges: view.start[begin..end].to_vec(),
            input,
            jolts: vec![0.0; end - begin],
            doubt: vec![0.0; end - begin],
            measured: view.measured[begin..end].to_vec(),
            weight: vec![1.0; end - begin],
            quick: approach.min(end) - begin,
            room: (first > ambient + COLD).then_some(ambient),
        })
    }

    /// The whole of a log whose duty does not react. It begins at rest: cold, or where the duty before it is not told, as cold.
    pub fn driven(view: &View, ask: &Ask) -> Result<Self, Refused> {
        let count = view.len();
        if view.duty.iter().all(|duty| *duty <= 0.0) {
            return Err(words::never_heated());
        }
        let first = mean(&view.measured[..count.min(3)]);
        let (least, most) = statistics::extremes(view.measured.iter().copied());
        if count < FEWEST || most - least < LEAST_RISE {
            return Err(words::small_heat_up(count, view.step(), most - least));
        }
        let ambient = in_celsius(ask.ambient);
        let risen = |reading: &f64| (reading - first).abs() > 0.6 * (most - least);
        Ok(Self {
            times: view.time.clone(),
            edges: view.start.clone(),
            input: view.duty.clone(),
            jolts: vec![0.0; count],
            doubt: vec![0.0; count],
            measured: view.measured.clone(),
            weight: vec![1.0; count],
            quick: view.measured.iter().position(risen).unwrap_or(0),
            room: (first > ambient + COLD).then_some(ambient),
        })
    }

    /// At most about so many points, each the mean of a block; the quick ones are kept as they are where they leave room for the rest.
    pub fn thinned(&self, most: usize) -> Self {
        let count = self.times.len();
        let kept = if count > most && self.quick <= most * 3 / 4 {
            self.quick
        } else {
            0
        };
        let every = (count - kept).div_ceil(most - kept).max(1);
        let blocks: Vec<(usize, usize)> = (0..kept)
            .map(|at| (at, at + 1))
            .chain(
                (kept..count)
                    .step_by(every)
                    .map(|at| (at, (at + every).min(count))),
            )
            .collect();
        let mean = |values: &[f64]| -> Vec<f64> {
            let of =
                |(from, to): &(usize, usize)| values[*from..*to].iter().sum::<f64>() / (to - from) as f64;
            blocks.iter().map(of).collect()
        };
        let weights = blocks.iter().map(|(from, to)| ((to - from) as f64).sqrt());
        Self {
            times: mean(&self.times),
            edges: blocks.iter().map(|(from, _)| self.edges[*from]).collect(),
            input: mean(&self.input),
            jolts: blocks
                .iter()
                .map(|(from, to)| self.jolts[*from..*to].iter().sum())
                .collect(),
            doubt: mean(&self.doubt),
            measured: mean(&self.measured),
            weight: weights.collect(),
            quick: kept,
            room: self.room,
        }
    }

    pub fn len(&self) -> usize {
        self.times.len()
    }

    /// From the least to the largest input.
    pub fn reach(&self) -> f64 {
        let (least, most) = statistics::extremes(self.input.iter().copied());
        most - least
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

/// Up to a minute before the heat-up, as far as it was cold: the room is read there.
fn begin(view: &View, spans: &[Span], heat_up: usize) -> usize {
    let is_cold = |at: &usize| {
        let mut cold = spans.iter().filter(|span| span.phase == Phase::Cold);
        cold.any(|span| (span.points.0..span.points.1).contains(at))
    };
    (0..heat_up)
        .rev()
        .take_while(|at| view.time[heat_up] - view.time[*at] < 60.0)
        .filter(is_cold)
        .last()
        .unwrap_or(heat_up)
}

/// The end of the soak behind a heat-up, the first of these spans, or five times its length.
fn end(view: &View, spans: &[Span]) -> usize {
    let heat_up = spans[0].points;
    let length = view.time[heat_up.1 - 1] - view.time[heat_up.0];
    let last = spans[1..]
        .iter()
        .take_while(|span| matches!(span.phase, Phase::Approach | Phase::Soak))
        .last()
        .map_or(heat_up.1, |span| span.points.1);
    let enough = view.time[heat_up.0] + 6.0 * length.max(60.0);
    (heat_up.1..last)
        .find(|at| view.time[*at] > enough)
        .unwrap_or(last)
}

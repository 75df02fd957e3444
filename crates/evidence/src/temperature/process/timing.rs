//! When the duty of a row held: from the row on, since the row before, or only at that moment.
//!
//! A controller that computes once a row has its duty from the row on. One that is faster than its log has had many others in between, of which the
//! log shows one, or their mean since the row before. The dead time moves by up to a row with it, so that it must not be guessed; but in a closed loop
//! noise of the reading shows in the duty, and how late tells which it is.

use super::window::Window;

/// When the duty of a row held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Timing {
    /// From its row to the next.
    FromRow,
    /// At its row; in between it may be anything between its neighbours.
    AtRow,
    /// It is the mean since the row before.
    SinceRow,
}

/// Rows that are looked at, and the fewest that tell anything.
const MOST: usize = 4_000;
const FEWEST: usize = 60;

/// What is possible, with its probability.
pub(super) fn possible(window: &Window, open_loop: bool) -> Vec<(Timing, f64)> {
    use Timing::{AtRow, FromRow, SinceRow};
    if open_loop {
        return vec![(FromRow, 0.5), (AtRow, 0.25), (SinceRow, 0.25)];
    }
    let unknown = vec![(FromRow, 0.2), (AtRow, 0.4), (SinceRow, 0.4)];
    let Some(Answer { gains: [now, before, ..], share, rows }) = Answer::of(window) else {
        return unknown;
    };
    if share < 20.0 / rows as f64 {
        return unknown;
    }
    let size = now.abs().max(before.abs());
    if before.abs() > 2.0 * now.abs() {
        return vec![(SinceRow, 1.0)];
    }
    let back = -before / now;
    if share > 0.9 {
        return match back {
            // The difference to the last row tells that the controller knew no reading in between.
            back if back > 0.25 => vec![(FromRow, 1.0)],
            _ => vec![(FromRow, 0.5), (AtRow, 0.5)],
        };
    }
    if back > 0.45 && before.abs() > 0.3 * size {
        return vec![(SinceRow, 1.0)];
    }
    if back < 0.3 && share > 0.35 {
        return vec![(AtRow, 1.0)];
    }
    vec![(AtRow, 0.5), (SinceRow, 0.5)]
}

/// How the duty answers a sudden change of the reading.
struct Answer {
    /// In the same row, and one to three later.
    gains: [f64; 4],
    /// The share of the duty's sudden changes that this explains.
    share: f64,
    rows: usize,
}

impl Answer {
    /// From rows where the duty is free to move: what is quick in it by what is quick in the reading.
    fn of(window: &Window) -> Option<Self> {
        let (duty, reading) = (&window.input, &window.measured);
        let quick = |values: &[f64], at: usize| values[at] - f64::midpoint(values[at - 1], values[at + 1]);
        let is_free = |duty: f64| (0.01..0.99).contains(&duty);
        let rows = (5..window.len().saturating_sub(1))
            .filter(|at| duty[at - 1..=at + 1].iter().all(|duty| is_free(*duty)))
            .take(MOST);
        let rows: Vec<usize> = rows.collect();
        if rows.len() < FEWEST {
            return None;
        }
        let mut normal = nalgebra::Matrix4::<f64>::zeros();
        let mut right = nalgebra::Vector4::<f64>::zeros();
        let mut all = 0.0;
        for at in &rows {
            let past = nalgebra::Vector4::from_fn(|lag, _| quick(reading, at - lag));
            let own = quick(duty, *at);
            normal += past * past.transpose();
            right += past * own;
            all += own * own;
        }
        let gains = normal.cholesky()?.solve(&right);
        (all > 0.0).then(|| Self {
            gains: gains.into(),
            share: gains.dot(&right) / all,
            rows: rows.len(),
        })
    }
}

impl Window {
    /// The same window with the duties where they held.
    pub fn timed(&self, timing: Timing) -> Self {
        let count = self.len();
        let next = |at: usize| self.input[(at + 1).min(count - 1)];
        let length = |at: usize| match at + 1 < count {
            true => self.edges[at + 1] - self.edges[at],
            false => 0.0,
        };
        let input = (0..count).map(|at| match timing {
            Timing::FromRow => self.input[at],
            Timing::AtRow => f64::midpoint(self.input[at], next(at)),
            Timing::SinceRow => next(at),
        });
        let jolts = (0..count).map(|at| match timing {
            Timing::AtRow => ((next(at) - self.input[at]) * length(at)).powi(2) / 12.0,
            _ => 0.0,
        });
        Self {
            input: input.collect(),
            jolts: jolts.collect(),
            ..self.clone()
        }
    }

    /// With what the first row tells of the time before it, where the log begins cold with the heater on.
    pub fn begun(mut self, first: f64, step: f64, timing: Timing) -> Self {
        if self.room.is_some() || first <= 0.0 || timing == Timing::FromRow {
            return self;
        }
        let (input, jolt) = match timing {
            Timing::AtRow => (first / 2.0, (first * step).powi(2) / 12.0),
            _ => (first, 0.0),
        };
        self.edges.insert(0, self.edges[0] - step);
        self.input.insert(0, input);
        self.jolts.insert(0, jolt);
        self
    }
}

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

/// What is possible.
pub(super) fn possible(window: &Window, open_loop: bool) -> Vec<Timing> {
    use Timing::{AtRow, FromRow, SinceRow};
    if open_loop {
        return vec![FromRow, AtRow, SinceRow];
    }
    // A controller that computes once a row would show it: its duty follows from the rows alone.
    let unknown = vec![AtRow, SinceRow];
    let Some(Answer {
        gains: [now, before, ..],
        share,
        rows,
    }) = Answer::of(window)
    else {
        return unknown;
    };
    if share < 20.0 / rows as f64 {
        return unknown;
    }
    if before.abs() > 2.0 * now.abs() {
        return vec![SinceRow];
    }
    // What of a change comes back a row later: the difference to the last row tells that the controller knew no reading in between.
    let back = -before / now;
    match (share, back) {
        (share, back) if share > 0.9 && back > 0.25 => vec![FromRow],
        (share, _) if share > 0.985 => vec![FromRow, AtRow],
        (share, back) if share > 0.35 && back < 0.3 => vec![AtRow],
        (share, back) if share < 0.35 && back > 0.25 => vec![SinceRow],
        _ => vec![AtRow, SinceRow],
    }
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

/// The duty where it is free to move, and not at one of its limits for some rows in turn.
fn free(duty: &[f64]) -> Vec<bool> {
    const AT_A_LIMIT: usize = 5;
    let limit = |duty: f64| match duty {
        duty if duty < 0.01 => -1,
        duty if duty > 0.99 => 1,
        _ => 0,
    };
    let mut free = Vec::with_capacity(duty.len());
    for run in duty.chunk_by(|one, other| limit(*one) == limit(*other)) {
        let is_free = limit(run[0]) == 0 || run.len() < AT_A_LIMIT;
        free.extend(std::iter::repeat_n(is_free, run.len()));
    }
    free
}

/// Where a duty is free, its mean over up to so many rows to both sides; never beyond where it is free.
fn smoothed(duty: &[f64], free: &[bool], reach: usize) -> Vec<f64> {
    let mut sums = vec![0.0];
    for duty in duty {
        sums.push(sums[sums.len() - 1] + duty);
    }
    let mut out = duty.to_vec();
    let mut from = 0;
    for run in free.chunk_by(|one, other| one == other) {
        let to = from + run.len();
        if run[0] {
            for at in from..to {
                let reach = reach.min(at - from).min(to - 1 - at);
                out[at] = (sums[at + reach + 1] - sums[at - reach]) / (2 * reach + 1) as f64;
            }
        }
        from = to;
    }
    out
}

impl Window {
    /// The same window with the duties where they held.
    ///
    /// A duty of the moment has noise that the power had not: as it stands it would pass for power, and the part for one that answers it less. So
    /// its mean over `reach` seconds to both sides is taken, of which the power may be off but does not know.
    pub fn timed(&self, timing: Timing, reach: f64) -> Self {
        let count = self.len();
        let ordinary = (self.times[count - 1] - self.times[0]) / (count - 1) as f64;
        let free = free(&self.input);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a number of rows"
        )]
        let rows = (reach / ordinary).round() as usize;
        let smooth = smoothed(&self.input, &free, rows);
        let held = if timing == Timing::AtRow {
            &smooth
        } else {
            &self.input
        };
        let next = |at: usize| held[(at + 1).min(count - 1)];
        let length = |at: usize| match at + 1 < count {
            true => self.edges[at + 1] - self.edges[at],
            false => 0.0,
        };
        let input = (0..count).map(|at| match timing {
            Timing::FromRow => held[at],
            Timing::AtRow => f64::midpoint(held[at], next(at)),
            Timing::SinceRow => next(at),
        });
        // A duty of the moment is off its mean by as much as it is off its neighbours.
        let quick: Vec<f64> = self
            .input
            .iter()
            .zip(&smooth)
            .map(|(duty, smooth)| (duty - smooth).powi(2))
            .collect();
        let quick = smoothed(&quick, &free, 10 * rows.max(1));
        let jolts = (0..count).map(|at| match timing {
            Timing::AtRow => {
                let moved = (self.input[(at + 1).min(count - 1)] - self.input[at]).powi(2) / 12.0;
                // The mean holds the duty itself.
                let noise = if free[at] {
                    quick[at] * (1.0 + 0.5 / rows.max(1) as f64)
                } else {
                    0.0
                };
                (moved + noise) * length(at).powi(2)
            }
            _ => 0.0,
        });
        let doubt = smooth.iter().zip(&free).map(|(duty, free)| match free {
            true => (4.0 * duty * (1.0 - duty)).max(0.02),
            false => 0.0,
        });
        Self {
            input: input.collect(),
            jolts: jolts.collect(),
            doubt: doubt.collect(),
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
        self.doubt.insert(0, 0.0);
        self
    }
}

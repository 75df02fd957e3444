//! What the rounding of the duty adds to the uncertainty of a process.
//!
//! A duty that is written in steps of `q` is off by `q/√12`, and by the same as long as it stays on one step. What an error from one moment on does to
//! each parameter is `(JᵀJ)⁻¹ Jᵀ K S(t − θ)`, with `S` the answer of the two lags to a step. Nothing and full power are not rounded.

use statistics::least_squares::Fit;

use super::fit::plant;
use super::plant::Plant;
use super::window::Window;

/// Duties nearer than this are one: single precision keeps seven digits.
const SAME: f64 = 2e-6;

/// The step to which duties are rounded, as a share of full power; 0 where they lie on none.
pub(super) fn duty_step(duties: &[f32]) -> f64 {
    const LOOKED_AT: usize = 20_000;
    let every = duties.len().div_ceil(LOOKED_AT).max(1);
    let mut seen: Vec<f64> = duties
        .iter()
        .step_by(every)
        .filter(|duty| duty.is_finite())
        .map(|duty| f64::from(*duty))
        .collect();
    seen.sort_by(f64::total_cmp);
    seen.dedup_by(|one, other| (*one - *other).abs() < SAME);
    let gaps = seen.windows(2).map(|pair| pair[1] - pair[0]);
    let step = gaps.fold(f64::INFINITY, f64::min);
    // Two levels and their gap say nothing: a heater that is just switched on and off has no rounding.
    if seen.len() < 3 {
        return 0.0;
    }
    let off = |duty: &f64| (duty / step - (duty / step).round()).abs() * step;
    if seen.iter().all(|duty| off(duty) < 0.02 * step + 1e-6) {
        step
    } else {
        0.0
    }
}

/// What rounding to steps adds to the covariance of the parameters; `all` is the window with every edge, `fine` that with the points fitted.
pub(super) fn covariance(fit: &Fit, all: &Window, fine: &Window, step: f64) -> Option<Vec<Vec<f64>>> {
    let size = fit.parameters.len();
    let mut answers = Answers::of(fit, fine);
    let mut middle = vec![vec![0.0; size]; size];
    let mut later = vec![0.0; size];
    let mut at = all.input.len();
    while at > 0 {
        let duty = all.input[at - 1];
        let mut from = at - 1;
        while from > 0 && (all.input[from - 1] - duty).abs() < SAME {
            from -= 1;
        }
        let own = answers.from(all.edges[from]);
        if duty > step / 4.0 && duty < 1.0 - step / 4.0 {
            for (one, row) in middle.iter_mut().enumerate() {
                for (other, cell) in row.iter_mut().enumerate() {
                    *cell += (own[one] - later[one]) * (own[other] - later[other]) * step * step / 12.0;
                }
            }
        }
        later = own;
        at = from;
    }
    let out = fit.propagated(&middle);
    out.iter().flatten().all(|cell| cell.is_finite()).then_some(out)
}

/// What an error of the duty from one moment on does to each parameter, for moments from the end back.
struct Answers<'f> {
    plant: Plant,
    lags: [f64; 2],
    fine: &'f Window,
    columns: Vec<&'f [f64]>,
    /// For each parameter, sums of the slopes at later times: plain, and damped by each lag.
    sums: Vec<[f64; 3]>,
    next: usize,
    last: f64,
}

impl<'f> Answers<'f> {
    fn of(fit: &'f Fit, fine: &'f Window) -> Self {
        let plant = plant(&fit.parameters);
        let one = plant.lags[0];
        // The two must differ for the formula; by so little that it makes none.
        let two = match plant.lags[1] {
            other if (one - other).abs() < 1e-4 * one => one * (1.0 - 1e-4),
            other => other.max(1e-6),
        };
        let size = fit.parameters.len();
        Self {
            plant,
            lags: [one, two],
            fine,
            columns: (0..size).map(|at| fit.slopes(at)).collect(),
            sums: vec![[0.0; 3]; size],
            next: fine.len(),
            last: f64::INFINITY,
        }
    }

    fn damping(&self, since: f64) -> [f64; 3] {
        let [one, two] = self.lags;
        [1.0, (-since / one).exp(), (-since / two).exp()]
    }

    fn from(&mut self, edge: f64) -> Vec<f64> {
        if self.last.is_finite() {
            let damp = self.damping(self.last - edge);
            for sums in &mut self.sums {
                sums.iter_mut().zip(damp).for_each(|(sum, damp)| *sum *= damp);
            }
        }
        while self.next > 0 && self.fine.times[self.next - 1] >= edge + self.plant.delay {
            self.next -= 1;
            let at = self.next;
            let damp = self.damping(self.fine.times[at] - self.plant.delay - edge);
            for (sums, column) in self.sums.iter_mut().zip(&self.columns) {
                // The residual is weighted, and so is what an error does to it.
                let slope = column[at] * self.fine.weight[at];
                sums.iter_mut()
                    .zip(damp)
                    .for_each(|(sum, damp)| *sum += slope * damp);
            }
        }
        self.last = edge;
        let [one, two] = self.lags;
        let answer = |[plain, slow, quick]: &[f64; 3]| {
            self.plant.gain * (plain - (one * slow - two * quick) / (one - two))
        };
        self.sums.iter().map(answer).collect()
    }
}

//! The least squares behind a process: where to begin, one lag or two, and the model.

use statistics::least_squares::{Fit, Model, NoFit, least_squares_to};

use super::plant::{Plant, rises};
use super::window::Window;

/// Points of the last fit, and of the first ones from several starts.
const POINTS: (usize, usize) = (1_600, 400);
/// By how much a second lag must lower the logarithm of the likelihood, twice: it has to pay for its parameter (Akaike's criterion, with a
/// margin for residuals that hang together).
const PAYS: f64 = 10.0;

/// Fits one lag and two, and takes the two where they pay; with the points that were fitted.
///
/// Parameters: ln K, ln τ₁, θ, base, and ln τ₂ if there is one. The dead time is in seconds, for it may be nothing. The base is the room, or the first temperature where the room is known.
pub(super) fn best(window: &Window) -> Option<(Fit, Window)> {
    let coarse = window.thinned(POINTS.1);
    let fine = thinned(window);
    let starts = starts(&fine);
    // Which start leads to the best valley a rough fit tells.
    let from = |starts: &[Vec<f64>], parameters: usize| {
        let rough = starts
            .iter()
            .filter_map(|start| coarse.fit(&start[..parameters], 1e-4).ok());
        let best = rough.min_by(|one, other| one.sum_of_squares.total_cmp(&other.sum_of_squares))?;
        fine.fit(&best.parameters, 1e-9).ok().filter(determined)
    };
    let first = from(&starts[..2], 4);
    // What one lag calls dead time is mostly a second lag, where there is one.
    let shared = first.iter().flat_map(|first| {
        [0.2, 0.5].map(|delay| {
            let p = &first.parameters;
            let waits = p[2].max(0.05 * p[1].exp());
            vec![p[0], p[1], waits * delay, p[3], (waits * (1.0 - delay)).ln()]
        })
    });
    let second = from(&starts.iter().cloned().chain(shared).collect::<Vec<_>>(), 5);
    let count = fine.len() as f64;
    let pays = |first: &Fit, second: &Fit| count * (first.sum_of_squares / second.sum_of_squares).ln() > PAYS;
    let fit = match (first, second) {
        (Some(first), Some(second)) if pays(&first, &second) => second,
        (first, second) => first.or(second)?,
    };
    Some((fit, fine))
}

/// Every parameter is told to within a factor, and the dead time to within the larger lag.
fn determined(fit: &Fit) -> bool {
    let deviation = |at: usize| fit.covariance[at][at].sqrt();
    let lag = fit.parameters[1].exp();
    let factors = (0..fit.parameters.len()).filter(|at| ![2, 3].contains(at));
    factors.map(deviation).all(|own| own < 1.0) && deviation(2) < lag && fit.parameters[2].abs() < 10.0 * lag
}

/// As many points as are fitted.
pub(super) fn thinned(window: &Window) -> Window {
    window.thinned(POINTS.0)
}

impl Window {
    fn fit(&self, start: &[f64], rest: f64) -> Result<Fit, NoFit> {
        least_squares_to(rest, self, start, self.len() + 1)
    }
}

impl Window {
    /// What the course at some parameters is off the readings, K.
    pub fn off(&self, p: &[f64], out: &mut [f64]) {
        let plant = plant(p);
        let (room, rise) = match self.room {
            Some(room) => (room, p[3] - room),
            None => (p[3], 0.0),
        };
        if !(plant.gain.is_finite() && plant.lags[0].is_finite() && plant.delay.abs() < 1e5) {
            out.fill(f64::NAN);
            return;
        }
        rises(plant, rise, &self.times, &self.edges, &self.input, out);
        for (out, measured) in out.iter_mut().zip(&self.measured) {
            *out += room - measured;
        }
    }
}

impl Model for &Window {
    fn residuals(&mut self, p: &[f64], out: &mut [f64]) {
        let (last, out) = out.split_last_mut().expect("one more than points");
        self.off(p, out);
        // A dead time below nothing is refused softly, so that the way there stays smooth.
        *last = 10.0 * (p[0] - p[1]).exp() * p[2].min(0.0);
        for (out, weight) in out.iter_mut().zip(&self.weight) {
            *out *= weight;
        }
    }

    /// From cold, the rise goes with the gain, and the base is added to it.
    fn slopes(&mut self, parameter: usize, p: &[f64], residuals: &[f64], out: &mut [f64]) -> bool {
        if p[2] < 0.0 {
            return false;
        }
        let count = self.len();
        out[count] = 0.0;
        let (residuals, out) = (&residuals[..count], &mut out[..count]);
        match (parameter, self.room) {
            (0, None) => {
                let told = residuals.iter().zip(&self.measured).zip(&self.weight);
                for (out, ((residual, measured), weight)) in out.iter_mut().zip(told) {
                    *out = residual + (measured - p[3]) * weight;
                }
            }
            (3, None) => out.copy_from_slice(&self.weight),
            _ => return false,
        }
        true
    }
}

/// The plant of some parameters.
pub(super) fn plant(p: &[f64]) -> Plant {
    let other = p.get(4).map_or(0.0, |p| p.exp());
    Plant {
        gain: p[0].exp(),
        lags: [p[1].exp(), other],
        delay: p[2],
    }
}

/// Where to begin: gain from the level that the mean duty held, lag from the steepest rise, the rest from when the rise began.
fn starts(data: &Window) -> Vec<Vec<f64>> {
    let first = data.measured[0];
    let room = data.room.unwrap_or(first);
    let gain = gain(data, room);
    let lag = (gain / steepest(data)).max(data.times[1] - data.times[0]);
    let wait = wait(data, first).min(lag);
    let base = if data.room.is_some() { first } else { room };
    [(0.5, 0.5), (0.2, 1.0), (0.8, 0.2), (0.5, 3.0)]
        .iter()
        .map(|(delay, second)| vec![gain.ln(), lag.ln(), wait * delay, base, (wait * second).ln()])
        .collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

/// From the level that the mean duty held in the last fifth.
fn gain(data: &Window, room: f64) -> f64 {
    let tail = data.len() * 4 / 5..data.len();
    let held = mean(&data.input[tail.clone()]).max(0.02);
    let high = data.measured.iter().copied().fold(f64::MIN, f64::max);
    let by_level = (mean(&data.measured[tail]) - room).max(5.0) / held;
    by_level.clamp((high - room) * 1.02, (high - room) * 50.0)
}

/// The steepest rise at full power, K/s.
fn steepest(data: &Window) -> f64 {
    let count = data.len();
    let width = (count / 50).max(2);
    let slope = |at: usize| {
        let power = mean(&data.input[at..at + width]).max(0.05);
        (data.measured[at + width] - data.measured[at]) / (data.times[at + width] - data.times[at]) / power
    };
    (0..count - width).map(slope).fold(1e-3, f64::max)
}

/// From when the heater goes on to when the rise shows.
fn wait(data: &Window, first: f64) -> f64 {
    let count = data.len();
    let on = data.input.iter().position(|input| *input > 0.02).unwrap_or(0);
    let step = (data.times[count - 1] - data.times[0]) / count as f64;
    let risen = (on..count)
        .find(|at| data.measured[*at] > first + 2.0)
        .unwrap_or(on);
    (data.times[risen] - data.times[on]).max(step)
}

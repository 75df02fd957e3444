//! What the readings of a log are off the fitted course, and what that leaves open about the parameters.
//!
//! Three kinds of error are told apart, since they do not average alike:
//! - noise of the reading, white, whose size may change with the temperature (a converter's counts are wider where the sensor is flatter);
//! - errors of the duty, as of a control that is faster than the log, of pulses, of a draught: they reach the reading through the lags, and
//!   last as long as these;
//! - a slow error of the reading, as of steps that are coarser than the noise.
//!
//! How large the two slow ones are a log tells only roughly, since there are few of them in it. So no single guess is taken: each pair of sizes on
//! a grid has its least squares with the errors decorrelated (a Kalman filter does that), and its likelihood, restricted to what the parameters leave
//! over; the parameters have the mixture of all. That keeps the interval honest where few slow errors were seen.
//!
//! # Source
//! [patterson-thompson-1971] for the restricted likelihood; [kalman-1960] for the filter; the weights of the grid before the log is seen are common practice, no source.

use statrs::function::erf::erfc;

use super::fit::plant;
use super::plant::Plant;
use super::window::Window;
use statistics::Estimate;

/// Sizes of the errors of the power where the duty is between its limits, once they have built up, as multiples of the noise.
const BY_DUTY: [f64; 8] = [0.0, 0.1, 0.3, 0.7, 1.5, 3.5, 8.0, 20.0];
/// Those of what heats or cools besides, whatever the duty.
const BESIDES: [f64; 6] = [0.0, 0.1, 0.3, 0.9, 2.7, 8.0];
/// Sizes of the slow error of the reading.
const SLOW: [f64; 3] = [0.0, 0.4, 1.5];
/// How likely each of these is to be nothing before the log is seen; the other sizes share the rest.
const NOTHING: f64 = 0.8;
/// Over how long the slow error changes, as a share of the larger lag.
const SLOWNESS: f64 = 0.3;

/// What a log leaves open about the parameters: a mixture of normal distributions.
#[derive(Clone, Debug, Default)]
pub(super) struct Mixture {
    pub nodes: Vec<Node>,
}

/// One part of it.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub weight: f64,
    pub middle: Vec<f64>,
    pub covariance: Vec<Vec<f64>>,
}

impl Mixture {
    pub fn mean(&self, parameter: usize) -> f64 {
        let own = self.nodes.iter();
        own.map(|node| node.weight * node.middle[parameter]).sum()
    }

    pub fn covariance(&self, one: usize, other: usize) -> f64 {
        let means = [self.mean(one), self.mean(other)];
        let own = |node: &Node| {
            let apart = (node.middle[one] - means[0]) * (node.middle[other] - means[1]);
            node.weight * (node.covariance[one][other] + apart)
        };
        self.nodes.iter().map(own).sum()
    }

    /// Median and the bounds that leave the share outside on both sides together.
    pub fn interval(&self, parameter: usize, confidence: f64) -> Option<Estimate> {
        let (mean, deviation) = (self.mean(parameter), self.covariance(parameter, parameter).sqrt());
        if !(deviation.is_finite() && mean.is_finite()) {
            return None;
        }
        let below = |at: f64| -> f64 {
            let of = |node: &Node| {
                let off = at - node.middle[parameter];
                let size = node.covariance[parameter][parameter].sqrt().max(1e-300);
                node.weight * 0.5 * erfc(-off / size * core::f64::consts::FRAC_1_SQRT_2)
            };
            self.nodes.iter().map(of).sum()
        };
        let quantile = |share: f64| {
            let (mut low, mut high) = (mean - 12.0 * deviation, mean + 12.0 * deviation);
            for _ in 0..50 {
                let middle = f64::midpoint(low, high);
                if below(middle) < share {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            f64::midpoint(low, high)
        };
        let tail = (1.0 - confidence) / 2.0;
        Some(Estimate {
            value: quantile(0.5),
            low: quantile(tail),
            high: quantile(1.0 - tail),
        })
    }

    /// Adds errors that are independent of these.
    pub fn widen(&mut self, by: &[Vec<f64>]) {
        for node in &mut self.nodes {
            for (row, by) in node.covariance.iter_mut().zip(by) {
                row.iter_mut().zip(by).for_each(|(cell, by)| *cell += by);
            }
        }
    }
}

/// The course at some parameters, with its derivatives, in kelvin.
struct Place {
    at: Vec<f64>,
    /// Fitted less measured.
    off: Vec<f64>,
    slopes: Vec<Vec<f64>>,
}

impl Place {
    fn of(window: &Window, at: &[f64]) -> Self {
        let count = window.len();
        let course = |p: &[f64]| {
            let mut out = vec![0.0; count];
            window.off(p, &mut out);
            out
        };
        let slopes = (0..at.len()).map(|parameter| {
            let step = match parameter {
                // Dead time and base are in seconds and kelvin, the others logarithms.
                2 => 1e-3 * at[1].exp().min(1.0),
                3 => 1e-2,
                _ => 1e-4,
            };
            let shifted = |by: f64| {
                let mut p = at.to_vec();
                p[parameter] += by;
                course(&p)
            };
            let (above, below) = (shifted(step), shifted(-step));
            let pairs = above.iter().zip(&below);
            pairs
                .map(|(above, below)| (above - below) / (2.0 * step))
                .collect()
        });
        Self {
            slopes: slopes.collect(),
            off: course(at),
            at: at.to_vec(),
        }
    }
}

/// The mixture of parameters around those of a least-squares fit.
pub(super) fn mixture(window: &Window, start: &[f64]) -> Option<Mixture> {
    let mut place = Place::of(window, start);
    let mut found = at_place(window, &place)?;
    // Far from where the derivatives were taken they are no longer right.
    for _ in 0..3 {
        let moved = (0..start.len()).any(|parameter| {
            let off = found.mean(parameter) - place.at[parameter];
            off.abs() > 0.3 * found.covariance(parameter, parameter).sqrt()
        });
        if !moved {
            break;
        }
        // Farther than this the derivatives say nothing, so that the way is gone in steps.
        let farthest = |parameter: usize| match parameter {
            2 => place.at[1].exp() / 4.0,
            3 => f64::INFINITY,
            _ => 0.5,
        };
        let next: Vec<f64> = (0..start.len())
            .map(|parameter| {
                let (own, most) = (place.at[parameter], farthest(parameter));
                own + (found.mean(parameter) - own).clamp(-most, most)
            })
            .collect();
        let nearer = Place::of(window, &next);
        let Some(there) = at_place(window, &nearer) else {
            break;
        };
        (place, found) = (nearer, there);
    }
    Some(found)
}

fn at_place(window: &Window, place: &Place) -> Option<Mixture> {
    let variances = variances(window, &place.off);
    let plant = plant(&place.at);
    let mut nodes = Vec::new();
    let mut columns = vec![vec![0.0; window.len()]; place.at.len() + 1];
    let noise = variances.iter().sum::<f64>() / variances.len() as f64;
    let is_known = window.doubt.iter().all(|doubt| *doubt <= 0.0);
    let by_duty = if is_known { &BY_DUTY[..1] } else { &BY_DUTY };
    for by_duty in by_duty {
        for (besides, slow) in BESIDES
            .iter()
            .flat_map(|own| SLOW.iter().map(move |slow| (own, slow)))
        {
            let sizes = [by_duty, besides, slow].map(|own| own * own * noise);
            let filter = Filter::of(window, plant, &variances, sizes);
            filter.whiten(&place.off, &mut columns[0]);
            for (slopes, out) in place.slopes.iter().zip(&mut columns[1..]) {
                filter.whiten(slopes, out);
            }
            let prior = |size: f64, of: usize| match (size > 0.0, of) {
                (_, 1) => 1.0,
                (false, _) => NOTHING,
                (true, of) => (1.0 - NOTHING) / (of - 1) as f64,
            };
            let prior =
                prior(*by_duty, BY_DUTY.len()) * prior(*besides, BESIDES.len()) * prior(*slow, SLOW.len());
            if let Some((ln_likelihood, step, covariance)) = least(&columns, filter.ln_determinant) {
                let middle = place.at.iter().zip(step).map(|(at, step)| at - step).collect();
                nodes.push((ln_likelihood + prior.ln(), middle, covariance));
            }
        }
    }
    let most = nodes.iter().map(|node| node.0).fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = nodes.iter().map(|node| (node.0 - most).exp()).collect();
    let all: f64 = weights.iter().sum();
    if !(all > 0.0) {
        return None;
    }
    let parts = nodes.into_iter().zip(weights);
    let parts = parts
        .map(|((_, middle, covariance), weight)| Node {
            weight: weight / all,
            middle,
            covariance,
        })
        .filter(|node| node.weight > 1e-4);
    Some(Mixture {
        nodes: parts.map(Node::with_a_dead_time).collect(),
    })
}

impl Node {
    /// Of what is possible, only where the dead time is not below nothing: the normal distribution with the moments of the one cut off there.
    fn with_a_dead_time(mut self) -> Self {
        const WAIT: usize = 2;
        let variance = self.covariance[WAIT][WAIT];
        let deviation = variance.sqrt();
        let cut = -self.middle[WAIT] / deviation;
        if !(cut > -4.0) {
            return self;
        }
        // Ratio of density and tail; far out by its asymptote.
        let ratio = if cut > 6.0 {
            cut + cut.recip()
        } else {
            (-cut * cut / 2.0).exp() * (2.0 / core::f64::consts::PI).sqrt()
                / erfc(cut * core::f64::consts::FRAC_1_SQRT_2)
        };
        let narrower = (ratio * (ratio - cut)).clamp(0.0, 1.0);
        let along: Vec<f64> = self.covariance.iter().map(|row| row[WAIT] / variance).collect();
        for (middle, along) in self.middle.iter_mut().zip(&along) {
            *middle += along * deviation * ratio;
        }
        for (row, one) in self.covariance.iter_mut().zip(&along) {
            for (cell, other) in row.iter_mut().zip(&along) {
                *cell -= one * other * variance * narrower;
            }
        }
        self
    }
}

/// Restricted likelihood, step and covariance of the least squares of decorrelated columns, the first of which is what is off.
fn least(columns: &[Vec<f64>], ln_determinant: f64) -> Option<(f64, Vec<f64>, Vec<Vec<f64>>)> {
    let size = columns.len() - 1;
    let product =
        |one: &[f64], other: &[f64]| -> f64 { one.iter().zip(other).map(|(one, other)| one * other).sum() };
    let scale: Vec<f64> = columns[1..]
        .iter()
        .map(|own| product(own, own).sqrt().max(1e-300))
        .collect();
    let cell = |one: usize, other: usize| {
        product(&columns[one + 1], &columns[other + 1]) / (scale[one] * scale[other])
    };
    let normal = nalgebra::DMatrix::from_fn(size, size, cell);
    let right = nalgebra::DVector::from_fn(size, |at, _| product(&columns[at + 1], &columns[0]) / scale[at]);
    let factor = nalgebra::Cholesky::new(normal)?;
    let step = factor.solve(&right);
    let freedom = columns[0].len() as f64 - size as f64;
    let sum = product(&columns[0], &columns[0]) - step.dot(&right);
    if !(sum > 0.0) {
        return None;
    }
    // What the rows leave open about the duty is known as it is: readings that are quieter than was thought do not lessen it.
    let variance = (sum / freedom).max(1.0);
    let ln_normal = 2.0 * factor.l().diagonal().iter().map(|own| own.ln()).sum::<f64>()
        + 2.0 * scale.iter().map(|own| own.ln()).sum::<f64>();
    let ln_likelihood = -0.5 * (ln_determinant + ln_normal + freedom * variance.ln() + sum / variance);
    let inverse = factor.inverse();
    let covariance = (0..size).map(|one| {
        let row = (0..size).map(|other| inverse[(one, other)] * variance / (scale[one] * scale[other]));
        row.collect()
    });
    let covariance = covariance.collect();
    let step = step
        .iter()
        .zip(&scale)
        .map(|(step, scale)| step / scale)
        .collect();
    ln_likelihood
        .is_finite()
        .then_some((ln_likelihood, step, covariance))
}

/// Bands of temperature in which the noise may differ, and points that one needs.
const BANDS: usize = 6;
const FEWEST: usize = 10;

/// The variance of a single reading's noise at each point, K²: from how neighbours differ, in bands of temperature, and at least that of the steps
/// of the readings there.
fn variances(window: &Window, off: &[f64]) -> Vec<f64> {
    let measured = &window.measured;
    let (low, high) = statistics::extremes(measured.iter().copied());
    let width = ((high - low) / BANDS as f64).max(1e-9);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a number of a band"
    )]
    let band = |reading: f64| (((reading - low) / width) as usize).min(BANDS - 1);
    let mut found: Vec<Option<(f64, f64)>> = Vec::new();
    for own in 0..BANDS {
        let points = (1..off.len()).filter(|at| band(measured[*at]) == own);
        let mut squares: Vec<f64> = points
            .map(|at| {
                let weights = window.weight[at].powi(-2) + window.weight[at - 1].powi(-2);
                (off[at] - off[at - 1]).powi(2) / weights
            })
            .collect();
        if squares.len() < FEWEST {
            found.push(None);
            continue;
        }
        // Where the fit turns quickly a few differences are its own.
        squares.sort_by(f64::total_cmp);
        let kept = &squares[..squares.len() - squares.len() / 50];
        let mean = kept.iter().sum::<f64>() / kept.len() as f64;
        let step = step(measured.iter().copied().filter(|reading| band(*reading) == own));
        found.push(Some((
            low + (own as f64 + 0.5) * width,
            mean.max(step * step / 12.0),
        )));
    }
    let told: Vec<(f64, f64)> = found.into_iter().flatten().collect();
    let least = 1e-8;
    let at = |reading: f64| -> f64 {
        let above = told.iter().position(|(middle, _)| *middle >= reading);
        match (told.first(), above) {
            (None, _) => 1.0,
            (Some(first), Some(0)) => first.1,
            (Some(_), Some(above)) => {
                let ((x0, v0), (x1, v1)) = (told[above - 1], told[above]);
                let share = (reading - x0) / (x1 - x0);
                (v0.max(least).ln() * (1.0 - share) + v1.max(least).ln() * share).exp()
            }
            (Some(_), None) => told[told.len() - 1].1,
        }
    };
    measured.iter().map(|reading| at(*reading).max(least)).collect()
}

/// The ordinary gap between different readings.
fn step(readings: impl Iterator<Item = f64>) -> f64 {
    let mut all: Vec<f64> = readings.collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|one, other| (*one - *other).abs() < 1e-4);
    let mut gaps: Vec<f64> = all.windows(2).map(|two| two[1] - two[0]).collect();
    if gaps.is_empty() {
        return 0.0;
    }
    gaps.sort_by(f64::total_cmp);
    gaps[gaps.len() / 2]
}

/// Decorrelates what readings are off.
struct Filter {
    steps: Vec<Step>,
    ln_determinant: f64,
}

/// From one point to the next.
struct Step {
    /// How much of each error is left: through the first lag, from the first into the second, through the second, of the slow one.
    left: [f64; 4],
    gain: [f64; 3],
    /// One over the deviation of what the filter does not foresee.
    per_deviation: f64,
}

impl Filter {
    /// `sizes`: variance of what comes by way of the duty once it has built up, of what does besides, and of the slow error, K².
    fn of(window: &Window, plant: Plant, variances: &[f64], [by_duty, besides, slow_size]: [f64; 3]) -> Self {
        let [lag, second] = plant.lags;
        let slow = SLOWNESS * lag;
        let [by_duty, besides] = [by_duty, besides].map(|size| 2.0 * size / lag);
        let into = (plant.gain / lag).powi(2);
        // Errors of the two lags and the slow one; nothing heats before the log.
        let mut p = [[0.0; 3]; 3];
        p[2][2] = slow_size;
        let mut steps: Vec<Step> = Vec::with_capacity(window.len());
        let mut ln_determinant = 0.0;
        let mut last = window.times[0];
        let (mut felt, mut doubt) = (0, 0.0);
        let mut known: (f64, [f64; 4]) = (-1.0, [1.0, 0.0, 1.0, 1.0]);
        for ((time, variance), weight) in window.times.iter().zip(variances).zip(&window.weight) {
            let since = time - last;
            last = *time;
            if (since - known.0).abs() > 1e-9 {
                known = (since, decays(since, lag, second, slow));
            }
            let left = known.1;
            let mut jolt = 0.0;
            while felt < window.jolts.len() && window.edges[felt] + plant.delay <= *time {
                jolt += window.jolts[felt];
                doubt = window.doubt[felt];
                felt += 1;
            }
            p[0][0] += (by_duty * doubt + besides) * since + into * jolt;
            p = carried(p, left);
            p[2][2] += slow_size * (1.0 - left[3] * left[3]);
            let row = [p[1][0] + p[2][0], p[1][1] + p[2][1], p[1][2] + p[2][2]];
            let all = row[1] + row[2] + variance / (weight * weight);
            let gain = row.map(|own| own / all);
            for one in 0..3 {
                for other in 0..3 {
                    p[one][other] -= gain[one] * row[other];
                }
            }
            ln_determinant += all.ln();
            steps.push(Step {
                left,
                gain,
                per_deviation: all.sqrt().recip(),
            });
        }
        Self {
            steps,
            ln_determinant,
        }
    }

    fn whiten(&self, column: &[f64], out: &mut [f64]) {
        let mut x = [0.0; 3];
        for ((step, own), out) in self.steps.iter().zip(column).zip(out) {
            let [one, through, two, slow] = step.left;
            x = [x[0] * one, x[0] * through + x[1] * two, x[2] * slow];
            let new = own - x[1] - x[2];
            for (x, gain) in x.iter_mut().zip(step.gain) {
                *x += gain * new;
            }
            *out = new * step.per_deviation;
        }
    }
}

fn decays(since: f64, lag: f64, second: f64, slow: f64) -> [f64; 4] {
    let one = (-since / lag).exp();
    let two = if second > 0.0 {
        (-since / second).exp()
    } else {
        0.0
    };
    let through = if second <= 0.0 {
        one
    } else if (lag - second).abs() < 1e-6 * lag {
        since / lag * one
    } else {
        lag / (lag - second) * (one - two)
    };
    [one, through, two, (-since / slow).exp()]
}

/// `F P Fᵀ` of the two lags in series and the slow error.
fn carried(p: [[f64; 3]; 3], [one, through, two, slow]: [f64; 4]) -> [[f64; 3]; 3] {
    let f = [[one, 0.0, 0.0], [through, two, 0.0], [0.0, 0.0, slow]];
    let mut half = [[0.0; 3]; 3];
    for (row, f) in half.iter_mut().zip(f) {
        for (column, cell) in row.iter_mut().enumerate() {
            *cell = f[0] * p[0][column] + f[1] * p[1][column] + f[2] * p[2][column];
        }
    }
    let mut out = [[0.0; 3]; 3];
    for (out, half) in out.iter_mut().zip(half) {
        for (cell, f) in out.iter_mut().zip(f) {
            *cell = half[0] * f[0] + half[1] * f[1] + half[2] * f[2];
        }
    }
    out
}

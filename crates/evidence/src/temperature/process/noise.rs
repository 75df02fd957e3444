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
    let points = points(window, place, &variances);
    let lag = plant(&place.at).lags[0];
    let mut nodes = Vec::new();
    let noise = variances.iter().sum::<f64>() / variances.len() as f64;
    let is_known = window.doubt.iter().all(|doubt| *doubt <= 0.0);
    let by_duty = if is_known { &BY_DUTY[..1] } else { &BY_DUTY };
    let all: Vec<[f64; 3]> = by_duty
        .iter()
        .flat_map(|by_duty| BESIDES.iter().map(move |besides| (by_duty, besides)))
        .flat_map(|(by_duty, besides)| SLOW.iter().map(move |slow| [*by_duty, *besides, *slow]))
        .collect();
    let prior = |size: f64, of: usize| match (size > 0.0, of) {
        (_, 1) => 1.0,
        (false, _) => NOTHING,
        (true, of) => (1.0 - NOTHING) / (of - 1) as f64,
    };
    for both in all.chunks(Lanes::COUNT) {
        let variance = |of: usize| Lanes::of(|lane| both[lane.min(both.len() - 1)][of].powi(2) * noise);
        let decorrelated = Decorrelated::of(&points, lag, [variance(0), variance(1), variance(2)]);
        for ([by_duty, besides, slow], own) in both.iter().zip(&decorrelated) {
            let prior =
                prior(*by_duty, BY_DUTY.len()) * prior(*besides, BESIDES.len()) * prior(*slow, SLOW.len());
            if let Some((ln_likelihood, step, covariance)) = own.least(place.at.len()) {
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

/// What a reading is off, and its derivatives by up to five parameters.
const COLUMNS: usize = 6;

/// What a filter needs of a point, whatever the sizes of the errors.
struct Point {
    /// Time since the point before, s.
    since: f64,
    /// How much of each error is left since then: through the first lag, from the first into the second, through the second, of the slow one.
    left: [f64; 4],
    /// How far the power may be off the duty.
    doubt: f64,
    /// What the rows leave open about the duty, as it enters the first lag, K².
    jolt: f64,
    /// Variance of the reading's noise, K².
    noise: f64,
    columns: [f64; COLUMNS],
}

fn points(window: &Window, place: &Place, variances: &[f64]) -> Vec<Point> {
    let plant = plant(&place.at);
    let [lag, second] = plant.lags;
    let into = (plant.gain / lag).powi(2);
    let mut last = window.times[0];
    let (mut felt, mut doubt) = (0, 0.0);
    let mut known: (f64, [f64; 4]) = (-1.0, [1.0, 0.0, 1.0, 1.0]);
    let each = window.times.iter().zip(variances).zip(&window.weight).enumerate();
    each.map(|(at, ((time, variance), weight))| {
        let since = time - last;
        last = *time;
        if (since - known.0).abs() > 1e-9 {
            known = (since, decays(since, lag, second, SLOWNESS * lag));
        }
        let mut jolt = 0.0;
        while felt < window.jolts.len() && window.edges[felt] + plant.delay <= *time {
            jolt += window.jolts[felt];
            doubt = window.doubt[felt];
            felt += 1;
        }
        let mut columns = [0.0; COLUMNS];
        let each = core::iter::once(&place.off).chain(&place.slopes);
        for (cell, column) in columns.iter_mut().zip(each) {
            *cell = column[at];
        }
        Point {
            since,
            left: known.1,
            doubt,
            jolt: into * jolt,
            noise: variance / (weight * weight),
            columns,
        }
    })
    .collect()
}

/// Products of the columns whose errors a Kalman filter decorrelated.
struct Decorrelated {
    points: usize,
    ln_determinant: f64,
    /// The lower triangle.
    products: [[f64; COLUMNS]; COLUMNS],
}

impl Decorrelated {
    /// `sizes`: variance of what comes by way of the duty once it has built up, of what does besides, and of the slow error, K².
    ///
    /// One pass over the points, since a hundred sizes are tried: covariance of the errors, all columns, and their products together, for two
    /// sets of sizes side by side.
    fn of(points: &[Point], lag: f64, [by_duty, besides, slow_size]: [Lanes; 3]) -> [Self; Lanes::COUNT] {
        /// So many determinants are multiplied before a logarithm is taken; they are far from the ends of a double.
        const TOGETHER: usize = 16;
        let none = Lanes::same(0.0);
        let [by_duty, besides] = [by_duty, besides].map(|size| size * (2.0 / lag));
        // Errors of the two lags and the slow one; nothing heats before the log.
        let mut p = Errors {
            p22: slow_size,
            ..Errors::default()
        };
        let mut x = [[none; COLUMNS]; 3];
        let mut products = [[none; COLUMNS]; COLUMNS];
        let (mut ln_determinant, mut determinant) = (none, Lanes::same(1.0));
        for (at, point) in points.iter().enumerate() {
            let [one, through, two, slow] = point.left;
            p.p00 = p.p00 + (by_duty * point.doubt + besides) * point.since + Lanes::same(point.jolt);
            p = p.carried(point.left);
            p.p22 = p.p22 + slow_size * (1.0 - slow * slow);
            let row = [p.p01 + p.p02, p.p11 + p.p12, p.p12 + p.p22];
            let all = row[1] + row[2] + Lanes::same(point.noise);
            let per = all.map(f64::recip);
            let gain = row.map(|own| own.by(per));
            p.p00 = p.p00 - gain[0].by(row[0]);
            p.p01 = p.p01 - gain[0].by(row[1]);
            p.p02 = p.p02 - gain[0].by(row[2]);
            p.p11 = p.p11 - gain[1].by(row[1]);
            p.p12 = p.p12 - gain[1].by(row[2]);
            p.p22 = p.p22 - gain[2].by(row[2]);
            determinant = determinant.by(all);
            if at % TOGETHER == TOGETHER - 1 {
                ln_determinant = ln_determinant + determinant.map(f64::ln);
                determinant = Lanes::same(1.0);
            }
            let per_deviation = per.map(f64::sqrt);
            let mut new = [none; COLUMNS];
            for column in 0..COLUMNS {
                let foreseen = x[0][column] * through + x[1][column] * two;
                let slow = x[2][column] * slow;
                let own = Lanes::same(point.columns[column]) - foreseen - slow;
                x[0][column] = x[0][column] * one + gain[0].by(own);
                x[1][column] = foreseen + gain[1].by(own);
                x[2][column] = slow + gain[2].by(own);
                new[column] = own.by(per_deviation);
            }
            for one in 0..COLUMNS {
                for other in 0..=one {
                    products[one][other] = products[one][other] + new[one].by(new[other]);
                }
            }
        }
        ln_determinant = ln_determinant + determinant.map(f64::ln);
        core::array::from_fn(|lane| Self {
            points: points.len(),
            ln_determinant: ln_determinant.0[lane],
            products: products.map(|row| row.map(|cell| cell.0[lane])),
        })
    }

    /// Restricted likelihood, step and covariance of the least squares of so many parameters.
    fn least(&self, size: usize) -> Option<(f64, Vec<f64>, Vec<Vec<f64>>)> {
        let product = |one: usize, other: usize| self.products[one.max(other)][one.min(other)];
        let scale: Vec<f64> = (1..=size).map(|at| product(at, at).sqrt().max(1e-300)).collect();
        let cell = |one: usize, other: usize| product(one + 1, other + 1) / (scale[one] * scale[other]);
        let normal = nalgebra::DMatrix::from_fn(size, size, cell);
        let right = nalgebra::DVector::from_fn(size, |at, _| product(at + 1, 0) / scale[at]);
        let factor = nalgebra::Cholesky::new(normal)?;
        let step = factor.solve(&right);
        let freedom = self.points as f64 - size as f64;
        let sum = product(0, 0) - step.dot(&right);
        if !(sum > 0.0) {
            return None;
        }
        // What the rows leave open about the duty is known as it is: readings that are quieter than was thought do not lessen it.
        let variance = (sum / freedom).max(1.0);
        let ln_normal = 2.0 * factor.l().diagonal().iter().map(|own| own.ln()).sum::<f64>()
            + 2.0 * scale.iter().map(|own| own.ln()).sum::<f64>();
        let ln_likelihood =
            -0.5 * (self.ln_determinant + ln_normal + freedom * variance.ln() + sum / variance);
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

/// Numbers that are reckoned with side by side, as processors like it.
#[derive(Clone, Copy, Debug, Default)]
struct Lanes([f64; Lanes::COUNT]);

impl Lanes {
    const COUNT: usize = 2;

    fn of(each: impl Fn(usize) -> f64) -> Self {
        Self(core::array::from_fn(each))
    }

    fn same(value: f64) -> Self {
        Self([value; Self::COUNT])
    }

    fn map(self, each: impl Fn(f64) -> f64) -> Self {
        Self(self.0.map(each))
    }

    /// Lane by lane.
    fn by(self, other: Self) -> Self {
        Self::of(|lane| self.0[lane] * other.0[lane])
    }
}

impl core::ops::Add for Lanes {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::of(|lane| self.0[lane] + other.0[lane])
    }
}

impl core::ops::Sub for Lanes {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::of(|lane| self.0[lane] - other.0[lane])
    }
}

impl core::ops::Mul<f64> for Lanes {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        self.map(|own| own * factor)
    }
}

/// Covariance of the errors of the two lags in series and the slow one, K².
#[derive(Clone, Copy, Default)]
struct Errors {
    p00: Lanes,
    p01: Lanes,
    p02: Lanes,
    p11: Lanes,
    p12: Lanes,
    p22: Lanes,
}

impl Errors {
    /// `F P Fᵀ`, with `F` of the rows `one 0 0`, `through two 0`, `0 0 slow`.
    fn carried(self, [one, through, two, slow]: [f64; 4]) -> Self {
        let half = self.p00 * through + self.p01 * two;
        Self {
            p00: self.p00 * (one * one),
            p01: half * one,
            p02: self.p02 * (one * slow),
            p11: half * through + (self.p01 * through + self.p11 * two) * two,
            p12: (self.p02 * through + self.p12 * two) * slow,
            p22: self.p22 * (slow * slow),
        }
    }
}

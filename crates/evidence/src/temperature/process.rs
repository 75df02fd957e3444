//! The process behind a log: gain, two lags and a dead time, fitted to what the duty did.
//!
//! `identify` takes the window of the log that tells the process, fits it and gives every parameter its interval. Another way to tell a
//! process, such as from a log without control, is another window before the same fit.

mod bounds;
mod fit;
mod noise;
mod plant;
mod rounding;
mod timing;
mod window;

use physics::control;
use quantity::Number as _;
use quantity::Value;
use quantity::si::{
    Power, TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature, Time, kelvin, per_kelvin,
};
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;
use statistics::{CONFIDENCE, Estimate, normal_deviate};

pub(crate) use self::plant::{Plant, Runner, course};
use self::timing::Timing;
use self::window::Window;
use super::phases::Span;
use super::view::View;
use super::{Ask, words};
use crate::quantities::InUnit as _;
use crate::{Refused, Trouble};

/// A heated part as its log shows it: `K exp(−θ s) / ((τ₁ s + 1)(τ₂ s + 1))` over the room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Process {
    /// Rise over the room at full power, in the end, with its 95 % interval.
    pub gain: Value<TemperatureInterval>,
    /// The larger lag.
    pub lag: Value<Time>,
    /// The smaller lag; nothing where the log does not show one.
    pub second_lag: Option<Value<Time>>,
    /// Dead time.
    pub delay: Value<Time>,
    /// The room, as the log shows it.
    pub room: ThermodynamicTemperature,
    /// Deviation of the readings from the fit, root mean square.
    pub left: TemperatureInterval,
    /// Whether the duty was in the log; else full power was assumed during heat-up.
    pub from_duty: bool,
    /// What full power is, where the log tells powers.
    pub full_power: Option<Power>,
    /// How far the parameters are open together, for each way in which the duty may have held.
    pub(crate) open: [Option<Open>; 3],
}

/// How far parameters are open together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Open {
    pub plant: Plant,
    /// Covariance of the logarithms of gain and larger lag, the dead time (s), and the logarithm of the smaller lag.
    pub covariance: [[f64; 4]; 4],
}

impl Process {
    /// As control knows it, at the nominal values.
    #[must_use]
    pub fn model(&self) -> control::Process {
        self.plant().model()
    }

    /// The gain at which it just oscillates under proportional control, per kelvin, with its 95 % interval; nothing where it never does.
    #[must_use]
    pub fn critical_gain(&self) -> Option<Value<TemperatureCoefficient>> {
        let found = self
            .foretold(|plant| control::ultimate(&plant.model()).map_or(f64::NAN, |own| own.gain.base().ln()));
        let finite = found.value.is_finite() && found.low.is_finite() && found.high.is_finite();
        finite.then(|| found.map(f64::exp).of(per_kelvin))
    }

    /// The rise at full power from cold after a time, with its 95 % interval.
    #[must_use]
    pub fn rise_after(&self, time: Time) -> Value<TemperatureInterval> {
        let found = self.foretold(|plant| {
            let mut runner = Runner::new(plant, 0.0, 0.0);
            runner.hold(1.0, time.base() - plant.delay);
            runner.rise()
        });
        found.of(kelvin)
    }

    /// What follows from the parameters, with the interval that follows from how far they are open together.
    fn foretold(&self, of: impl Fn(Plant) -> f64) -> Estimate {
        let each: Vec<Estimate> = self
            .open
            .iter()
            .flatten()
            .map(|open| open.foretold(&of))
            .collect();
        let bounds = bounds::over_all(&each);
        Estimate {
            value: of(self.plant()).clamp(bounds.low, bounds.high),
            ..bounds
        }
    }

    /// How fast full power heats at most, K/s, at the upper bound of its interval: gain and larger lag are open together, so that this is told
    /// far better than either.
    pub(crate) fn steepest_rise(&self) -> f64 {
        self.foretold(|plant| plant.gain / plant.lags[0]).high
    }

    /// The plant of the highest loop gain that another run of this part may have, at 95 %: the steepest rise, and the longest dead time.
    pub(crate) fn liveliest(&self) -> Plant {
        let nominal = self.plant();
        let of = |of: &dyn Fn(Plant) -> f64| {
            let opens = self.open.iter().flatten().map(super::runs::of_another_run);
            let ends = opens.map(|open| open.foretold(&of).high);
            ends.fold(f64::NEG_INFINITY, f64::max)
        };
        let steepest = of(&|plant| plant.gain / plant.lags[0]);
        Plant {
            lags: [nominal.gain / steepest, nominal.lags[1]],
            delay: of(&|plant| plant.delay),
            ..nominal
        }
    }

    pub(crate) fn plant(&self) -> Plant {
        Plant {
            gain: self.gain.nominal().base(),
            lags: [
                self.lag.nominal().base(),
                self.second_lag.map_or(0.0, |lag| lag.nominal().base()),
            ],
            delay: self.delay.nominal().base(),
        }
    }
}

impl Open {
    /// A plant out of what is open.
    pub fn draw(&self, random: &mut Pcg64) -> Plant {
        drawn(self.plant, &root(&self.covariance), random)
    }

    /// Median and bounds over draws: what follows may bend within what is open.
    fn foretold(&self, of: &impl Fn(Plant) -> f64) -> Estimate {
        const DRAWS: usize = 401;
        let root = root(&self.covariance);
        let mut random = Pcg64::seed_from_u64(1);
        let mut draws: Vec<f64> = (0..DRAWS)
            .map(|_| of(drawn(self.plant, &root, &mut random)))
            .collect();
        draws.sort_by(f64::total_cmp);
        let tail = (1.0 - CONFIDENCE) / 2.0 * DRAWS as f64;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place among the draws"
        )]
        let tail = tail as usize;
        Estimate {
            value: draws[DRAWS / 2],
            low: draws[tail],
            high: draws[DRAWS - 1 - tail],
        }
    }
}

/// A plant by the root of its covariance.
fn drawn(Plant { gain, lags, delay }: Plant, root: &[[f64; 4]; 4], random: &mut Pcg64) -> Plant {
    let normal: [f64; 4] =
        core::array::from_fn(|_| normal_deviate(1.0 - random.random::<f64>(), random.random()));
    let by = root.map(|row| {
        row.iter()
            .zip(normal)
            .map(|(cell, normal)| cell * normal)
            .sum::<f64>()
    });
    Plant {
        gain: gain * by[0].exp(),
        lags: [lags[0] * by[1].exp(), lags[1] * by[3].exp()],
        // Below nothing there is none: mirrored, so that nothing piles up there.
        delay: (delay + by[2]).abs(),
    }
}

/// A lower triangular root of a covariance; rows of what is not open are nothing.
fn root(covariance: &[[f64; 4]; 4]) -> [[f64; 4]; 4] {
    let mut root = [[0.0_f64; 4]; 4];
    for row in 0..4 {
        for column in 0..=row {
            let known: f64 = (0..column).map(|at| root[row][at] * root[column][at]).sum();
            let left = covariance[row][column] - known;
            root[row][column] = if row == column {
                left.max(0.0).sqrt()
            } else if root[column][column] > 0.0 {
                left / root[column][column]
            } else {
                0.0
            };
        }
    }
    root
}

/// What is known of a log besides its points and phases.
#[derive(Clone, Copy)]
pub(super) struct About<'a> {
    pub ask: &'a Ask,
    /// The duties of the log as written, by which the step of their rounding is found.
    pub duties: Option<&'a [f32]>,
    /// What a duty of one stands for.
    pub full_power: Option<Power>,
    /// Whether the duty does not react to the reading.
    pub open_loop: bool,
}

/// A duty that changes by less than this, as a share of full power, tells no process.
const LEAST_CHANGE: f64 = 0.05;

/// What a mean duty leaves of the rise at full power, as a share: within its row it was not even.
const OF_MEANS: f64 = 1e-4;

/// By how much the duties of the moment may be off their mean in the end, as shares of gain and larger lag: rows in step with the pulses of a heater
/// always show the same place of a pulse, in which the reading, and with it the duty, rises or falls. The sizes are those of invented logs with
/// pulses of a second and rows of a second; common practice, no source.
const OF_MOMENTS: [f64; 2] = [0.0055, 0.0085];

/// What no row tells, as a covariance of the parameters: when within its row a duty of the moment changed, which moves the dead time by up to
/// half a row either way, all moments alike; and how a mean duty was spread over its row.
fn untold(timing: Timing, row: f64, parameters: usize, open_loop: bool) -> Vec<Vec<f64>> {
    let mut covariance = vec![vec![0.0; parameters]; parameters];
    match timing {
        // Whoever drives by hand or by the clock does not wait for a row.
        Timing::Ahead if open_loop => covariance[2][2] = row.powi(2) / 12.0,
        Timing::Ahead => {}
        Timing::Instant => {
            covariance[2][2] = row.powi(2) / 12.0;
            // A duty that nothing controls does not follow the pulses.
            for (one, off) in OF_MOMENTS.iter().enumerate().filter(|_| !open_loop) {
                for (other, too) in OF_MOMENTS.iter().enumerate() {
                    covariance[one][other] = off * too;
                }
            }
        }
        Timing::Behind => covariance[0][0] = OF_MEANS.powi(2),
    }
    covariance
}

/// How far a room that was taken instead of seen may be off, K, as a standard deviation; common practice, no source.
const OF_ROOMS: f64 = 2.5;

/// How far a rise that the log did not see to its end may be off, as a share of what was not seen: losses grow with the temperature. The share is that
/// of a pot whose rise at a watt fell from 4.05 K to 2.77 K between 21.6 W and 33.2 W; elsewhere common practice, no source.
const OF_EXTRAPOLATION: f64 = 0.3;

/// What lies beyond the log, as a covariance of the parameters: the room where it does not begin cold, by which gain alone is off; what is quick in a
/// driven part that was not at rest then, by which dead time and smaller lag are off; and the end of a driven rise that is not reached, by which gain and larger lag are off together, since their ratio is seen.
fn beyond(window: &Window, parameters: &[f64], open_loop: bool) -> Vec<Vec<f64>> {
    let mut covariance = vec![vec![0.0; parameters.len()]; parameters.len()];
    let (gain, room) = (parameters[0].exp(), window.room.unwrap_or(parameters[3]));
    let last = window.len() - 1;
    // The duty of the last lag, as a mean: it may swing.
    let late = window.times[last] - parameters[1].exp();
    let driven = window
        .times
        .iter()
        .zip(&window.input)
        .filter(|(time, _)| **time >= late);
    let duty = statistics::mean(&driven.map(|(_, duty)| *duty).collect::<Vec<f64>>());
    let end = window.measured[last];
    if window.room.is_some() {
        let rise = window.measured.iter().copied().fold(end, f64::max) - room;
        covariance[0][0] += (OF_ROOMS / rise.max(OF_ROOMS)).powi(2);
    }
    if open_loop && window.room.is_some() {
        let kept = gain * window.input[0];
        let share = ((kept - (window.measured[0] - room)).abs() / (OF_REST * gain)).min(1.0);
        // Where no smaller lag is seen, what was under way may have hidden it.
        let second = parameters
            .get(4)
            .map_or(parameters[1].exp() / 5.0, |lag| lag.exp());
        covariance[2][2] += (OF_QUICK * share * (parameters[2].max(0.0) + second)).powi(2);
        if parameters.len() > 4 {
            covariance[4][4] += (OF_QUICK * share).powi(2);
        }
    }
    if open_loop && duty > 0.0 && window.input[last] > 0.0 {
        let unseen = (1.0 - (end - room) / (gain * duty)).clamp(0.0, 1.0);
        // What noise and a slow end leave is in the fit.
        let off = (OF_EXTRAPOLATION * (unseen - NEARLY_THERE).max(0.0)).powi(2);
        for (one, other) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
            covariance[one][other] += off;
        }
    }
    covariance
}

/// A part is not at rest where its first duty would keep it this much of the rise at full power from where it is; common practice, no source.
const OF_REST: f64 = 0.05;

/// How far what is quick in a part may be off where the log begins when it is not at rest, as a share, as a standard deviation: what flowed into it before
/// nobody knows. Common practice, no source; held against rods that were on their way up or down.
const OF_QUICK: f64 = 0.5;

/// A rise that lacks no more than this of its end has reached it; common practice, no source.
const NEARLY_THERE: f64 = 0.02;

/// Fits the process.
///
/// Fitted is from the start of the log to the first disturbance or to five times the heat-up. With the duty in the log it does not
/// matter whether the loop was closed: readings differ from the fit by noise that no earlier duty knew of.
///
pub(super) fn identify(
    view: &View,
    spans: &[Span],
    about: About<'_>,
    troubles: &mut Vec<Trouble>,
) -> Result<Process, Refused> {
    let About { ask, duties, .. } = about;
    let from_duty = !view.duty.is_empty();
    let window = if about.open_loop {
        Window::driven(view, ask)?
    } else {
        Window::of(view, spans, ask)?
    };
    if !from_duty {
        troubles.push(words::full_power_assumed());
    } else if window.reach() < LEAST_CHANGE && !about.open_loop {
        return Err(words::steady_duty());
    }
    let (fit, fine) = fit::best(&window).ok_or_else(words::no_process)?;
    let possible = match from_duty {
        true => timing::possible(&window, about.open_loop),
        false => vec![Timing::Ahead],
    };
    // As long as what is quick in the part lasts: what changes faster it does not show.
    let quick = fit.parameters[2].max(0.0) + fit.parameters.get(4).map_or(0.0, |lag| lag.exp());
    let reach = quick.min(fit.parameters[1].exp() / 10.0);
    let mut all = Vec::new();
    for timing in possible {
        let timed = fit::thinned(&window.timed(timing, reach)).begun(window.input[0], view.step, timing);
        let mut mixture = noise::mixture(&timed, &fit.parameters).ok_or_else(words::no_process)?;
        mixture.widen(&untold(timing, view.step, fit.parameters.len(), about.open_loop));
        all.push(mixture);
    }
    let step = duties.map_or(0.0, rounding::duty_step);
    if from_duty
        && step > 0.0
        && let Some(rounded) = rounding::covariance(&fit, &window, &fine, step)
    {
        all.iter_mut().for_each(|own| own.widen(&rounded));
    }
    let beyond = beyond(&window, &fit.parameters, about.open_loop);
    all.iter_mut().for_each(|own| own.widen(&beyond));
    if let Some(room) = window.room {
        troubles.push(words::room_assumed(window.measured[0], room));
    }
    let process = bounds::process(&all, &fine, fit.parameters.len());
    let process = process.ok_or_else(words::no_process)?;
    Ok(Process {
        from_duty,
        full_power: about.full_power,
        ..process
    })
}

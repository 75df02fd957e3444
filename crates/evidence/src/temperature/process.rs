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
use statistics::{CONFIDENCE, Estimate, normal_quantile};

pub(crate) use self::plant::{Plant, Runner};
use self::noise::Mixture;
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
    /// How far the parameters are open together.
    pub(crate) spread: Spread,
}

/// Covariance of the logarithms of gain and larger lag, the dead time (s), and the logarithm of the smaller lag.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Spread(pub [[f64; 4]; 4]);

impl Process {
    /// As control knows it, at the nominal values.
    #[must_use]
    pub fn model(&self) -> control::Process {
        self.plant().model()
    }

    /// The gain at which it just oscillates under proportional control, per kelvin, with its 95 % interval; nothing where it never does.
    #[must_use]
    pub fn critical_gain(&self) -> Option<Value<TemperatureCoefficient>> {
        let found = self.foretold(|plant| {
            control::ultimate(&plant.model()).map_or(f64::NAN, |own| own.gain.base().ln())
        });
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
        let plant = self.plant();
        let middle = of(plant);
        let shifted = |parameter: usize, by: f64| {
            let mut plant = plant;
            match parameter {
                0 => plant.gain *= by.exp(),
                1 => plant.lags[0] *= by.exp(),
                2 => plant.delay = (plant.delay + by).max(0.0),
                _ => plant.lags[1] *= by.exp(),
            }
            of(plant)
        };
        let slope = |parameter: usize| {
            // Over half a deviation, so that a curve counts as it is there.
            let step = (0.5 * self.spread.0[parameter][parameter].sqrt()).max(1e-6);
            (shifted(parameter, step) - shifted(parameter, -step)) / (2.0 * step)
        };
        let slopes: [f64; 4] = core::array::from_fn(slope);
        let rows = self.spread.0.iter().zip(slopes);
        let variance: f64 = rows
            .map(|(row, one)| row.iter().zip(slopes).map(|(cell, other)| cell * one * other).sum::<f64>())
            .sum();
        Estimate::around(middle, normal_quantile(f64::midpoint(1.0, CONFIDENCE)) * variance.max(0.0).sqrt())
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
        false => vec![(Timing::FromRow, 1.0)],
    };
    let mut all = Mixture::default();
    for (timing, share) in possible {
        let timed = fit::thinned(&window.timed(timing)).begun(window.input[0], view.step, timing);
        all.join(share, noise::mixture(&timed, &fit.parameters).ok_or_else(words::no_process)?);
    }
    let step = duties.map_or(0.0, rounding::duty_step);
    if from_duty && step > 0.0 {
        let rounded = rounding::covariance(&fit, &window, &fine, step);
        rounded.iter().for_each(|own| all.widen(own));
    }
    let process = bounds::process(&all, &fine, fit.parameters.len());
    let process = process.ok_or_else(words::no_process)?;
    Ok(Process {
        from_duty,
        full_power: about.full_power,
        ..process
    })
}

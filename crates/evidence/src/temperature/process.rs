//! The process behind a log: gain, two lags and a dead time, fitted to what the duty did.
//!
//! `identify` takes the window of the log that tells the process, fits it and gives every parameter its interval. Another way to tell a
//! process, such as from a log without control, is another window before the same fit.

mod bounds;
mod fit;
mod plant;
mod rounding;
mod window;

use physics::control;
use quantity::Number as _;
use quantity::Value;
use quantity::si::{TemperatureInterval, ThermodynamicTemperature, Time};

pub(crate) use self::plant::{Plant, Runner};
use self::window::Window;
use super::phases::Span;
use super::view::View;
use super::{Ask, words};
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
}

impl Process {
    /// As control knows it, at the nominal values.
    #[must_use]
    pub fn model(&self) -> control::Process {
        let mut lags = vec![self.lag.nominal()];
        lags.extend(self.second_lag.map(|lag| lag.nominal()));
        control::Process {
            gain: self.gain.nominal(),
            lags,
            leads: Vec::new(),
            delay: self.delay.nominal(),
            integrating: false,
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

/// A duty that changes by less than this, as a share of full power, tells no process.
const LEAST_CHANGE: f64 = 0.05;

/// Fits the process.
///
/// Fitted is from the start of the log to the first disturbance or to five times the heat-up. With the duty in the log it does not
/// matter whether the loop was closed: readings differ from the fit by noise that no earlier duty knew of.
///
/// `duties` are those of the log as written, by which the step of their rounding is found.
pub(super) fn identify(
    view: &View,
    spans: &[Span],
    ask: &Ask,
    duties: Option<&[f32]>,
    troubles: &mut Vec<Trouble>,
) -> Result<Process, Refused> {
    let from_duty = !view.duty.is_empty();
    let window = Window::of(view, spans, ask)?;
    if !from_duty {
        troubles.push(words::full_power_assumed());
    } else if window.reach() < LEAST_CHANGE {
        return Err(words::steady_duty());
    }
    let (fit, fine) = fit::best(&window).ok_or_else(words::no_process)?;
    let step = duties.map_or(0.0, rounding::duty_step);
    let rounding = match from_duty && step > 0.0 {
        true => rounding::covariance(&fit, &window, &fine, step),
        false => None,
    };
    bounds::process(&fit, &fine, rounding.as_deref(), from_duty).ok_or_else(words::no_process)
}

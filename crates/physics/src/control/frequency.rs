//! A loop by its frequency response: ultimate gain, margins, the peak of its sensitivity.

use core::f64::consts::{PI, TAU};

use quantity::si::{Angle, Ratio, TemperatureCoefficient, TemperatureInterval, Time, second};
use quantity::{Number, Value};

use super::model::{FirstOrder, Process};
use super::pid::Pid;
use super::rules::Ultimate;
use crate::Formula;

/// See [`ultimate`].
pub static ULTIMATE: Formula = Formula::new(
    "ultimate",
    "Ultimate gain and period of a process",
    "arg G(j ωᵤ) = −180°, Kᵤ = 1 / |G(j ωᵤ)|, Tᵤ = 2 π / ωᵤ",
    "ziegler-nichols-1942",
    "",
);
/// See [`margins`].
pub static SENSITIVITY_PEAK: Formula = Formula::new(
    "sensitivity-peak",
    "Peak of the sensitivity of a loop",
    "Ms = max over ω of 1 / |1 + L(j ω)|",
    "astrom-hagglund-2006",
    "",
);
/// See [`margins`].
pub static GAIN_MARGIN: Formula = Formula::new(
    "gain-margin",
    "Gain margin of a loop",
    "GM = 1 / |L(j ω)| at arg L = −180°",
    "astrom-hagglund-2006",
    "",
);
/// See [`margins`].
pub static PHASE_MARGIN: Formula = Formula::new(
    "phase-margin",
    "Phase margin of a loop",
    "PM = 180° + arg L(j ω) at |L| = 1",
    "astrom-hagglund-2006",
    "",
);

/// A controller as a transfer function.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Controller {
    /// `Kc · (1 + 1/(Tᵢ s) + T_d s / (T_f s + 1))`.
    Ideal {
        /// Its three terms.
        pid: Pid,
        /// T_f of the derivative; 0 s for none.
        filter: Time,
    },
    /// `Kc′ · (1 + 1/(Tᵢ′ s)) · (T_d′ s + 1) / (T_f s + 1)`.
    Series {
        /// Kc′.
        gain: TemperatureCoefficient,
        /// Tᵢ′.
        integral: Time,
        /// T_d′.
        derivative: Time,
        /// T_f; 0 s for none.
        filter: Time,
    },
}

impl From<Pid> for Controller {
    fn from(pid: Pid) -> Self {
        Self::Ideal {
            pid,
            filter: second(0.0),
        }
    }
}

/// How robust a loop is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margins {
    /// Ms: 1.4 to 1.7 is calm, above 2 lively; infinite where the loop is unstable at its gain.
    pub sensitivity_peak: Ratio,
    /// Factor by which the gain may grow; infinite where it may grow without end.
    pub gain_margin: Ratio,
    /// Further lag that the loop bears.
    pub phase_margin: Angle,
}

/// Gain and period at which a process just oscillates under proportional control; nothing where it never does.
///
/// # Source
/// [ziegler-nichols-1942]; held against python-control.
#[must_use]
pub fn ultimate(process: &Process) -> Option<Ultimate> {
    let scale = slowest(process);
    let response = |w: f64| process_response(process, w);
    let w = phase_crossing(scale, &response)?;
    Some(Ultimate {
        gain: TemperatureCoefficient::from_base(1.0 / response(w).size()),
        period: Time::from_base(TAU / w),
    })
}

/// Margins of a loop, from a grid of 4,000 frequencies over nine decades around the process, refined at each crossing.
///
/// The loop must be stable: check with a run ([`super::simulate`]) where the gain margin is near 1.
///
/// # Source
/// [astrom-hagglund-2006], definitions.
#[must_use]
pub fn margins(process: &Process, controller: Controller) -> Margins {
    let scale = slowest(process);
    let response = |w: f64| process_response(process, w).times(controller_response(controller, w));
    let sensitivity = |w: f64| 1.0 / response(w).plus_one().size();
    let peak = peak(scale, &sensitivity);
    let gain_margin = phase_crossing(scale, &response).map_or(f64::INFINITY, |w| 1.0 / response(w).size());
    Margins {
        sensitivity_peak: Ratio::from_base(peak),
        gain_margin: Ratio::from_base(gain_margin),
        phase_margin: Angle::from_base(phase_margin(scale, &response)),
    }
}

/// Gain margin of a first-order process under a PI controller, by halving the frequencies around its crossing: a hundredth of the work of
/// [`margins`], for whoever asks often.
///
/// The phase lies above −180° at a thousandth of the crossing of dead time alone, and below at that crossing.
///
/// # Source
/// [astrom-hagglund-2006], definition; held against [`margins`], and so against python-control.
#[must_use]
pub fn pi_gain_margin(model: FirstOrder, pid: Pid) -> Ratio {
    let process = Process::from(model);
    let controller = Controller::from(pid);
    let response = |w: f64| process_response(&process, w).times(controller_response(controller, w));
    let end = PI / model.delay.base();
    if !end.is_finite() {
        return Ratio::from_base(f64::INFINITY);
    }
    let (mut low, mut high) = (end * 1e-3, end);
    for _ in 0..50 {
        let middle = (low * high).sqrt();
        if response(middle).phase + PI > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ratio::from_base(1.0 / response(high).size())
}

/// A first-order process whose parameters are known with a tolerance only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TolerantModel {
    /// Rise at full power, in the end.
    pub gain: Value<TemperatureInterval>,
    /// τ.
    pub lag: Value<Time>,
    /// θ.
    pub delay: Value<Time>,
}

/// The worst of each margin over the tolerances of a process, looked at on a grid of three points along each parameter.
///
/// Gain and dead time are worst at an end; the lag may be worst inside, by little.
#[must_use]
pub fn worst_margins(model: TolerantModel, controller: Controller) -> Margins {
    let mut worst = Margins {
        sensitivity_peak: Ratio::from_base(0.0),
        gain_margin: Ratio::from_base(f64::INFINITY),
        phase_margin: Angle::from_base(f64::INFINITY),
    };
    for gain in three(model.gain) {
        for lag in three(model.lag) {
            for delay in three(model.delay) {
                let here = margins(&FirstOrder { gain, lag, delay }.into(), controller);
                worst.sensitivity_peak = worst.sensitivity_peak.larger(here.sensitivity_peak);
                worst.gain_margin = worst.gain_margin.smaller(here.gain_margin);
                worst.phase_margin = worst.phase_margin.smaller(here.phase_margin);
            }
        }
    }
    worst
}

fn three<Q: Number>(value: Value<Q>) -> Vec<Q> {
    if value.is_exact() {
        return vec![value.nominal()];
    }
    vec![value.low(), value.nominal(), value.high()]
}

/// Size and phase of a complex number; the phase is kept unwrapped.
#[derive(Clone, Copy)]
struct Response {
    size: f64,
    phase: f64,
}

impl Response {
    fn of(real: f64, imaginary: f64) -> Self {
        Self {
            size: real.hypot(imaginary),
            phase: imaginary.atan2(real),
        }
    }
    fn size(self) -> f64 {
        self.size
    }
    fn times(self, other: Self) -> Self {
        Self {
            size: self.size * other.size,
            phase: self.phase + other.phase,
        }
    }
    fn over(self, other: Self) -> Self {
        Self {
            size: self.size / other.size,
            phase: self.phase - other.phase,
        }
    }
    fn plus_one(self) -> Self {
        let (sin, cos) = self.phase.sin_cos();
        Self::of(1.0 + self.size * cos, self.size * sin)
    }
}

fn process_response(process: &Process, w: f64) -> Response {
    let mut response = Response {
        size: process.gain.base(),
        phase: -w * process.delay.base(),
    };
    for lead in &process.leads {
        response = response.times(Response::of(1.0, w * lead.base()));
    }
    for lag in &process.lags {
        response = response.over(Response::of(1.0, w * lag.base()));
    }
    if process.integrating {
        response = response.over(Response {
            size: w,
            phase: PI / 2.0,
        });
    }
    response
}

fn controller_response(controller: Controller, w: f64) -> Response {
    match controller {
        Controller::Ideal { pid, filter } => {
            let integral = pid.integral.map_or(0.0, |integral| 1.0 / (w * integral.base()));
            // T_d s / (T_f s + 1) split into its parts.
            let (td, tf) = (w * pid.derivative.base(), w * filter.base());
            let below = 1.0 + tf * tf;
            let sum = Response::of(1.0 + td * tf / below, td / below - integral);
            Response {
                size: pid.gain.base() * sum.size,
                phase: sum.phase,
            }
        }
        Controller::Series {
            gain,
            integral,
            derivative,
            filter,
        } => {
            let pi = Response::of(1.0, -1.0 / (w * integral.base()));
            let lead = Response::of(1.0, w * derivative.base());
            let product = pi.times(lead).over(Response::of(1.0, w * filter.base()));
            Response {
                size: gain.base() * product.size,
                phase: product.phase,
            }
        }
    }
}

/// The time scale of a process: its largest lag or its dead time.
fn slowest(process: &Process) -> f64 {
    let lags = process.lags.iter().map(|lag| lag.base());
    lags.chain([process.delay.base()])
        .fold(f64::MIN_POSITIVE, f64::max)
}

/// Frequencies of the grid, over nine decades around the time scale of a process.
fn grid(scale: f64) -> impl Iterator<Item = f64> {
    const POINTS: u32 = 4000;
    (0..=POINTS).map(move |index| 10_f64.powf(-3.0 + 9.0 * f64::from(index) / f64::from(POINTS)) / scale)
}

/// The first frequency at which the phase falls through −180°.
fn phase_crossing(scale: f64, response: &dyn Fn(f64) -> Response) -> Option<f64> {
    crossing(scale, &|w| response(w).phase + PI)
}

/// The first frequency at which a function falls from above zero to zero or below.
fn crossing(scale: f64, f: &dyn Fn(f64) -> f64) -> Option<f64> {
    let mut before = None;
    for w in grid(scale) {
        if f(w) > 0.0 {
            before = Some(w);
        } else if let Some(above) = before {
            let (mut low, mut high) = (above, w);
            for _ in 0..60 {
                let middle = (low * high).sqrt();
                if f(middle) > 0.0 {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            return Some(high);
        }
    }
    None
}

fn phase_margin(scale: f64, response: &dyn Fn(f64) -> Response) -> f64 {
    match crossing(scale, &|w| response(w).size - 1.0) {
        Some(w) => PI + response(w).phase,
        None => f64::INFINITY,
    }
}

/// The largest value of a function over the grid, refined around the best point by the golden section.
fn peak(scale: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    let mut best = (0.0, f64::NEG_INFINITY);
    for w in grid(scale) {
        let value = f(w);
        if value > best.1 {
            best = (w, value);
        }
    }
    let step = 10_f64.powf(9.0 / 4000.0);
    let (mut low, mut high) = (best.0 / step, best.0 * step);
    for _ in 0..60 {
        let (left, right) = (low + 0.382 * (high - low), low + 0.618 * (high - low));
        if f(left) >= f(right) {
            high = right;
        } else {
            low = left;
        }
    }
    best.1.max(f(f64::midpoint(low, high)))
}

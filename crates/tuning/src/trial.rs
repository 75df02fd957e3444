//! Controllers run against a part from cold.

use physics::control::{Controller, Pid, Process, Simulation, margins, simulate};
use quantity::si::{Ratio, TemperatureInterval, Time, kelvin, ratio, second};
use quantity::{Number as _, Range};

use crate::Rule;

/// The derivative of a controller is filtered with its time divided by so much; common practice, no source.
pub const DERIVATIVE_FILTER: f64 = 10.0;
/// The most lively that is still taken: Ms of 2 ([astrom-hagglund-2006] names 1.2 to 2.0 as the range of use).
const LIVELIEST: f64 = 2.0;
/// A run lasts so many of the slowest time constant.
const LASTS: f64 = 5.0;
/// Least and most that a run lasts, s.
const BOUNDS: [f64; 2] = [300.0, 10_800.0];
/// What is settled is judged over this last share of a run.
const SETTLED: f64 = 0.3;

/// What controllers are run against.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// The part as named or as logged.
    pub nominal: Process,
    /// What it may be as well; the worst of each figure is told over these, too.
    pub corners: Vec<Process>,
    /// The part with the highest loop gain that it may have: margins are told for it.
    pub liveliest: Process,
    /// From the room to the setpoint.
    pub wanted: TemperatureInterval,
    /// Time from one computation of the controller to the next.
    pub sample: Time,
    /// Step of the simulation; at most `sample`.
    pub step: Time,
    /// Period of the heater's pulses; nothing for a steady power.
    pub pulse: Option<Time>,
    /// Step of the temperature input; 0 K for none.
    pub resolution: TemperatureInterval,
    /// Noise of the temperature input, root mean square.
    pub noise: TemperatureInterval,
}

/// How a heat-up from the room to the setpoint runs, and what is left when it has settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Course {
    /// Overshoot.
    pub overshoot: TemperatureInterval,
    /// The time after which it stays within a kelvin, from the start of the heat-up; `None` where it never does.
    pub settled: Option<Time>,
    /// From lowest to highest true temperature once settled.
    pub swing: TemperatureInterval,
    /// How far the true temperature is off the setpoint once settled, root mean square.
    pub deviation: TemperatureInterval,
}

impl Course {
    /// Each figure of the one that is worse in it.
    fn worse(self, other: Self) -> Self {
        Self {
            overshoot: self.overshoot.larger(other.overshoot),
            settled: self
                .settled
                .zip(other.settled)
                .map(|(one, other)| one.larger(other)),
            swing: self.swing.larger(other.swing),
            deviation: self.deviation.larger(other.deviation),
        }
    }
}

/// What a trial of one controller showed.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The rule.
    pub rule: Rule,
    /// The controller in the ideal form.
    pub pid: Pid,
    /// With the part as named or as logged.
    pub nominal: Course,
    /// The worst of each figure among that and the corners.
    pub worst: Course,
    /// Maximum sensitivity, nominal: 1.4 to 1.7 is calm, above 2 lively.
    pub sensitivity_peak: Ratio,
    /// The same at the liveliest; infinite where that oscillates.
    pub sensitivity_peak_worst: Ratio,
    /// Factor by which the gain may grow at the liveliest.
    pub gain_margin_worst: Ratio,
    /// Whether it is the one to take.
    pub chosen: bool,
}

impl Outcome {
    fn is_calm(&self) -> bool {
        self.sensitivity_peak_worst.base() <= LIVELIEST
    }

    /// Among calm ones that settle, the least overshoot and swing together; a second of settling weighs a hundredth of a kelvin.
    fn cost(&self) -> f64 {
        let course = &self.nominal;
        let settled = course.settled.map_or(1e6, |time| time.base());
        course.overshoot.base() + course.swing.base() + settled * 0.01
    }
}

/// Sorts by what is to be taken first, and marks the first one if it is calm and settles.
pub fn mark_best(all: &mut [Outcome]) {
    let rank = |outcome: &Outcome| (!outcome.is_calm(), outcome.cost());
    all.sort_by(|one, other| {
        rank(one)
            .partial_cmp(&rank(other))
            .unwrap_or(core::cmp::Ordering::Equal)
    });
    if let Some(best) = all.first_mut() {
        best.chosen = best.is_calm() && best.nominal.settled.is_some();
    }
}

impl Trial {
    /// Runs one controller; nothing where the part cannot be simulated.
    #[must_use]
    pub fn run(&self, rule: Rule, pid: Pid) -> Option<Outcome> {
        let filter = pid.derivative / DERIVATIVE_FILTER;
        let controller = Controller::Ideal { pid, filter };
        let calm = margins(&self.nominal, controller);
        let lively = margins(&self.liveliest, controller);
        let is_stable = lively.gain_margin.base() > 1.0;
        let nominal = self.course(&self.nominal, pid)?;
        let worst = self
            .corners
            .iter()
            .try_fold(nominal, |worst, part| Some(worst.worse(self.course(part, pid)?)))?;
        Some(Outcome {
            rule,
            pid,
            nominal,
            worst,
            sensitivity_peak: calm.sensitivity_peak,
            sensitivity_peak_worst: if is_stable {
                lively.sensitivity_peak
            } else {
                ratio(f64::INFINITY)
            },
            gain_margin_worst: lively.gain_margin,
            chosen: false,
        })
    }

    fn course(&self, part: &Process, pid: Pid) -> Option<Course> {
        let slowest = part.lags.iter().map(|lag| lag.base()).fold(0.0, f64::max);
        let record = simulate(&Simulation {
            process: part.clone(),
            pid,
            sample: self.sample,
            step: self.step,
            duration: second((LASTS * slowest).clamp(BOUNDS[0], BOUNDS[1])),
            wanted: self.wanted,
            load: ratio(0.0),
            limits: Some(Range::new(ratio(0.0), ratio(1.0))),
            pulse: self.pulse,
            resolution: self.resolution,
            noise: self.noise,
            seed: 1,
            derivative_filter: pid.derivative / DERIVATIVE_FILTER,
        })
        .ok()?;
        Some(Course {
            overshoot: self.wanted * record.overshoot().base(),
            settled: record.settled(kelvin(1.0)),
            swing: record.swing(ratio(SETTLED)),
            deviation: record.root_mean_square(ratio(SETTLED)),
        })
    }
}

//! A loop run in discrete time: sampled controller, limits, steps of the converter, noise, pulses of the heater.

use quantity::si::{Ratio, TemperatureInterval, Time, kelvin, ratio};
use quantity::{Number, Range};

use super::model::Process;
use super::pid::Pid;
use crate::{Formula, OutOfRange};

/// See [`Record::overshoot`].
pub static OVERSHOOT: Formula = Formula::new(
    "overshoot",
    "Overshoot after a step of the wanted temperature",
    "o = (max y − r) / r",
    "loop-simulation",
    "",
);
/// See [`Record::absolute_error`].
pub static LOAD_ERROR: Formula = Formula::new(
    "load-error",
    "Mean error after a step of the load, times its time",
    "∫ |e| dt; equal to Tᵢ / Kc for one unit of load where e keeps its sign",
    "loop-simulation",
    "",
);

/// How the loop is run. All temperatures are differences from where the part rests without power.
#[derive(Clone, Debug, PartialEq)]
pub struct Simulation {
    /// The process; its leads must be none.
    pub process: Process,
    /// The controller.
    pub pid: Pid,
    /// Time from one computation of the controller to the next.
    pub sample: Time,
    /// Step of the process simulation; at most the sample time.
    pub step: Time,
    /// How long.
    pub duration: Time,
    /// Wanted temperature from the start.
    pub wanted: TemperatureInterval,
    /// Load from the start, as a share of full power at the process's input: −0.1 for what a cold draught takes.
    pub load: Ratio,
    /// Least and greatest output of the controller: 0 and 1 for a heater; nothing for the linear loop of the textbooks.
    pub limits: Option<Range<Ratio>>,
    /// Period of the heater's pulses; nothing for a steady power.
    pub pulse: Option<Time>,
    /// Step of the thermometer input; 0 K for none.
    pub resolution: TemperatureInterval,
    /// Noise of the thermometer input before its steps, root mean square.
    pub noise: TemperatureInterval,
    /// Seed of the noise.
    pub seed: u64,
    /// Time constant of the filter on the derivative; the derivative is taken of the reading, not of the error.
    pub derivative_filter: Time,
}

/// What a run showed.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Step of the simulation.
    pub step: Time,
    /// Wanted temperature.
    pub wanted: TemperatureInterval,
    /// Temperature at each step, the true one.
    pub temperatures: Vec<TemperatureInterval>,
    /// Output of the controller at each step.
    pub outputs: Vec<Ratio>,
}

impl Simulation {
    /// The linear loop of the textbooks: no limits, steps, noise or pulses; controller and process at the same small step.
    #[must_use]
    pub fn linear(process: Process, pid: Pid, step: Time, duration: Time) -> Self {
        Self {
            process,
            pid,
            sample: step,
            step,
            duration,
            wanted: kelvin(0.0),
            load: ratio(0.0),
            limits: None,
            pulse: None,
            resolution: kelvin(0.0),
            noise: kelvin(0.0),
            seed: 1,
            derivative_filter: Time::from_base(0.0),
        }
    }
}

/// Runs a loop.
///
/// Each lag is stepped by its exact exponential with its input held over the step; the dead time is a queue of whole steps. The integral
/// stops while the output is at a limit and the error would drive it further.
///
/// # Errors
/// [`OutOfRange`] where a time is not positive, the run has more than ten million steps, or the process has leads or no lag.
pub fn simulate(setup: &Simulation) -> Result<Record, OutOfRange> {
    let mut plant = Plant::new(setup)?;
    let mut control = Control::new(setup);
    let steps = whole(setup.duration, setup.step)?;
    let every = whole(setup.sample, setup.step)?.max(1);
    let pulse = setup
        .pulse
        .map(|period| whole(period, setup.step))
        .transpose()?
        .map(|period| period.max(1));
    let mut record = Record {
        step: setup.step,
        wanted: setup.wanted,
        temperatures: Vec::with_capacity(steps + 1),
        outputs: Vec::with_capacity(steps + 1),
    };
    let mut output = 0.0;
    for index in 0..=steps {
        if index % every == 0 {
            output = control.output(plant.temperature);
        }
        record.temperatures.push(kelvin(plant.temperature));
        record.outputs.push(ratio(output));
        let power = match pulse {
            Some(period) => pulsed(output, index % period, period),
            None => output,
        };
        plant.advance(power + setup.load.base());
    }
    Ok(record)
}

impl Record {
    /// By how much of the wanted temperature it is exceeded at the most.
    #[must_use]
    pub fn overshoot(&self) -> Ratio {
        let highest = self
            .temperatures
            .iter()
            .fold(f64::NEG_INFINITY, |most, t| most.max(t.base()));
        Ratio::from_base((highest / self.wanted.base() - 1.0).max(0.0))
    }

    /// The time after which the temperature stays within a band around the wanted one; nothing where it never does.
    #[must_use]
    pub fn settled(&self, band: TemperatureInterval) -> Option<Time> {
        let outside = |t: &TemperatureInterval| (*t - self.wanted).base().abs() > band.base();
        match self.temperatures.iter().rposition(outside) {
            None => Some(Time::from_base(0.0)),
            Some(last) if last + 1 == self.temperatures.len() => None,
            Some(last) => Some(self.step * (last + 1) as f64),
        }
    }

    /// From lowest to highest temperature in the last share of the run.
    #[must_use]
    pub fn swing(&self, last: Ratio) -> TemperatureInterval {
        let tail = self.tail(last);
        let ends = tail
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), t| {
                (low.min(t.base()), high.max(t.base()))
            });
        kelvin(ends.1 - ends.0)
    }

    /// Root mean square of the error in the last share of the run.
    #[must_use]
    pub fn root_mean_square(&self, last: Ratio) -> TemperatureInterval {
        let tail = self.tail(last);
        let squares: f64 = tail.iter().map(|t| (*t - self.wanted).base().powi(2)).sum();
        kelvin((squares / tail.len() as f64).sqrt())
    }

    /// Mean size of the error over the whole run. Times the duration it is the integral of the absolute error.
    #[must_use]
    pub fn absolute_error(&self) -> TemperatureInterval {
        let sum: f64 = self
            .temperatures
            .iter()
            .map(|t| (*t - self.wanted).base().abs())
            .sum();
        kelvin(sum / self.temperatures.len() as f64)
    }

    fn tail(&self, last: Ratio) -> &[TemperatureInterval] {
        let count = self.temperatures.len();
        let kept = (count as f64 * last.base().clamp(0.0, 1.0)).ceil().max(1.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "1 ..= count"
        )]
        &self.temperatures[count - kept as usize..]
    }
}

/// Whether the heater is on in this step of its pulse, or for what part of the step.
fn pulsed(output: f64, index: usize, period: usize) -> f64 {
    (output.clamp(0.0, 1.0) * period as f64 - index as f64).clamp(0.0, 1.0)
}

/// The process: a queue for the dead time, then its lags one after another.
struct Plant {
    queue: std::collections::VecDeque<f64>,
    gain: f64,
    /// What one step leaves of each lag's state, and the state.
    lags: Vec<(f64, f64)>,
    /// Seconds in a step where the process integrates.
    integrating: Option<f64>,
    temperature: f64,
}

impl Plant {
    fn new(setup: &Simulation) -> Result<Self, OutOfRange> {
        let process = &setup.process;
        let step = OutOfRange::check_positive("step of the simulation", setup.step)?;
        let none = Range::new(ratio(0.0), ratio(0.0));
        OutOfRange::check(
            "number of leads of the process",
            ratio(process.leads.len() as f64),
            none,
        )?;
        OutOfRange::check_positive(
            "number of lags of the process",
            ratio(process.lags.len() as f64 + f64::from(process.integrating)),
        )?;
        let lags = process.lags.iter().filter(|lag| lag.base() > 0.0);
        Ok(Self {
            queue: std::iter::repeat_n(0.0, whole(process.delay, step)?).collect(),
            gain: process.gain.base(),
            lags: lags.map(|lag| ((-(step / *lag).base()).exp(), 0.0)).collect(),
            integrating: process.integrating.then_some(step.base()),
            temperature: 0.0,
        })
    }

    fn advance(&mut self, power: f64) {
        self.queue.push_back(power);
        let mut signal = self.gain * self.queue.pop_front().unwrap_or(power);
        for (left, state) in &mut self.lags {
            let before = *state;
            *state = signal + (*state - signal) * *left;
            // The mean over the step drives the next lag: its end alone would run half a step ahead.
            signal = f64::midpoint(before, *state);
        }
        self.temperature = match self.integrating {
            Some(seconds) => self.temperature + signal * seconds,
            None => self.lags.last().map_or(signal, |(_, state)| *state),
        };
    }
}

/// The controller with its memory.
struct Control {
    pid: Pid,
    sample: f64,
    wanted: f64,
    limits: (f64, f64),
    resolution: f64,
    noise: f64,
    random: u64,
    /// What one sample leaves of the filtered derivative.
    filter: f64,
    integral: f64,
    last: Option<f64>,
    slope: f64,
}

impl Control {
    fn new(setup: &Simulation) -> Self {
        let filter = setup.derivative_filter.base();
        Self {
            pid: setup.pid,
            sample: setup.sample.base(),
            wanted: setup.wanted.base(),
            limits: setup.limits.map_or((f64::NEG_INFINITY, f64::INFINITY), |range| {
                (range.low().base(), range.high().base())
            }),
            resolution: setup.resolution.base(),
            noise: setup.noise.base(),
            random: setup.seed,
            filter: if filter > 0.0 {
                (-setup.sample.base() / filter).exp()
            } else {
                0.0
            },
            integral: 0.0,
            last: None,
            slope: 0.0,
        }
    }

    fn output(&mut self, temperature: f64) -> f64 {
        let read = self.read(temperature);
        let error = self.wanted - read;
        let raw = self.last.map_or(0.0, |last| (read - last) / self.sample);
        self.slope = raw + (self.slope - raw) * self.filter;
        self.last = Some(read);
        let gain = self.pid.gain.base();
        let rest = gain * (error - self.pid.derivative.base() * self.slope);
        let added = self
            .pid
            .integral
            .map_or(0.0, |integral| gain * error * self.sample / integral.base());
        let sum = rest + self.integral + added;
        let held = sum.clamp(self.limits.0, self.limits.1);
        // Winding up further at a limit would have to be unwound as overshoot.
        if sum == held || (sum > held) != (added > 0.0) {
            self.integral += added;
        }
        held
    }

    fn read(&mut self, temperature: f64) -> f64 {
        let noisy = if self.noise > 0.0 {
            temperature + self.noise * self.normal()
        } else {
            temperature
        };
        if self.resolution > 0.0 {
            (noisy / self.resolution).round() * self.resolution
        } else {
            noisy
        }
    }

    /// A normal deviate by the method of Box and Muller, from a generator of our own: the same run gives the same numbers everywhere.
    fn normal(&mut self) -> f64 {
        let mut share = || {
            self.random = self
                .random
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            ((self.random >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
        };
        let (size, turn) = (share(), share());
        (-2.0 * size.ln()).sqrt() * (core::f64::consts::TAU * turn).cos()
    }
}

fn whole(time: Time, step: Time) -> Result<usize, OutOfRange> {
    let range = Range::new(ratio(0.0), ratio(1e7));
    let count = OutOfRange::check("number of steps", ratio((time / step).base().round()), range)?.base();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to lie in 0 ..= 10⁷"
    )]
    Ok(count as usize)
}

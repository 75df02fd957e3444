//! Logs with known truth: a heated part under control, with noise, steps, drift and pick-up of known size. Invented, for tests and the demo.

use core::f64::consts::TAU;
use core::fmt::Write as _;
use std::collections::VecDeque;

use quantity::Number as _;
use quantity::si::{
    Frequency, TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature, Time, celsius, hertz,
    kelvin, per_kelvin, second,
};
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;
use statistics::normal_deviate;

use super::process::{Plant, Runner};
use crate::quantities::in_celsius;

/// The truth behind an invented log.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Truth {
    /// Rise at full power, in the end.
    pub gain: TemperatureInterval,
    /// The larger lag.
    pub lag: Time,
    /// The smaller lag.
    pub second_lag: Time,
    /// Dead time.
    pub delay: Time,
    /// The room.
    pub room: ThermodynamicTemperature,
    /// The target.
    pub target: ThermodynamicTemperature,
    /// White noise of the reading, root mean square.
    pub noise: TemperatureInterval,
    /// Step of the input; 0 K for none.
    pub step: TemperatureInterval,
    /// Slow change of the reading, from middle to highest, over a quarter of an hour; 0 K for none.
    pub drift: TemperatureInterval,
    /// Pick-up: peak size and the frequency at which it shows.
    pub pick_up: (TemperatureInterval, Frequency),
    /// Gain of the controller (share of full power for each kelvin), its integral and its derivative time.
    pub pid: (TemperatureCoefficient, Time, Time),
    /// Time between samples, which is also that between computations of the controller.
    pub sample: Time,
    /// Cold at first, then under control, then switched off.
    pub durations: [Time; 3],
    /// The seed of the noise (PCG-64).
    pub seed: u64,
}

impl Truth {
    /// A hot end that is well controlled.
    #[must_use]
    pub fn hot_end(seed: u64) -> Self {
        Self {
            gain: kelvin(330.0),
            lag: second(95.0),
            second_lag: second(5.0),
            delay: second(2.0),
            room: celsius(22.0),
            target: celsius(210.0),
            noise: kelvin(0.12),
            step: kelvin(0.0),
            drift: kelvin(0.0),
            pick_up: (kelvin(0.0), hertz(0.2)),
            pid: (per_kelvin(0.03), second(40.0), second(4.0)),
            sample: second(0.5),
            durations: [second(20.0), second(900.0), second(0.0)],
            seed,
        }
    }
}

/// A log as numbers: time, reading, target, duty in each row.
#[derive(Clone, Debug, PartialEq)]
pub struct Invented {
    /// Time since the start (s), reading (°C), target (°C), duty (share).
    pub rows: Vec<[f64; 4]>,
    /// True temperature at each row, °C.
    pub true_celsius: Vec<f64>,
}

/// Makes a log.
#[must_use]
pub fn log(truth: &Truth) -> Invented {
    let mut heater = Heater::of(truth);
    let mut sensor = Sensor::of(truth);
    let mut controller = Controller::of(truth);
    let dt = truth.sample.base();
    let target = in_celsius(truth.target);
    let [cold, warm, _] = truth.durations.map(|time| time.base());
    let total: f64 = truth.durations.iter().map(|time| time.base()).sum();
    let mut out = Invented {
        rows: Vec::new(),
        true_celsius: Vec::new(),
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a number of samples"
    )]
    let count = (total / dt).round() as usize;
    for at in 0..count {
        let time = at as f64 * dt;
        let temperature = heater.at(time);
        let reading = sensor.reading(temperature, time);
        let is_on = time >= cold && time < cold + warm;
        let wanted = if is_on { target } else { 0.0 };
        let duty = controller.duty(wanted, reading);
        heater.felt.push_back((time + heater.delay, duty));
        out.rows.push([time, reading, wanted, duty]);
        out.true_celsius.push(temperature);
    }
    out
}

/// The heated part, with the duties that it has yet to feel.
struct Heater {
    runner: Runner,
    delay: f64,
    held: f64,
    /// When each duty is felt.
    felt: VecDeque<(f64, f64)>,
    room: f64,
}

impl Heater {
    fn of(truth: &Truth) -> Self {
        let plant = Plant {
            gain: truth.gain.base(),
            lags: [truth.lag.base(), truth.second_lag.base()],
            delay: truth.delay.base(),
        };
        Self {
            runner: Runner::new(plant, 0.0, 0.0),
            delay: plant.delay,
            held: 0.0,
            felt: VecDeque::new(),
            room: in_celsius(truth.room),
        }
    }

    /// Its temperature, °C.
    fn at(&mut self, time: f64) -> f64 {
        while let Some((edge, input)) = self.felt.pop_front_if(|(edge, _)| *edge <= time) {
            self.runner.hold(self.held, edge - self.runner.time());
            self.held = input;
        }
        self.runner.hold(self.held, time - self.runner.time());
        self.room + self.runner.rise()
    }
}

/// The thermometer and its input.
struct Sensor<'t> {
    truth: &'t Truth,
    random: Pcg64,
}

impl<'t> Sensor<'t> {
    fn of(truth: &'t Truth) -> Self {
        let random = Pcg64::seed_from_u64(truth.seed);
        Self { truth, random }
    }

    fn reading(&mut self, temperature: f64, time: f64) -> f64 {
        let truth = self.truth;
        let slow = truth.drift.base() * (TAU * time / 900.0).sin();
        let (size, frequency) = (truth.pick_up.0.base(), truth.pick_up.1.base());
        let line = size * (TAU * frequency * time + 1.0).sin();
        let normal = normal_deviate(1.0 - self.random.random::<f64>(), self.random.random());
        let reading = temperature + slow + line + truth.noise.base() * normal;
        let step = truth.step.base();
        if step > 0.0 {
            (reading / step).round() * step
        } else {
            reading
        }
    }
}

/// A controller of three terms, its derivative smoothed over a tenth of its time, its integral held at the limits of the duty.
struct Controller {
    gain: f64,
    integral_time: f64,
    derivative_time: f64,
    dt: f64,
    integral: f64,
    last: f64,
    slope: f64,
}

impl Controller {
    fn of(truth: &Truth) -> Self {
        let (gain, integral, derivative) = truth.pid;
        Self {
            gain: gain.base(),
            integral_time: integral.base(),
            derivative_time: derivative.base(),
            dt: truth.sample.base(),
            integral: 0.0,
            last: f64::NAN,
            slope: 0.0,
        }
    }

    fn duty(&mut self, wanted: f64, reading: f64) -> f64 {
        let last = std::mem::replace(&mut self.last, reading);
        if wanted <= 0.0 {
            self.integral = 0.0;
            return 0.0;
        }
        let error = wanted - reading;
        let raw = if last.is_nan() {
            0.0
        } else {
            (reading - last) / self.dt
        };
        self.slope += (raw - self.slope) * (self.dt / (self.dt + self.derivative_time / 10.0));
        let added = self.gain * error * self.dt / self.integral_time;
        let sum = self.gain * (error - self.derivative_time * self.slope) + self.integral + added;
        let clamped = sum.clamp(0.0, 1.0);
        if sum == clamped || (sum > clamped) != (added > 0.0) {
            self.integral += added;
        }
        clamped
    }
}

impl Invented {
    /// As a file of separated values, marked invented.
    #[must_use]
    pub fn text(&self, remark: &str) -> String {
        let mut out = format!(
            "# Invented for this example: {remark}\ntime (s),temperature (°C),target (°C),duty (%)\n"
        );
        for [time, reading, target, duty] in &self.rows {
            // Writing to a string cannot fail.
            let _ = writeln!(out, "{time:.2},{reading:.3},{target:.0},{:.1}", duty * 100.0);
        }
        out
    }
}

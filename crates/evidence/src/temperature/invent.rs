//! Logs with known truth: a heated part under control, with noise, steps, drift and pick-up of known size. Invented, for tests and the demo.

use core::fmt::Write as _;

use quantity::Number as _;
use quantity::si::{
    Frequency, TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature, Time, celsius, hertz,
    kelvin, per_kelvin, second,
};
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;
use statistics::normal_deviate;

use super::process::{Plant, Runner};

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
    let mut random = Pcg64::seed_from_u64(truth.seed);
    let mut normal = move || -> f64 {
        let size = 1.0 - random.random::<f64>();
        normal_deviate(size, random.random())
    };
    let plant = Plant {
        gain: truth.gain.base(),
        lags: [truth.lag.base(), truth.second_lag.base()],
        delay: truth.delay.base(),
    };
    let dt = truth.sample.base();
    let room = truth.room.base() - 273.15;
    let target = truth.target.base() - 273.15;
    let [cold, warm, _] = truth.durations.map(|time| time.base());
    let total: f64 = truth.durations.iter().map(|time| time.base()).sum();
    let (gain, integral_time, derivative_time) = (truth.pid.0.base(), truth.pid.1.base(), truth.pid.2.base());
    let mut runner = Runner::new(plant, 0.0, 0.0);
    let mut felt: std::collections::VecDeque<(f64, f64)> = std::collections::VecDeque::new();
    let (mut held, mut integral, mut last, mut slope) = (0.0, 0.0, f64::NAN, 0.0);
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
        while felt.front().is_some_and(|(edge, _)| *edge <= time) {
            if let Some((edge, input)) = felt.pop_front() {
                runner.hold(held, edge - runner.time());
                held = input;
            }
        }
        runner.hold(held, time - runner.time());
        let temperature = room + runner.rise();
        let slow = truth.drift.base() * (core::f64::consts::TAU * time / 900.0).sin();
        let (size, frequency) = (truth.pick_up.0.base(), truth.pick_up.1.base());
        let line = size * (core::f64::consts::TAU * frequency * time + 1.0).sin();
        let mut reading = temperature + slow + line + truth.noise.base() * normal();
        if truth.step.base() > 0.0 {
            reading = (reading / truth.step.base()).round() * truth.step.base();
        }
        let wanted = if time >= cold && time < cold + warm {
            target
        } else {
            0.0
        };
        let duty = if wanted > 0.0 {
            let error = wanted - reading;
            let raw = if f64::is_nan(last) {
                0.0
            } else {
                (reading - last) / dt
            };
            slope += (raw - slope) * (dt / (dt + derivative_time / 10.0));
            let added = gain * error * dt / integral_time;
            let sum = gain * (error - derivative_time * slope) + integral + added;
            let clamped = sum.clamp(0.0, 1.0);
            if sum == clamped || (sum > clamped) != (added > 0.0) {
                integral += added;
            }
            clamped
        } else {
            integral = 0.0;
            0.0
        };
        last = reading;
        felt.push_back((time + plant.delay, duty));
        out.rows.push([time, reading, wanted, duty]);
        out.true_celsius.push(temperature);
    }
    out
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

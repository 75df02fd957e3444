//! Logs as mean as the world: a control that computes every tenth of a second, a log that is coarser, pulses, counts of a converter.
//!
//! Other than [`evidence::temperature::invent`], nothing of this is the model that is judged: heat flows by small steps of time between lumps, the
//! heater is on or off, the thermometer is a resistance behind a divider, read in counts. Invented, all of it.

use core::fmt::Write as _;
use std::collections::VecDeque;

use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;

/// What is heated.
#[derive(Clone, Copy, Debug)]
pub enum Part {
    /// Two lags and a dead time, s.
    Lags {
        /// The larger and the smaller lag, the dead time.
        times: [f64; 3],
    },
    /// A rod, heated at one end, that loses heat along itself; the thermometer is somewhere along it.
    Rod,
}

/// One kind of log.
#[derive(Clone, Copy, Debug)]
pub struct Scene {
    /// What it is called in tables.
    pub name: &'static str,
    /// What is heated.
    pub part: Part,
    /// Rise at full power, in the end, K.
    pub gain: f64,
    /// The target, °C.
    pub target: f64,
    /// Between computations of the controller, s.
    pub control: f64,
    /// Between rows of the log, s.
    pub row: f64,
    /// Period of the heater's pulses; nothing where its power is continuous.
    pub pulse: Option<f64>,
    /// Whether a new duty waits for the next pulse; else it counts at once, within the pulse that goes on.
    pub waits: bool,
    /// Bits of the converter; nothing where it has no steps.
    pub bits: Option<u32>,
    /// Noise of one conversion, in counts (K without a converter).
    pub noise: f64,
    /// Conversions in the mean of a reading.
    pub samples: u32,
    /// Whether the log has the mean of the duty since the row before; else the duty of the moment.
    pub mean: bool,
    /// Whether duties are written in whole per cent; else in thousandths.
    pub coarse: bool,
    /// Gain (1/K), integral and derivative time (s) of the controller.
    pub pid: [f64; 3],
    /// How long it is held, s.
    pub length: f64,
}

const PLAIN: Scene = Scene {
    name: "control once a row, no steps",
    part: Part::Lags {
        times: [95.0, 5.0, 2.0],
    },
    gain: 330.0,
    target: 210.0,
    control: 0.5,
    row: 0.5,
    pulse: None,
    waits: false,
    bits: None,
    noise: 0.12,
    samples: 1,
    mean: false,
    coarse: false,
    pid: [0.03, 40.0, 4.0],
    length: 600.0,
};

const QUICK: Scene = Scene {
    name: "control 0.1 s, row 0.5 s",
    control: 0.1,
    ..PLAIN
};

const COUNTS: Scene = Scene {
    name: "12 bit",
    bits: Some(12),
    noise: 0.8,
    ..QUICK
};

/// All kinds.
pub const SCENES: [Scene; 15] = [
    PLAIN,
    QUICK,
    Scene {
        name: "control 0.1 s, row 1 s",
        row: 1.0,
        ..QUICK
    },
    Scene {
        name: "mean duty, row 0.5 s",
        mean: true,
        ..QUICK
    },
    Scene {
        name: "mean duty, row 1 s",
        mean: true,
        row: 1.0,
        ..QUICK
    },
    Scene {
        name: "12 bit, row 0.5 s",
        ..COUNTS
    },
    Scene {
        name: "10 bit, row 0.5 s",
        bits: Some(10),
        noise: 0.5,
        ..COUNTS
    },
    Scene {
        name: "10 bit, mean of 16, row 1 s",
        bits: Some(10),
        noise: 0.5,
        samples: 16,
        row: 1.0,
        ..COUNTS
    },
    Scene {
        name: "12 bit, pulses of 0.5 s, row 1 s",
        pulse: Some(0.5),
        waits: true,
        row: 1.0,
        ..COUNTS
    },
    Scene {
        name: "12 bit, pulses of 1 s, row 0.5 s",
        pulse: Some(1.0),
        ..COUNTS
    },
    Scene {
        name: "12 bit, pulses of 1 s, row 1 s",
        pulse: Some(1.0),
        row: 1.0,
        ..COUNTS
    },
    Scene {
        name: "12 bit, pulses of 1 s that wait, row 1 s",
        pulse: Some(1.0),
        waits: true,
        row: 1.0,
        ..COUNTS
    },
    Scene {
        name: "12 bit, pulses of 1 s, mean duty, row 0.5 s",
        pulse: Some(1.0),
        mean: true,
        ..COUNTS
    },
    Scene {
        name: "bed, 12 bit, whole per cent, row 1 s",
        part: Part::Lags {
            times: [330.0, 25.0, 6.0],
        },
        gain: 140.0,
        target: 60.0,
        pid: [0.25, 120.0, 10.0],
        row: 1.0,
        coarse: true,
        length: 1_800.0,
        ..COUNTS
    },
    Scene {
        name: "rod, 12 bit, row 0.5 s",
        part: Part::Rod,
        ..COUNTS
    },
];

const ROOM: f64 = 22.0;
/// One step of the simulation, s.
const STEP: f64 = 0.02;
/// Lumps of the rod, and the one whose temperature is read.
const LUMPS: usize = 16;
const READ: usize = 9;

/// Heat in lumps, stepped.
struct Heat {
    part: Part,
    gain: f64,
    lumps: [f64; LUMPS],
    waiting: VecDeque<f64>,
}

impl Heat {
    fn of(part: Part, gain: f64) -> Self {
        let wait = match part {
            Part::Lags { times } => times[2],
            Part::Rod => 0.4,
        };
        Self {
            part,
            gain: gain / rod_gain(part),
            lumps: [0.0; LUMPS],
            waiting: std::iter::repeat_n(0.0, (wait / STEP).round() as usize).collect(),
        }
    }

    fn go(&mut self, power: f64) {
        self.waiting.push_back(power);
        let power = self.waiting.pop_front().unwrap_or(0.0);
        match self.part {
            Part::Lags { times } => {
                let share = |lag: f64| 1.0 - (-STEP / lag).exp();
                let before = self.lumps[0];
                self.lumps[0] += (self.gain * power - before) * share(times[0]);
                self.lumps[1] += (f64::midpoint(before, self.lumps[0]) - self.lumps[1]) * share(times[1]);
            }
            Part::Rod => rod(&mut self.lumps, self.gain * power),
        }
    }

    fn rise(&self) -> f64 {
        match self.part {
            Part::Lags { .. } => self.lumps[1],
            Part::Rod => self.lumps[READ],
        }
    }
}

/// Conductance between lumps and to the room, per heat capacity, 1/s.
const ALONG: f64 = 4.0;
const AWAY: f64 = 0.0105;

fn rod(lumps: &mut [f64; LUMPS], power: f64) {
    let before = *lumps;
    for at in 0..LUMPS {
        let mut flow = -AWAY * before[at];
        if at > 0 {
            flow += ALONG * (before[at - 1] - before[at]);
        }
        if at + 1 < LUMPS {
            flow += ALONG * (before[at + 1] - before[at]);
        }
        // Heated over its first three lumps.
        if at < 3 {
            flow += power;
        }
        lumps[at] += flow * STEP;
    }
}

/// The rise of a part at unit power, in the end.
fn rod_gain(part: Part) -> f64 {
    match part {
        Part::Lags { .. } => 1.0,
        Part::Rod => 1.0 / rod_answer(0.0).0.recip(),
    }
}

/// Size and phase (rad) of the rod's answer to a sine at `w` (rad/s) at unit power, without its dead time: by elimination of the lumps.
fn rod_answer(w: f64) -> (f64, f64) {
    type Complex = (f64, f64);
    let times = |a: Complex, b: Complex| (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0);
    let over = |a: Complex, b: Complex| {
        let size = b.0 * b.0 + b.1 * b.1;
        ((a.0 * b.0 + a.1 * b.1) / size, (a.1 * b.0 - a.0 * b.1) / size)
    };
    let minus = |a: Complex, b: Complex| (a.0 - b.0, a.1 - b.1);
    // Tridiagonal: (jw + away + neighbours) x[i] − along (x[i−1] + x[i+1]) = power[i].
    let neighbours = |at: usize| f64::from(u8::from(at > 0)) + f64::from(u8::from(at + 1 < LUMPS));
    let mut diagonal: Vec<Complex> = (0..LUMPS).map(|at| (AWAY + ALONG * neighbours(at), w)).collect();
    let mut right: Vec<Complex> = (0..LUMPS).map(|at| (f64::from(u8::from(at < 3)), 0.0)).collect();
    for at in 1..LUMPS {
        let factor = over((-ALONG, 0.0), diagonal[at - 1]);
        diagonal[at] = minus(diagonal[at], times(factor, (-ALONG, 0.0)));
        right[at] = minus(right[at], times(factor, right[at - 1]));
    }
    let mut x = over(right[LUMPS - 1], diagonal[LUMPS - 1]);
    for at in (READ..LUMPS - 1).rev() {
        x = over(minus(right[at], times((-ALONG, 0.0), x)), diagonal[at]);
    }
    (x.0.hypot(x.1), x.1.atan2(x.0))
}

/// What is true of a scene: gain (K), lags and dead time (s) where it has such, the gain at which it just oscillates under proportional control
/// (1/K), and the rise at full power after 10, 30 and 100 s (K).
#[derive(Clone, Copy, Debug)]
pub struct Known {
    pub gain: f64,
    pub times: Option<[f64; 3]>,
    #[allow(dead_code, reason = "only the example that counts coverage reads it")]
    pub critical_gain: f64,
    pub rises: [f64; 3],
}

/// After how long the rises of [`Known`] are told, s.
pub const AFTER: [f64; 3] = [10.0, 30.0, 100.0];

impl Scene {
    pub fn known(&self) -> Known {
        // A duty that waits for the next pulse is dead time as well, on the average half of one.
        let wait = self.pulse.filter(|_| self.waits).unwrap_or(0.0) / 2.0;
        let part = match self.part {
            Part::Lags {
                times: [one, two, dead],
            } => Part::Lags {
                times: [one, two, dead + wait],
            },
            Part::Rod => Part::Rod,
        };
        let mut heat = Heat::of(part, self.gain);
        let mut rises = [0.0; 3];
        let mut at = 0;
        for (after, rise) in AFTER.iter().zip(&mut rises) {
            while f64::from(at) * STEP < *after {
                heat.go(1.0);
                at += 1;
            }
            *rise = heat.rise();
        }
        let answer = |w: f64| match part {
            Part::Lags { times } => (
                1.0 / ((1.0 + (w * times[0]).powi(2)) * (1.0 + (w * times[1]).powi(2))).sqrt(),
                -(w * times[0]).atan() - (w * times[1]).atan() - w * times[2],
            ),
            Part::Rod => {
                let (size, phase) = rod_answer(w);
                let phase = if phase > 0.0 {
                    phase - core::f64::consts::TAU
                } else {
                    phase
                };
                (size / rod_answer(0.0).0, phase - 0.4 * w)
            }
        };
        let (mut low, mut high) = (1e-3, 3.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if answer(middle).1 > -core::f64::consts::PI {
                low = middle;
            } else {
                high = middle;
            }
        }
        Known {
            gain: self.gain,
            times: match part {
                Part::Lags { times } => Some(times),
                Part::Rod => None,
            },
            critical_gain: 1.0 / (self.gain * answer(low).0),
            rises,
        }
    }

    /// A log: time, reading, target and duty in each row.
    pub fn text(&self, seed: u64) -> String {
        let mut random = Pcg64::seed_from_u64(seed);
        let mut out = "time (s),temperature (°C),target (°C),duty (%)\n".to_owned();
        let mut heat = Heat::of(self.part, self.gain);
        let mut control = Control::default();
        let steps = |time: f64| (time / STEP).round() as u64;
        // Computations and pulses begin whenever they happen to; a row is written behind every so many computations.
        let mut begin = |period: f64| (random.random::<f64>() * period / STEP) as u64;
        let [control_begin, pulse_begin] = [self.control, self.pulse.unwrap_or(STEP)].map(&mut begin);
        let cold = steps(20.0) + (random.random::<f64>() * self.row / STEP) as u64;
        let end = cold + steps(self.length);
        let (mut duty, mut on_for) = (0.0_f64, 0);
        let (mut sum, mut count) = (0.0, 0);
        let mut reading = ROOM;
        for at in 0..end {
            let target = if at >= cold { self.target } else { 0.0 };
            if at % steps(self.control) == control_begin {
                reading = self.reading(ROOM + heat.rise(), &mut random);
                duty = control.duty(self, target, reading);
            }
            let power = match self.pulse {
                None => duty,
                Some(period) => {
                    let place = (at + pulse_begin) % steps(period);
                    if place == 0 || !self.waits {
                        on_for = (duty * steps(period) as f64).round() as u64;
                    }
                    f64::from(u8::from(place < on_for))
                }
            };
            if at % steps(self.row) == control_begin {
                let logged = if self.mean && count > 0 {
                    sum / f64::from(count)
                } else {
                    duty
                };
                let places = if self.coarse { 0 } else { 1 };
                let time = at as f64 * STEP;
                // Writing to a string cannot fail.
                let _ = writeln!(
                    out,
                    "{time:.2},{reading:.2},{target:.0},{:.places$}",
                    logged * 100.0
                );
                (sum, count) = (0.0, 0);
            }
            sum += duty;
            count += 1;
            heat.go(power);
        }
        out
    }

    /// A reading of the thermometer, through its converter.
    fn reading(&self, temperature: f64, random: &mut Pcg64) -> f64 {
        let mut normal = || statistics::normal_deviate(1.0 - random.random::<f64>(), random.random());
        let Some(bits) = self.bits else {
            return temperature + self.noise * normal();
        };
        let full = f64::from((1_u32 << bits) - 1);
        let level = full * divided(temperature);
        let conversions =
            (0..self.samples).map(|_| (level + self.noise * normal()).round().clamp(1.0, full - 1.0));
        undivided(conversions.sum::<f64>() / f64::from(self.samples) / full)
    }
}

/// Resistance at 25 °C of a thermistor over that of its pull-up, and its constant, K; drawn.
const RATIO: f64 = 22.0;
const CONSTANT: f64 = 4_050.0;

/// The share of the divider at a temperature.
fn divided(celsius: f64) -> f64 {
    let resistance = RATIO * (CONSTANT * ((celsius + 273.15).recip() - 298.15_f64.recip())).exp();
    resistance / (resistance + 1.0)
}

fn undivided(share: f64) -> f64 {
    let resistance = share / (1.0 - share);
    ((resistance / RATIO).ln() / CONSTANT + 298.15_f64.recip()).recip() - 273.15
}

/// Three terms, the derivative smoothed over a tenth of its time, the integral stopped at the limits.
#[derive(Default)]
struct Control {
    integral: f64,
    last: Option<f64>,
    slope: f64,
}

impl Control {
    fn duty(&mut self, scene: &Scene, target: f64, reading: f64) -> f64 {
        let [gain, integral, derivative] = scene.pid;
        let raw = (reading - self.last.replace(reading).unwrap_or(reading)) / scene.control;
        if target <= 0.0 {
            self.integral = 0.0;
            return 0.0;
        }
        self.slope += (raw - self.slope) * scene.control / (scene.control + derivative / 10.0);
        let error = target - reading;
        let sum = gain * (error - derivative * self.slope) + self.integral;
        let limited = sum.clamp(0.0, 1.0);
        if sum == limited || (sum > limited) != (error > 0.0) {
            self.integral += gain * error * scene.control / integral;
        }
        limited
    }
}

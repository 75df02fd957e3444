//! A rig that is meaner than the judged model: heat that spreads along a part, radiation, a sensor in counts of a divider, a controller
//! every tenth of a second, pulses, gusts, logs of any rate and any digits; and faults that can be planted into it. Invented.

use std::fmt::Write as _;

use rand::{RngExt as _, SeedableRng as _};
use rand_distr::{Distribution as _, StandardNormal};
use rand_pcg::Pcg64;

/// A part with its heater and its controller.
#[derive(Clone, Copy, Debug)]
pub struct Plant {
    pub name: &'static str,
    /// W, J/K, W/K, W/K between neighbouring eighths of the part.
    pub power: f64,
    pub capacity: f64,
    pub conductance: f64,
    pub along: f64,
    /// m² of black surface.
    pub surface: f64,
    /// Lag of the sensor, s.
    pub sensor: f64,
    pub target: f64,
    /// Share of full power for each kelvin, 1/s of it, s; nothing for a switch with a dead band.
    pub pid: Option<[f64; 3]>,
    /// How much more heat a gust takes, at most.
    pub gust: f64,
}

pub const PLANTS: [Plant; 6] = [
    Plant {
        name: "hot end, 40 W",
        power: 40.0,
        capacity: 19.0,
        conductance: 0.10,
        along: 3.0,
        surface: 3e-3,
        sensor: 2.0,
        target: 215.0,
        pid: Some([0.035, 0.0008, 0.12]),
        gust: 1.2,
    },
    Plant {
        name: "hot end, 65 W",
        power: 65.0,
        capacity: 15.0,
        conductance: 0.11,
        along: 4.0,
        surface: 2e-3,
        sensor: 1.0,
        target: 245.0,
        pid: Some([0.04, 0.0012, 0.1]),
        gust: 1.2,
    },
    Plant {
        name: "bed, 220 W",
        power: 220.0,
        capacity: 800.0,
        conductance: 1.4,
        along: 30.0,
        surface: 0.05,
        sensor: 4.0,
        target: 60.0,
        pid: Some([0.15, 0.0008, 1.5]),
        gust: 0.3,
    },
    Plant {
        name: "slow bed, 130 W",
        power: 130.0,
        capacity: 2_000.0,
        conductance: 1.1,
        along: 40.0,
        surface: 0.02,
        sensor: 8.0,
        target: 75.0,
        pid: Some([0.2, 0.0005, 3.0]),
        gust: 0.2,
    },
    Plant {
        name: "bed with a switch",
        power: 180.0,
        capacity: 900.0,
        conductance: 1.2,
        along: 50.0,
        surface: 0.04,
        sensor: 4.0,
        target: 65.0,
        pid: None,
        gust: 0.3,
    },
    Plant {
        name: "dryer, 90 W",
        power: 90.0,
        capacity: 600.0,
        conductance: 0.9,
        along: 12.0,
        surface: 0.02,
        sensor: 10.0,
        target: 70.0,
        pid: Some([0.08, 0.0003, 2.0]),
        gust: 0.3,
    },
];

/// What is wrong, from a time on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    None,
    /// The output switch conducts for good; the controller tells its own duty.
    SwitchOn,
    /// The controller gives full power whatever it reads.
    FullPower,
    /// The controller gives a share of what it gave to hold, times this.
    StuckDuty(f64),
    /// The heater gives this share of its power.
    Weak(f64),
    /// The sensor leaves its part, with a time constant in s.
    Slips(f64),
    /// The sensor reads this, °C.
    Reads(f64),
    /// The sensor reads nothing.
    Nothing,
    /// The last reading again and again.
    Frozen,
}

/// How a log is written.
#[derive(Clone, Copy, Debug)]
pub struct Writing {
    pub period: f64,
    pub digits: usize,
    pub percent: bool,
    pub duty: bool,
    pub target: bool,
}

pub struct Made {
    pub text: String,
    pub writing: Writing,
}

fn normal(random: &mut Pcg64) -> f64 {
    StandardNormal.sample(random)
}

/// A log of ten minutes and more, with a fault from `at` seconds on.
pub fn log(plant: &Plant, seed: u64, fault: Fault, at: f64) -> Made {
    log_written(plant, seed, fault, at, None)
}

pub fn log_written(plant: &Plant, seed: u64, fault: Fault, at: f64, written: Option<Writing>) -> Made {
    const STEP: f64 = 0.1;
    let mut random = Pcg64::seed_from_u64(seed);
    let mut uniform = |low: f64, high: f64| low + (high - low) * random.random::<f64>();
    let room = uniform(17.0, 27.0);
    let spread = |value: f64, share: f64, random: &mut dyn FnMut(f64, f64) -> f64| {
        value * random(1.0 - share, 1.0 + share)
    };
    let power = spread(plant.power, 0.1, &mut uniform);
    let capacity = spread(plant.capacity, 0.15, &mut uniform);
    let conductance = spread(plant.conductance, 0.15, &mut uniform);
    let chosen = |all: &[f64], random: &mut dyn FnMut(f64, f64) -> f64| {
        all[(random(0.0, all.len() as f64) as usize).min(all.len() - 1)]
    };
    let writing = written.unwrap_or(Writing {
        period: chosen(&[0.25, 0.5, 1.0, 1.0, 2.0, 5.0], &mut uniform),
        digits: chosen(&[0.0, 1.0, 2.0, 2.0], &mut uniform) as usize,
        percent: uniform(0.0, 1.0) < 0.5,
        duty: uniform(0.0, 1.0) < 0.85,
        target: uniform(0.0, 1.0) < 0.95,
    });
    let bits = chosen(&[10.0, 12.0, 12.0], &mut uniform);
    let oversampled = chosen(&[1.0, 4.0, 16.0], &mut uniform);
    let noise_counts = uniform(0.3, 1.2);
    let cold = uniform(5.0, 60.0);
    let heat = 8.0 * capacity * (plant.target - room) / power / 4.0 + 60.0;
    let hold = uniform(400.0, 900.0) + if fault == Fault::None { 0.0 } else { heat };
    let second = plant.target + chosen(&[0.0, 0.0, 15.0, -25.0], &mut uniform);
    let off = if uniform(0.0, 1.0) < 0.4 {
        uniform(60.0, 400.0)
    } else {
        0.0
    };
    // A fault that is not there from the start comes when the target was held for some minutes.
    let at = if at > 0.0 { cold + heat + 150.0 } else { at };
    let (met, changed) = (cold + heat, cold + heat + hold);
    let end = changed + if second == plant.target { 0.0 } else { 400.0 } + off;
    let gusts: Vec<(f64, f64, f64)> = (0..3)
        .map(|_| {
            (
                uniform(met * 0.5, end),
                uniform(8.0, 120.0),
                uniform(0.2, 1.0) * plant.gust,
            )
        })
        .collect();
    let (spike, gap) = (uniform(0.0, 0.002), uniform(0.0, 0.002));
    let mut heat_in = vec![room; 8];
    let (mut sensor, mut duty, mut integral, mut smooth) = (room, 0.0_f64, 0.0_f64, room);
    let (mut frozen, mut stuck) = (f64::NAN, f64::NAN);
    let mut text = String::from("time (s),temperature (°C)");
    if writing.target {
        text += ",target (°C)";
    }
    if writing.duty {
        text += if writing.percent { ",duty (%)" } else { ",duty" };
    }
    text.push('\n');
    let mut next = 0.0;
    let mut random = Pcg64::seed_from_u64(seed ^ 0x5eed);
    let mut before = f64::NAN;
    for count in 0..(end / STEP) as usize {
        let time = count as f64 * STEP;
        let target = if time < cold || time > end - off {
            0.0
        } else if time < changed {
            plant.target
        } else {
            second
        };
        let broken = fault != Fault::None && time >= at;
        // What the input reads: counts of a divider of 4.7 kΩ and a thermistor of 100 kΩ and B = 4000 K, with the noise of the converter.
        let full = f64::from(2.0_f64.powf(bits) as u32);
        let mut sum = 0.0;
        for _ in 0..oversampled as u32 {
            let resistance = 100e3 * (4000.0 * (1.0 / (sensor + 273.15) - 1.0 / 298.15)).exp();
            let counts = full * resistance / (resistance + 4_700.0) + noise_counts * normal(&mut random);
            sum += counts.round().clamp(1.0, full - 1.0);
        }
        let share = sum / oversampled / full;
        let resistance = 4_700.0 * share / (1.0 - share);
        let mut reading = 1.0 / (1.0 / 298.15 + (resistance / 100e3).ln() / 4000.0) - 273.15;
        if broken {
            match fault {
                Fault::Reads(value) => reading = value + 0.05 * normal(&mut random),
                Fault::Nothing => reading = f64::NAN,
                Fault::Frozen => {
                    frozen = if frozen.is_nan() { before } else { frozen };
                    reading = frozen;
                }
                _ => {}
            }
        }
        before = reading;
        // The controller.
        let value = if reading.is_nan() { 0.0 } else { reading };
        let rate = (value - smooth) / 1.0;
        smooth += (value - smooth) * STEP / 1.0;
        duty = if target <= 0.0 {
            integral = 0.0;
            0.0
        } else if let Some([gain, integrated, derived]) = plant.pid {
            let error = target - value;
            let wanted = gain * error + integral - derived * rate;
            if (0.0..1.0).contains(&wanted) || (wanted < 0.0) == (error > 0.0) {
                integral = (integral + integrated * error * STEP).clamp(0.0, 1.0);
            }
            wanted.clamp(0.0, 1.0)
        } else if value > target + 0.5 {
            0.0
        } else if value < target - 0.5 {
            1.0
        } else {
            duty
        };
        if broken {
            match fault {
                Fault::FullPower => duty = 1.0,
                Fault::StuckDuty(times) => {
                    stuck = if stuck.is_nan() {
                        (times * duty).min(1.0)
                    } else {
                        stuck
                    };
                    duty = stuck;
                }
                _ => {}
            }
        }
        let given = match fault {
            Fault::SwitchOn if broken => 1.0,
            Fault::Weak(share) if broken => share * duty,
            _ => duty,
        };
        // The part: heated at one end, measured near the other.
        let gust: f64 = gusts
            .iter()
            .filter(|(from, long, _)| (*from..from + long).contains(&time))
            .map(|own| own.2)
            .sum();
        // A heater that is strong enough for its machine: a gust takes what it can give.
        let rise = plant.target + 20.0 - room;
        let black = 5.67e-8 * plant.surface * ((rise + room + 273.15).powi(4) - (room + 273.15).powi(4));
        let gust = gust
            .min((0.9 * power - black) / (conductance * rise) - 1.0)
            .max(0.0);
        let own = heat_in.clone();
        for (place, temperature) in heat_in.iter_mut().enumerate() {
            let left = if place > 0 { own[place - 1] } else { own[place] };
            let right = *own.get(place + 1).unwrap_or(&own[place]);
            let radiated =
                5.67e-8 * plant.surface / 8.0 * ((own[place] + 273.15).powi(4) - (room + 273.15).powi(4));
            let heat = if place < 3 { power * given / 3.0 } else { 0.0 };
            let flow = heat + plant.along * (left + right - 2.0 * own[place])
                - conductance * (1.0 + gust) / 8.0 * (own[place] - room)
                - radiated;
            *temperature += flow * STEP / (capacity / 8.0);
        }
        let held = match fault {
            Fault::Slips(lag) if broken => (room + 0.15 * (heat_in[5] - room), lag),
            _ => (heat_in[5], plant.sensor),
        };
        sensor += (held.0 - sensor) * STEP / held.1;
        if time >= next {
            next += writing.period;
            let digits = writing.digits;
            let shown = if random.random::<f64>() < spike {
                reading + 60.0
            } else {
                reading
            };
            let blank = random.random::<f64>() < gap;
            if blank || shown.is_nan() {
                let _ = write!(text, "{time:.2},nan");
            } else {
                let _ = write!(text, "{time:.2},{shown:.digits$}");
            }
            if writing.target {
                let _ = write!(text, ",{target:.0}");
            }
            if writing.duty {
                let _ = if writing.percent {
                    write!(text, ",{:.0}", duty * 100.0)
                } else {
                    write!(text, ",{duty:.3}")
                };
            }
            text.push('\n');
        }
    }
    Made { text, writing }
}

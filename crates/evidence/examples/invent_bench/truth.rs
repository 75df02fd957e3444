//! The truth behind each invented measurement, and the text of its file.

use std::fmt::Write as _;

use rand::SeedableRng;
use rand_distr::{Bernoulli, Distribution, Normal};
use rand_pcg::Pcg64;

/// Rise of the bed to the right and to the back, millimetres per metre.
pub const RISE: [f64; 2] = [1.8, -0.9];
/// Noise of a touch of the bed, millimetres.
pub const TOUCH: f64 = 0.006;
/// Scatter of the probe within a homing, between homings, between days; millimetres.
pub const PROBE: [f64; 3] = [0.003, 0.005, 0.004];
/// Thresholds of X at which half of the homings are false triggers, and at which half are missed; the scale of both edges.
pub const STALL: [f64; 3] = [36.0, 112.0, 3.0];
/// Fed over commanded filament, and what each reading is off by, millimetres.
pub const FEED: [f64; 2] = [0.972, -0.6];
/// Travel of X and Y over commanded, and shrinkage of the material.
pub const TRAVEL: [f64; 3] = [1.0, 1.0, 0.003];
/// The compensation that fits, seconds.
pub const COMPENSATION: f64 = 0.038;
/// Measured over set width of walls.
pub const WALLS: f64 = 1.045;
/// Resistance of supply, wires and contacts, ohm; voltage without load.
pub const SUPPLY: [f64; 2] = [0.035, 24.15];
/// Where the motor of Y is bound for in air of 23 °C, and its time constant in seconds.
pub const MOTOR: [f64; 2] = [61.0, 1500.0];

struct Noise(Pcg64);

impl Noise {
    fn normal(&mut self, deviation: f64) -> f64 {
        // A deviation above zero is always a distribution.
        Normal::new(0.0, deviation).map_or(0.0, |d| d.sample(&mut self.0))
    }
    fn happens(&mut self, log_odds: f64) -> bool {
        let chance = 1.0 / (1.0 + (-log_odds).exp());
        Bernoulli::new(chance).is_ok_and(|d| d.sample(&mut self.0))
    }
}

/// Name and text of every file; the same seeds give the same bytes.
pub fn files() -> Vec<(&'static str, String)> {
    let noise = |seed: u64| Noise(Pcg64::seed_from_u64(seed));
    vec![
        ("height-map.csv", height_map(&mut noise(101))),
        ("probe.csv", probe(&mut noise(102))),
        ("stall-x.csv", stall(&mut noise(103))),
        ("extruder.csv", extruder(&mut noise(104))),
        ("axes.csv", axes(&mut noise(105))),
        ("pressure.csv", pressure(&mut noise(106))),
        ("flow.csv", flow(&mut noise(107))),
        ("filament.csv", filament(&mut noise(108))),
        ("lights.csv", lights()),
        ("supply.csv", supply(&mut noise(209))),
        ("motor-y.csv", motor(&mut noise(110))),
    ]
}

fn begun(about: &str, head: &str) -> String {
    format!("# Invented for this example, nothing was measured: {about}\n{head}\n")
}

fn height_map(noise: &mut Noise) -> String {
    let mut out = begun(
        "Bed of the Dunnock at 60 °C, three visits of 7 by 7 places",
        "visit,x (mm),y (mm),height (mm)",
    );
    for visit in 1..=3 {
        let shift = noise.normal(0.01);
        for row in 0..7 {
            for column in 0..7 {
                let (x, y) = (
                    15.0 + f64::from(column) * 100.0 / 3.0,
                    15.0 + f64::from(row) * 100.0 / 3.0,
                );
                let (u, v) = ((x - 115.0) / 100.0, (y - 115.0) / 100.0);
                // Without tilt of their own: shapes that are even in both directions, and a twist.
                let warp = 0.07 * (u * u + v * v - 2.0 / 3.0) - 0.04 * u * v;
                let tilt = (RISE[0] * (x - 115.0) + RISE[1] * (y - 115.0)) * 1e-3;
                let height = 0.12 + tilt + warp + shift + noise.normal(TOUCH);
                let _ = writeln!(out, "{visit},{x:.2},{y:.2},{height:.4}");
            }
        }
    }
    out
}

fn probe(noise: &mut Noise) -> String {
    let mut out = begun("Bed probe over the middle of the bed", "day,homing,position (mm)");
    for day in 1..=6 {
        let of_day = noise.normal(PROBE[2]);
        for homing in 1..=5 {
            let of_homing = noise.normal(PROBE[1]);
            for _ in 0..4 {
                let position = 1.32 + of_day + of_homing + noise.normal(PROBE[0]);
                let _ = writeln!(out, "{day},{homing},{position:.4}");
            }
        }
    }
    out
}

fn stall(noise: &mut Noise) -> String {
    let mut out = begun(
        "Homing of X by load at 40 mm/s",
        "threshold,outcome,speed (mm/s),current (mA)",
    );
    let [touchy, numb, scale] = STALL;
    for threshold in (10..=140).step_by(5) {
        let at = f64::from(threshold);
        for _ in 0..12 {
            let outcome = if noise.happens((touchy - at) / scale) {
                "false trigger"
            } else if noise.happens((at - numb) / scale) {
                "missed"
            } else {
                "clean"
            };
            let _ = writeln!(out, "{threshold},{outcome},40,800");
        }
    }
    out
}

fn extruder(noise: &mut Noise) -> String {
    let mut out = begun("Filament fed by the new board", "commanded (mm);measured (mm)");
    for length in [50.0, 100.0, 150.0, 200.0] {
        for _ in 0..3 {
            let measured = FEED[1] + FEED[0] * length + noise.normal(0.25);
            // A decimal comma, as many a spreadsheet writes it.
            let _ = writeln!(out, "{length:.1};{measured:.2}");
        }
    }
    let (head, rows) = out.split_at(out.rfind("(mm)\n").map_or(0, |at| at + 5));
    format!("{head}{}", rows.replace('.', ","))
}

fn axes(noise: &mut Noise) -> String {
    let mut out = begun(
        "Printed frame, measured cold",
        "axis,nominal (mm),measured (mm),side",
    );
    for (axis, travel) in [("X", TRAVEL[0]), ("Y", TRAVEL[1])] {
        for (nominal, side) in [
            (20.0, "outside"),
            (60.0, "outside"),
            (100.0, "outside"),
            (150.0, "outside"),
            (30.0, "inside"),
            (80.0, "inside"),
            (120.0, "inside"),
            (90.0, "pitch"),
        ] {
            let walls = match side {
                "outside" => 0.04,
                "inside" => -0.04,
                _ => 0.0,
            };
            let measured = nominal * travel * (1.0 - TRAVEL[2]) + walls + noise.normal(0.012);
            let _ = writeln!(out, "{axis},{nominal:.0},{measured:.3},{side}");
        }
    }
    out
}

fn pressure(noise: &mut Noise) -> String {
    let mut out = begun(
        "Lines of a test pattern at their change of speed",
        "compensation (s),bulge (mm)",
    );
    for step in 0..12 {
        let compensation = 0.007 * f64::from(step);
        for _ in 0..2 {
            let bulge = 1.4 * (COMPENSATION - compensation) + noise.normal(0.008);
            let _ = writeln!(out, "{compensation:.3},{bulge:.3}");
        }
    }
    out
}

fn flow(noise: &mut Noise) -> String {
    let mut out = begun("Single walls of a box", "set (mm),measured (mm)");
    for _ in 0..12 {
        let _ = writeln!(out, "0.45,{:.3}", 0.45 * WALLS + noise.normal(0.008));
    }
    out
}

fn filament(noise: &mut Noise) -> String {
    let mut out = begun(
        "Filament switch, pulled out and put in again",
        "filament,reported,run on (mm)",
    );
    for _ in 0..75 {
        let _ = writeln!(out, "yes,yes,");
        let _ = writeln!(out, "no,no,{:.1}", 6.0 + noise.normal(0.8));
    }
    out
}

fn lights() -> String {
    let mut out = begun(
        "Light strip on the new board; the joint before light 9 is broken",
        "light,told,shown",
    );
    for light in 1..=20 {
        for told in ["red", "green", "blue", "white"] {
            let shown = if light >= 9 { "off" } else { told };
            let _ = writeln!(out, "{light},{told},{shown}");
        }
    }
    out
}

fn supply(noise: &mut Noise) -> String {
    let mut out = begun(
        "Supply at the input of the new board while all heats up",
        "time (s),voltage (V),current (A)",
    );
    for second in 0..120 {
        let load = if (15..90).contains(&second) { 13.0 } else { 1.2 };
        let current: f64 = load + noise.normal(0.15);
        let voltage = SUPPLY[1] - SUPPLY[0] * current + noise.normal(0.012);
        let _ = writeln!(out, "{second},{voltage:.3},{current:.2}");
    }
    out
}

fn motor(noise: &mut Noise) -> String {
    let mut out = begun(
        "Case of the motor of Y while it moves to and fro",
        "time (min),temperature (°C)",
    );
    for minute in 0..=60 {
        let t = 60.0 * f64::from(minute);
        let temperature = MOTOR[0] - (MOTOR[0] - 23.0) * (-t / MOTOR[1]).exp() + noise.normal(0.25);
        let _ = writeln!(out, "{minute},{temperature:.1}");
    }
    out
}

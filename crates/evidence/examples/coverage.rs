//! How often the intervals of a process hold what is true, scene by scene: `cargo run --release -p evidence --example coverage -- [SEEDS] [WORDS OF A SCENE] [FIRST SEED]`.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "prints its table")]

use evidence::read::WhatIsKnown;
use evidence::read::log::read;
use evidence::temperature::{Ask, Process, identify};
use quantity::si::{celsius, kelvin, second};
use quantity::{Number, Value};

#[path = "../tests/world.rs"]
mod world;

/// Held, and the mean half width as a share of the truth.
#[derive(Default, Clone)]
struct Row {
    held: u32,
    width: f64,
    told: u32,
}

impl Row {
    fn take<Q: Number + PartialOrd>(&mut self, found: Option<Value<Q>>, truth: f64) {
        let Some(found) = found else { return };
        let [low, high] = [found.low(), found.high()].map(|own| own.base());
        self.held += u32::from(low <= truth && truth <= high);
        self.told += 1;
        self.width += (high - low) / 2.0 / truth;
    }
}

fn main() {
    let mut words = std::env::args().skip(1);
    let seeds: u64 = words.next().and_then(|word| word.parse().ok()).unwrap_or(200);
    let wanted = words.next().unwrap_or_default();
    let first: u64 = words.next().and_then(|word| word.parse().ok()).unwrap_or(0);
    println!("| logs | quantity | held, % | half width, % |\n| --- | --- | --- | --- |");
    for scene in world::SCENES.iter().filter(|scene| scene.name.contains(&wanted)) {
        let known = scene.known();
        let names = [
            "rise at full power",
            "larger time constant",
            "smaller time constant",
            "dead time",
            "critical gain",
            "rise after 10 s",
            "rise after 30 s",
            "rise after 100 s",
        ];
        let mut rows = vec![Row::default(); names.len()];
        let mut refused = 0;
        let start = std::time::Instant::now();
        for seed in first..first + seeds {
            let text = scene.text(seed);
            let log = read(text.as_bytes(), WhatIsKnown::default()).unwrap();
            let ask = Ask {
                name: String::new(),
                ambient: celsius(22.0),
                within: kelvin(1.0),
                pulses: None,
            };
            let Ok(process) = identify(&log, &log.channels[0], &ask) else {
                refused += 1;
                continue;
            };
            take(&process, &known, &mut rows);
        }
        for (name, row) in names.iter().zip(&rows) {
            // A rod has no time constants.
            if row.told == 0 {
                continue;
            }
            println!(
                "| {} | {name} | {:.1} | {:.2} |",
                scene.name,
                f64::from(row.held) / seeds as f64 * 100.0,
                row.width / f64::from(row.told) * 100.0
            );
        }
        eprintln!(
            "{}: {refused} refused, {:.0} ms a log",
            scene.name,
            start.elapsed().as_secs_f64() * 1e3 / seeds as f64
        );
    }
}

fn take(process: &Process, known: &world::Known, rows: &mut [Row]) {
    rows[0].take(Some(process.gain), known.gain);
    if let Some([lag, second_lag, delay]) = known.times {
        rows[1].take(Some(process.lag), lag);
        rows[2].take(process.second_lag, second_lag);
        rows[3].take(Some(process.delay), delay);
    }
    rows[4].take(process.critical_gain(), known.critical_gain);
    for ((row, after), rise) in rows[5..].iter_mut().zip(world::AFTER).zip(known.rises) {
        row.take(Some(process.rise_after(second(after))), rise);
    }
}

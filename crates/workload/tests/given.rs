//! An invented machine and the shared words, for tests and benches.

#![allow(dead_code, reason = "tests and benches use different parts")]

use core::num::NonZeroUsize;
use std::io::Read;

use physics::heat::{Body, HeatedPart, Heater as Track, TwoBodies};
use physics::motion::Kinematics;
use quantity::si::{
    HeatCapacity, StepDensity, ThermalConductance, celsius, cubic_millimetre_per_second, hertz,
    joule_per_kilogram_kelvin, kelvin, kilogram_per_cubic_metre, millimetre, millimetre_per_second,
    millimetre_per_second_squared, ohm, ratio, second, step_per_millimetre, volt, watt,
};
use quantity::{Number as _, Range};
use workload::{
    Assumed, Axis, Batch, Board, Corner, Course, Fan, Filament, Heat, Heater, Interpreter, Letter, Link,
    Machine, Meaning, Melt, Model, Motor, Rapid, Sets, Setup, Vocabulary, Work, Zone,
};

/// The shared words, those of programs, and those of an invented controller; all of them known.
pub fn words() -> Vocabulary {
    let mut words = Vocabulary::default();
    for text in [
        include_str!("../../../data/gcode-words.toml"),
        include_str!("../../../data/program-words.toml"),
        include_str!("data/own-words.toml"),
    ] {
        let table: toml::Table = text.parse().unwrap();
        for row in table["word"].as_array().unwrap() {
            take(row, &mut words);
        }
    }
    words
}

fn take(row: &toml::Value, words: &mut Vocabulary) {
    let text = |key: &str| row.get(key).and_then(|value| value.as_str());
    let Some(word) = text("word") else { return };
    words.know(word);
    if let Some(action) = text("action") {
        words.insert(word, Meaning::of_action(action));
        return;
    }
    let one = match text("unit") {
        Some("mm" | "mm/s" | "mm/s²") => Some(1e-3),
        Some("mm/min") => Some(1e-3 / 60.0),
        Some("%") => Some(1e-2),
        _ => None,
    };
    for letter in row["letters"].as_array().unwrap() {
        let letter = letter.as_str().unwrap();
        match Sets::named(text("setting").unwrap(), letter) {
            Some(sets) => {
                let letter = letter.as_bytes()[0];
                let beside = None;
                words.insert_letter(
                    word,
                    Letter {
                        letter,
                        beside,
                        sets,
                        one,
                    },
                );
            }
            None => {
                words.insert(word, Meaning::Nothing);
            }
        }
    }
}

/// Words in the sense of NISTIR 6556.
pub fn words_of_the_report() -> Vocabulary {
    let mut words = words();
    words.insert("G0", Meaning::Rapid);
    for (word, meaning) in [
        ("G92.1", Meaning::ClearOffsets),
        ("G92.2", Meaning::SuspendOffsets),
        ("G92.3", Meaning::RestoreOffsets),
    ] {
        words.insert(word, meaning);
        words.know(word);
    }
    words
}

fn axis(name: &str, speed: f64, acceleration: f64, change: f64, travel: f64) -> Axis {
    Axis {
        name: name.to_owned(),
        top_speed: millimetre_per_second(speed),
        acceleration: millimetre_per_second_squared(acceleration),
        sudden_change: millimetre_per_second(change),
        travel: Some(millimetre(travel)),
        homing_speed: Some(millimetre_per_second(speed / 4.0)),
        home: millimetre(0.0),
    }
}

fn part(watts: f64, capacity: f64, loss: f64) -> HeatedPart {
    let body = |capacity, loss| Body {
        capacity: HeatCapacity::from_base(capacity),
        loss: ThermalConductance::from_base(loss),
    };
    HeatedPart {
        bodies: TwoBodies {
            heated: body(capacity, loss),
            other: body(1.0, 0.0),
            coupling: ThermalConductance::from_base(0.0),
        },
        heater: Track::Resistor(ohm(24.0 * 24.0 / watts)),
        voltage: volt(24.0),
        air: celsius(20.0),
    }
}

/// Steps per length of x, y, z and filament.
pub const STEPS: [f64; 4] = [80.0, 80.0, 400.0, 420.0];

pub fn board(name: &str, rate: f64) -> Board {
    Board {
        name: name.to_owned(),
        step_rate: hertz(rate),
        share: ratio(0.8),
        steps: STEPS.map(step_per_millimetre).to_vec(),
    }
}

pub fn link(name: &str, bytes: f64, moves: usize) -> Link {
    Link {
        name: name.to_owned(),
        bytes: hertz(bytes),
        answer: 3,
        turn_round: second(0.0),
        comments: false,
        moves_ahead: NonZeroUsize::new(moves).unwrap(),
    }
}

/// An invented machine with two boards.
pub fn setup() -> Setup {
    let heater = |name: &str, zone, part| Heater {
        name: name.to_owned(),
        zone,
        part: Some(part),
        surplus: ratio(1.0),
    };
    Setup {
        machine: Machine {
            kinematics: Kinematics::Cartesian,
            axes: [
                axis("X", 180.0, 1500.0, 8.0, 230.0),
                axis("Y", 150.0, 1000.0, 8.0, 230.0),
                axis("Z", 10.0, 100.0, 0.4, 240.0),
            ],
            filament: Filament {
                top_speed: millimetre_per_second(45.0),
                acceleration: millimetre_per_second_squared(3000.0),
                sudden_change: millimetre_per_second(5.0),
                diameter: millimetre(1.75),
            },
            reach: None,
            corner: Corner::SuddenChange,
            printing: millimetre_per_second_squared(1000.0),
            travelling: millimetre_per_second_squared(1200.0),
            retracting: millimetre_per_second_squared(2000.0),
            look_ahead: None,
            rapid: Rapid::AsFeed,
            chord: millimetre(1.0),
            radius_error: millimetre(0.05),
            piece: millimetre(1.0),
        },
        motors: ["X", "Y", "Z", "E"]
            .into_iter()
            .zip(STEPS)
            .map(|(name, steps)| Motor {
                name: name.to_owned(),
                steps: StepDensity::from_base(steps * 1e3),
            })
            .collect(),
        boards: vec![board("slow", 38e3), board("fast", 320e3)],
        heat: Heat {
            heaters: vec![
                heater("hot end", Zone::HotEnd(0), part(48.0, 13.0, 0.14)),
                heater("bed", Zone::Bed, part(225.0, 450.0, 1.0)),
            ],
            fans: vec![Fan {
                name: "part fan".to_owned(),
                power: watt(3.0),
            }],
            supply: Some(watt(250.0)),
            melt: Melt {
                density: kilogram_per_cubic_metre(1250.0),
                heat: joule_per_kilogram_kelvin(2000.0),
                room: celsius(20.0),
                limit: None,
            },
            within: kelvin(1.0),
            longest_wait: second(3600.0),
        },
        links: vec![link("serial, 115 200 bit/s", 11_520.0, 16)],
    }
}

/// Works out a program by a setup.
pub fn run_with(setup: &Setup, words: &Vocabulary, mut source: impl Read) -> (Work, Course) {
    let mut interpreter = Interpreter::new(setup, words);
    let mut model = Model::new(setup);
    let mut batch = Batch::default();
    while interpreter.read(&mut source, &mut batch).unwrap() > 0 {
        model.take(&batch);
        batch.clear();
    }
    interpreter.finish(&mut batch);
    model.take(&batch);
    model.finish("program", &interpreter)
}

/// Works out a program on the invented machine.
pub fn run(text: &str) -> Work {
    run_with(&setup(), &words(), text.as_bytes()).0
}

/// The flow that a plain hot end melts.
pub fn assumed() -> Assumed {
    Assumed {
        melt: Range::new(
            cubic_millimetre_per_second(8.0),
            cubic_millimetre_per_second(15.0),
        ),
    }
}

//! Any bytes as a program or an archive of programs: pieces do not matter, times are numbers, every line is accounted for.
#![no_main]

use std::io::{Cursor, Read};

use libfuzzer_sys::fuzz_target;
use physics::motion::Kinematics;
use quantity::si::{
    celsius, hertz, joule_per_kilogram_kelvin, kelvin, kilogram_per_cubic_metre, millimetre, millimetre_per_second,
    millimetre_per_second_squared, ratio, second, step_per_millimetre,
};
use settings::{Dialect, Meaning as Row};
use workload::archive::programs;
use workload::{
    Axis, Batch, Board, Corner, Filament, Heat, Interpreter, Letter, Machine, Meaning, Melt, Model, Motor, Rapid, Sets, Setup,
    Vocabulary, Work,
};

fn words() -> Vocabulary {
    let mut words = Vocabulary::default();
    for row in Dialect::of_programs().rows().iter().chain(Dialect::common().rows()) {
        match &row.meaning {
            Row::Action { word, does, .. } => {
                words.insert(word, Meaning::of_action(does));
            }
            Row::Setting(setting) => {
                for letter in &setting.letters {
                    if let Some(sets) = Sets::named(setting.topic.id(), &letter.to_string()) {
                        let one = setting.value(1.0).map(|one| one.nominal);
                        let letter = Letter { letter: *letter as u8, beside: None, sets, one };
                        words.insert_letter(&setting.word, letter);
                    }
                }
            }
            Row::Report { .. } => {}
        }
    }
    // What only words of one controller do, under names that no table has.
    for (at, does) in Meaning::actions().enumerate() {
        words.insert(&format!("M6{at:03}"), Meaning::of_action(does));
    }
    words
}

/// A machine; the first byte chooses its kinematics and its rule of corners.
fn setup(choice: u8) -> Setup {
    let axis = |name: &str| Axis {
        name: name.into(),
        top_speed: millimetre_per_second(200.0),
        acceleration: millimetre_per_second_squared(1500.0),
        sudden_change: millimetre_per_second(8.0),
        travel: Some(millimetre(230.0)),
        homing_speed: Some(millimetre_per_second(40.0)),
        home: millimetre(0.0),
    };
    let kinematics = match choice % 3 {
        0 => Kinematics::Cartesian,
        1 => Kinematics::CrossedBelts,
        _ => Kinematics::Delta { arm: millimetre(250.0), radius: millimetre(120.0) },
    };
    let corner = if choice & 8 == 0 { Corner::SuddenChange } else { Corner::Deviation(millimetre(0.05)) };
    Setup {
        machine: Machine {
            kinematics,
            axes: ["X", "Y", "Z"].map(axis),
            filament: Filament {
                top_speed: millimetre_per_second(50.0),
                acceleration: millimetre_per_second_squared(3000.0),
                sudden_change: millimetre_per_second(5.0),
                diameter: millimetre(1.75),
            },
            reach: None,
            corner,
            printing: millimetre_per_second_squared(1000.0),
            travelling: millimetre_per_second_squared(1200.0),
            retracting: millimetre_per_second_squared(2000.0),
            look_ahead: core::num::NonZeroUsize::new(usize::from(choice >> 4)),
            rapid: if choice & 4 == 0 { Rapid::AsFeed } else { Rapid::Fastest },
            // Coarse, so that far moves are fast to try.
            chord: millimetre(50.0),
            radius_error: millimetre(0.05),
            piece: millimetre(50.0),
        },
        motors: vec![Motor { name: "m".into(), steps: step_per_millimetre(80.0) }; 4],
        boards: vec![Board {
            name: "b".into(),
            step_rate: hertz(1e5),
            share: ratio(0.8),
            steps: vec![step_per_millimetre(80.0); 4],
        }],
        heat: Heat {
            heaters: Vec::new(),
            fans: Vec::new(),
            supply: None,
            melt: Melt {
                density: kilogram_per_cubic_metre(1250.0),
                heat: joule_per_kilogram_kelvin(2000.0),
                room: celsius(20.0),
                limit: None,
            },
            within: kelvin(1.0),
            longest_wait: second(600.0),
        },
        links: Vec::new(),
    }
}

/// Gives a few bytes at a time.
struct Slowly<'a>(&'a [u8]);

impl Read for Slowly<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let size = buffer.len().min(7);
        self.0.read(&mut buffer[..size])
    }
}

fn run(setup: &Setup, words: &Vocabulary, source: &mut impl Read) -> Work {
    let mut interpreter = Interpreter::new(setup, words);
    let (mut model, mut batch) = (Model::new(setup), Batch::default());
    while interpreter.read(source, &mut batch).is_ok_and(|count| count > 0) {
        model.take(&batch);
        batch.clear();
    }
    interpreter.finish(&mut batch);
    model.take(&batch);
    model.finish("fuzz", &interpreter).0
}

fuzz_target!(|bytes: &[u8]| {
    let Some((choice, text)) = bytes.split_first() else { return };
    let (setup, words) = (setup(*choice), words());
    let whole = run(&setup, &words, &mut &text[..]);
    let lines = text.split(|byte| *byte == b'\n').count() - usize::from(text.is_empty() || text.ends_with(b"\n"));
    assert_eq!(whole.lines, lines as u64);
    assert!(whole.times.whole() >= second(0.0) && whole.times.whole() < second(f64::MAX));
    for motor in &whole.motors {
        assert!(motor.peak.value >= hertz(0.0) && motor.peak.value < hertz(f64::MAX));
    }
    let slowly = run(&setup, &words, &mut Slowly(text));
    assert_eq!((slowly.lines, slowly.pieces, slowly.broken), (whole.lines, whole.pieces, whole.broken));
    // The same bytes as whatever they begin like.
    let _ = programs(Cursor::new(text), &mut |_, source| {
        run(&setup, &words, &mut { source });
        Ok(())
    });
});

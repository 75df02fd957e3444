//! Words of the shared table: each meaning has its word, and the words that a controller was not seen to know are told.

use workload::{Meaning, Vocabulary};

use crate::given::{run, run_with, setup, words};

/// Every text by which a meaning is found stands in the table, so that neither can change alone.
#[test]
fn the_table_says_what_the_crate_looks_for() {
    let table: toml::Table = include_str!("../../../data/gcode-words.toml").parse().unwrap();
    let rows = table["word"].as_array().unwrap();
    let has = |key: &str, text: &str| {
        rows.iter()
            .any(|row| row.get(key).is_some_and(|own| own.as_str() == Some(text)))
    };
    for action in Meaning::actions() {
        assert!(has("action", action), "{action}");
    }
    for setting in Meaning::settings() {
        assert!(has("setting", setting), "{setting}");
    }
}

#[test]
fn words_that_are_not_known_are_told_with_their_lines() {
    let work = run("G28\nG5 X1\nPRINT_BEGIN A=1\nM117 Go on\nM600\nG1 X1 F600\nG5 X2\nT3\n");
    let told: Vec<(&str, u64, u64)> = work
        .unknown_words
        .iter()
        .map(|word| (word.what.as_str(), word.count, word.places[0].line))
        .collect();
    assert_eq!(
        told,
        [("G5", 2, 2), ("PRINT_BEGIN", 1, 3), ("M600", 1, 5), ("T3", 1, 8)]
    );
}

/// A word may be understood here and not be known to the controller.
#[test]
fn what_is_understood_need_not_be_known() {
    let mut words = Vocabulary::default();
    words.insert("G1", Meaning::Move);
    let (work, _) = run_with(&setup(), &words, &b"G1 X10 F600\nG1 X0\n"[..]);
    assert_eq!(work.moves, 2);
    assert_eq!(work.unknown_words[0].count, 2);
}

#[test]
fn only_g_and_m_words_are_taken_up() {
    let mut words = words();
    assert!(!words.insert("X1", Meaning::Move));
    assert!(!words.insert("", Meaning::Move));
    assert!(!words.insert("G99999", Meaning::Move));
    assert!(words.insert("G38.2", Meaning::Unmodelled));
}

/// Behind its end a program is not run.
#[test]
fn a_program_ends() {
    let work = run("G1 X10 F600\nM2\nG1 X200\n");
    assert!((work.lengths[1].value - 0.01).abs() < 1e-12);
    assert_eq!(
        work.troubles[0].what,
        "line after the end of the program, not run"
    );
}

/// Drawing back by the firmware: as far and as fast as it was told.
#[test]
fn retraction_by_the_firmware() {
    let work = run("M207 S2 F1800\nG10\nG10\nG1 X10 F600\nG11\n");
    assert!((work.lengths[2].value - 0.004).abs() < 1e-12);
    assert!((work.motors[3].speed.value - 0.03).abs() < 1e-12);
}

/// Filament by volume, and scaled: 1 mm³ of a filament of 2 mm is 1/π mm.
#[test]
fn filament_by_volume() {
    let work = run("M200 D2\nM83\nG1 X10 E1 F60\nM221 S50\nG1 X20 E1\nM200 D0\nG1 X30 E1\n");
    let per_volume = 1.0 / core::f64::consts::PI;
    let area = core::f64::consts::PI / 4.0 * 1.75 * 1.75;
    let expected = area * (per_volume + 0.5 * per_volume + 0.5);
    assert!((work.flow.volume.value * 1e9 - expected).abs() < 1e-9);
}

#[test]
fn speeds_are_scaled() {
    let speed = |text: &str| run(text).motors[0].speed.value * 1e3;
    assert!((speed("M220 S50\nG1 X100 F6000\n") - 50.0).abs() < 1e-9);
    assert!((speed("M203 X20\nG1 X100 F6000\n") - 20.0).abs() < 1e-9);
    assert!((speed("M203 X-20 Y0\nG1 X100 F6000\n") - 100.0).abs() < 1e-9);
}

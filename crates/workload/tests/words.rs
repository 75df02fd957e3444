//! Words of the shared table: each meaning has its word, and the words that a controller was not seen to know are told.

use workload::{Letter, Meaning, Sets, Verdict, Vocabulary, findings};

use crate::given::{assumed, run, run_with, setup, words};

/// The rows of a table of words, each as its word and what it does; nothing for rows that do not act.
fn actions(text: &str) -> Vec<(String, String)> {
    let table: toml::Table = text.parse().unwrap();
    let of = |row: &toml::Value, key: &str| row.get(key).and_then(|value| value.as_str()).map(str::to_owned);
    let rows = table["word"].as_array().unwrap().iter();
    rows.filter_map(|row| of(row, "word").zip(of(row, "action")))
        .collect()
}

/// What a shipped row says is understood, so that neither can change alone.
#[test]
fn every_shipped_action_is_understood() {
    let shared = actions(include_str!("../../../data/gcode-words.toml"));
    let published = actions(include_str!("../../../data/program-words.toml"));
    for (word, does) in shared.iter().chain(&published) {
        assert_ne!(Meaning::of_action(does), Meaning::Unclear, "{word}: {does}");
    }
    assert_eq!(
        Meaning::of_action("draws the filament backwards"),
        Meaning::Unclear
    );
}

/// Whoever writes a row of their own finds each phrase on the page of the handbook.
#[test]
fn the_handbook_lists_every_action() {
    let page = include_str!("../../../docs/handbook/workload.md");
    for action in Meaning::actions() {
        assert!(page.contains(&format!("`{action}`")), "{action}");
    }
}

/// ISO 6983-1 (from memory) and NISTIR 6556, tables 5 and 7: what the shared words of controllers lack of them.
#[test]
fn the_published_words_are_these() {
    let published = actions(include_str!("../../../data/program-words.toml"));
    let words: Vec<&str> = published.iter().map(|(word, _)| word.as_str()).collect();
    assert_eq!(words, ["G17", "G18", "G19", "M0", "M1", "M2", "M30"]);
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
    assert!(!words.insert("G9999999", Meaning::Move));
    assert!(words.insert("G99999", Meaning::Move));
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
    let work = run("M5467 S2 F1800\nM6139\nM6139\nG1 X10 F600\nM9784\n");
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
    assert!((speed("M7722 S50\nG1 X100 F6000\n") - 50.0).abs() < 1e-9);
    assert!((speed("M203 X1200\nG1 X100 F6000\n") - 20.0).abs() < 1e-9);
    assert!((speed("M203 X-1200 Y0\nG1 X100 F6000\n") - 100.0).abs() < 1e-9);
}

/// Acceleration of travel behind a drawn letter, in a word that sets two others as well: only what stands in the line is set.
#[test]
fn letters_are_those_of_the_words_file() {
    let time = |text: &str| run(text).times.motion().value;
    let (plain, slower) = ("G1 X100 F6000\n", "M5012 D300\nG1 X100 F6000\n");
    // 100 mm at 100 mm/s: 1 s and the time of one speeding up, 100 over 1200 and over 300.
    assert!((time(plain) - (1.0 + 100.0 / 1200.0)).abs() < 1e-9);
    assert!((time(slower) - (1.0 + 100.0 / 300.0)).abs() < 1e-9);
    let others = "M5012 U300 B300 T300\nG1 X100 F6000\n";
    assert!((time(others) - time(plain)).abs() < 1e-9);
}

/// A letter that picks the part by another one.
#[test]
fn a_letter_counts_beside_its_pick() {
    let mut words = words();
    for (number, axis) in [(0, 1), (1, 0)] {
        let letter = Letter {
            letter: b'V',
            beside: Some((b'P', number)),
            sets: Sets::Speed(axis),
            one: Some(1e-3),
        };
        assert!(words.insert_letter("M6003", letter));
    }
    let speed = |text: &str| {
        let (work, _) = run_with(&setup(), &words, text.as_bytes());
        work.motors[0].speed.value * 1e3
    };
    for (text, expected) in [("P1 V20", 20.0), ("P0 V20", 100.0), ("V20", 100.0)] {
        let found = speed(&format!("M6003 {text}\nG1 X100 F6000\n"));
        assert!((found - expected).abs() < 1e-9, "{text}: {found}");
    }
}

/// What a words file leaves unsaid is open, with its line: a value without a unit, an action in other words, a retraction without length.
#[test]
fn what_nobody_said_is_open() {
    let mut words = words();
    words.insert("M6001", Meaning::of_action("does something fine"));
    words.know("M6001");
    let letter = Letter {
        letter: b'X',
        beside: None,
        sets: Sets::Speed(0),
        one: None,
    };
    words.insert_letter("M6002", letter);
    words.know("M6002");
    let text = "G28\nM6001 X7\nM6002 X20\nM6139\nG1 X100 F6000\n";
    let (work, _) = run_with(&setup(), &words, text.as_bytes());
    assert!(work.unknown_words.is_empty());
    assert!((work.motors[0].speed.value - 0.1).abs() < 1e-9, "nothing was set");
    let told: Vec<(&str, u64)> = work
        .troubles
        .iter()
        .map(|trouble| (trouble.what.as_str(), trouble.places[0].line))
        .collect();
    assert_eq!(
        told,
        [
            ("value not used: its unit is not known", 3),
            (
                "command not judged: its words file does not say what it does in words of the handbook",
                2
            ),
            ("retraction skipped: its length is not set", 4),
        ]
    );
    let found = findings(&setup(), &work, &assumed());
    let open = |id: &str| {
        let own = found.iter().filter(|finding| finding.id == id);
        own.filter(|finding| finding.verdict == Verdict::Open && finding.remedy.is_some())
            .count()
    };
    assert_eq!((open("unclear-words"), open("skipped")), (2, 1));
}

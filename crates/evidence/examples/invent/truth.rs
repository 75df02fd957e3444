//! The invented logs of the demonstration: the truth behind each, and its file.

use std::fmt::Write as _;

use evidence::temperature::invent::{Invented, Truth, log};
use quantity::si::{celsius, hertz, kelvin, per_kelvin, second};

/// The files, by name.
pub fn files() -> Vec<(&'static str, String)> {
    let about = "hot end of the Dunnock, from cold to 210 °C and held";
    let hot_end = |truth: &Truth, board: &str| log(truth).text(&format!("{about}, on the {board} board"));
    vec![
        ("hot-end-hazel.csv", hot_end(&hot_end_on_the_old_board(), "old")),
        ("hot-end-alder.csv", hot_end(&hot_end_on_the_new_board(), "new")),
        ("bed-alder.txt", terminal(&log(&bed()))),
    ]
}

/// An input of ten bits: coarse steps; and a thermometer lead that lies beside a motor's.
pub fn hot_end_on_the_old_board() -> Truth {
    Truth {
        gain: kelvin(343.0),
        lag: second(93.0),
        second_lag: second(5.5),
        delay: second(2.1),
        noise: kelvin(0.25),
        step: kelvin(0.57),
        pick_up: (kelvin(0.6), hertz(0.37)),
        ..Truth::hot_end(2001)
    }
}

/// An input of twelve bits, and the lead moved.
pub fn hot_end_on_the_new_board() -> Truth {
    Truth {
        gain: kelvin(343.0),
        lag: second(93.0),
        second_lag: second(5.5),
        delay: second(2.1),
        noise: kelvin(0.11),
        step: kelvin(0.142),
        ..Truth::hot_end(2002)
    }
}

/// What full power counts as in the reports of the new controller: as its words, which are drawn, have it.
pub const FULL_DUTY: f64 = 469.0;

/// A terminal tells the duty in steps of one part of that.
pub fn bed() -> Truth {
    Truth {
        gain: kelvin(140.0),
        lag: second(330.0),
        second_lag: second(25.0),
        delay: second(6.0),
        target: celsius(60.0),
        noise: kelvin(0.04),
        step: kelvin(0.04),
        pid: (per_kelvin(0.25), second(120.0), second(10.0)),
        sample: second(1.0),
        durations: [second(10.0), second(1_500.0), second(0.0)],
        ..Truth::hot_end(2003)
    }
}

/// As a terminal saves it, with the time that it puts before each line; the hot end stays cold.
fn terminal(bed: &Invented) -> String {
    let mut out =
        "# Invented for this example: the bed of the Dunnock on the new board, saved from a terminal\n\
                   10:00:00.000 connected\n"
            .to_owned();
    for [time, reading, target, duty] in &bed.rows {
        let (minutes, seconds) = ((time / 60.0).floor(), time % 60.0);
        let (hour, minute) = (10.0 + (minutes / 60.0).floor(), minutes % 60.0);
        // Writing to a string cannot fail.
        let _ = writeln!(
            out,
            "{hour:02.0}:{minute:02.0}:{seconds:06.3} B:{reading:.2} /{target:.2} T:22.05 /0.00 B@:{:.0} @:0",
            duty * FULL_DUTY
        );
    }
    out
}

//! Files of measurements with everything wrong that happens to files: each fault is named, mended or refused with a reason, and nothing
//! is dropped in silence.

use std::fmt::Write as _;

use dossier::evidence::{Job, Measured, measured};
use model::EvidenceKind::{
    self, FilamentTest, LedTest, MotorAndDriverTemperatures, Repeatability, StallThresholdTest, SupplyLog,
};

/// What the kinds ask for beside the file.
fn keys(kind: EvidenceKind) -> &'static str {
    match kind {
        SupplyLog => "min_voltage = \"21.6 V\"\nmax_voltage = \"26.4 V\"",
        MotorAndDriverTemperatures => "air = \"23 °C\"",
        StallThresholdTest => "axis = \"X\"",
        _ => "",
    }
}

fn look(kind: EvidenceKind, file: impl AsRef<[u8]>) -> Measured {
    let text = format!("kind = \"{}\"\nfile = \"f\"\n{}\n", kind.word(), keys(kind));
    let keys = model::load_evidence("f", &text).unwrap();
    let job = Job {
        keys: &keys,
        context: None,
    };
    measured(&job, file.as_ref())
}

/// The file is read, and these words are among what is told; the sentence, too.
#[track_caller]
fn named(kind: EvidenceKind, file: impl AsRef<[u8]>, words: &str) -> Measured {
    let found = look(kind, file);
    let mut told = String::new();
    match &found.outcome {
        Ok(reports) => {
            for report in reports {
                let _ = writeln!(told, "{}", report.sentence);
                for trouble in &report.troubles {
                    let _ = writeln!(told, "{trouble}");
                }
            }
        }
        Err(refused) => panic!("{kind}: refused: {refused} {:?}", refused.troubles),
    }
    assert!(told.contains(words), "{kind}: no `{words}` in\n{told}");
    found
}

/// The file is refused for this reason, with a mend.
#[track_caller]
fn refused(kind: EvidenceKind, file: impl AsRef<[u8]>, words: &str) {
    let refused = match look(kind, file).outcome {
        Err(refused) => refused,
        Ok(reports) => panic!("{kind}: read: {}", reports[0].sentence),
    };
    let mut told = refused.to_string();
    for trouble in &refused.troubles {
        let _ = write!(told, "\n{trouble}");
    }
    assert!(told.contains(words), "{kind}: no `{words}` in\n{told}");
    assert!(!refused.mend.is_empty());
}

/// A file of a kind as it should be: a head and rows.
fn rows(kind: EvidenceKind) -> (String, Vec<String>) {
    let (head, rows): (&str, Vec<String>) = match kind {
        SupplyLog => (
            "time (s),voltage (V),current (A)",
            (0..20)
                .map(|k| format!("{k},{},{}", 24.0 - 0.1 * f64::from(k % 4), 2 * (k % 4)))
                .collect(),
        ),
        MotorAndDriverTemperatures => (
            "time (min),case (°C)",
            (0..40)
                .map(|k| format!("{k},{:.2}", 70.0 - 46.5 * (-f64::from(k) / 15.0).exp()))
                .collect(),
        ),
        StallThresholdTest => (
            "threshold,outcome,speed (mm/s),current (mA)",
            (0..60)
                .map(|k| {
                    // One homing beyond each edge ends otherwise, so that no value parts the outcomes.
                    let ending = match k {
                        0..=17 | 19 | 22 => "false trigger",
                        37 | 40 | 42..=59 => "missed",
                        _ => "clean",
                    };
                    format!("{k},{ending},40,800")
                })
                .collect(),
        ),
        FilamentTest => (
            "filament,reported,run on (mm)",
            (0..80)
                .map(|k| {
                    if k % 2 == 0 {
                        "yes,yes,".to_owned()
                    } else {
                        "no,no,5.5".to_owned()
                    }
                })
                .collect(),
        ),
        LedTest => (
            "light,told,shown",
            (1..=4)
                .flat_map(|k| ["red", "green", "blue", "white"].map(|c| format!("{k},{c},{c}")))
                .collect(),
        ),
        _ => (
            "position (mm)",
            (0..30)
                .map(|k| format!("{}", 1.0 + 0.001 * f64::from(k % 7)))
                .collect(),
        ),
    };
    (head.to_owned(), rows)
}

fn file(head: &str, rows: &[String]) -> String {
    format!("{head}\n{}\n", rows.join("\n"))
}

/// The file of a kind with its rows changed.
fn with(kind: EvidenceKind, change: impl Fn(&mut Vec<String>)) -> String {
    let (head, mut rows) = rows(kind);
    change(&mut rows);
    file(&head, &rows)
}

const ALL: [EvidenceKind; 5] = [
    SupplyLog,
    MotorAndDriverTemperatures,
    StallThresholdTest,
    FilamentTest,
    LedTest,
];

#[test]
fn a_file_as_it_should_be_is_told_nothing() {
    for kind in ALL {
        let found = look(kind, with(kind, |_| {}));
        let reports = found
            .outcome
            .unwrap_or_else(|refused| panic!("{kind}: {refused}"));
        assert!(
            reports.iter().all(|report| report.troubles.is_empty()),
            "{kind}: {:?}",
            reports[0].troubles
        );
    }
}

#[test]
fn files_that_hold_nothing_are_refused() {
    for kind in ALL {
        refused(kind, "", "no row of values");
        refused(kind, "# a remark alone\n", "no row of values");
        refused(kind, with(kind, Vec::clear), "no row of values");
        refused(kind, [0x50, 0x4b, 3, 4, 0, 0, 0, 0, 0, 0, 0, 0], "not text");
        let wide: Vec<u8> = with(kind, |_| {})
            .encode_utf16()
            .flat_map(u16::to_le_bytes)
            .collect();
        // Text of two bytes a letter is read as the other.
        assert_eq!(
            look(kind, wide).outcome,
            look(kind, with(kind, |_| {})).outcome,
            "{kind}"
        );
        // The file of another measurement.
        refused(kind, "colour,taste\n1,2\n3,4\n", "there is no column");
    }
}

/// A broken byte costs its cell, and the sign of degrees of an older coding is understood.
#[test]
fn text_that_is_not_utf_8_is_read_as_far_as_it_goes() {
    for kind in ALL {
        let mut bytes = with(kind, |_| {}).into_bytes();
        let at = bytes.iter().position(|byte| *byte == b'\n').unwrap() + 1;
        bytes[at] = 0xb5;
        named(kind, bytes, "line 2:");
    }
    let (_, rows) = rows(MotorAndDriverTemperatures);
    let latin = |unit: u8| {
        let mut bytes = b"time (min),case (\xb0".to_vec();
        bytes.push(unit);
        bytes.extend_from_slice(b")\n");
        bytes.extend_from_slice(rows.join("\n").as_bytes());
        bytes
    };
    let of = |bytes: Vec<u8>| {
        look(MotorAndDriverTemperatures, bytes).outcome.unwrap()[0].figures[1]
            .value
            .nominal
    };
    let (celsius, fahrenheit) = (of(latin(b'C')) - 273.15, of(latin(b'F')) - 273.15);
    assert!(
        (celsius - 70.0).abs() < 0.1 && (fahrenheit - (70.0 - 32.0) / 1.8).abs() < 0.1,
        "{celsius} {fahrenheit}"
    );
}

#[test]
fn numbers_that_are_none_are_told() {
    for kind in [SupplyLog, MotorAndDriverTemperatures] {
        named(
            kind,
            with(kind, |rows| rows[3] = rows[3].replacen('3', "NaN", 1)),
            "line 5: no number under `time`",
        );
    }
    named(
        SupplyLog,
        with(SupplyLog, |rows| rows[3] = "3,NaN,6".into()),
        "line 5: no number under `voltage`; the row is left out",
    );
    // The reading counts, only the line of voltage over current does without it.
    named(
        SupplyLog,
        with(SupplyLog, |rows| rows[3] = "3,20.1,NaN".into()),
        "line 5: no number under `current`; the row counts",
    );
    named(
        SupplyLog,
        with(SupplyLog, |rows| rows[3] = "3,20.1,NaN".into()),
        "it dropped to 20.1 V",
    );
    named(
        MotorAndDriverTemperatures,
        with(MotorAndDriverTemperatures, |rows| rows[3] = "3,nan".into()),
        "line 5: no temperature",
    );
    named(
        StallThresholdTest,
        with(StallThresholdTest, |rows| rows[3] = "NaN,clean,40,800".into()),
        "line 5: no number under `threshold`",
    );
    named(
        StallThresholdTest,
        with(StallThresholdTest, |rows| rows[3] = "3,NaN,40,800".into()),
        "line 5: nothing under `outcome`",
    );
    named(
        StallThresholdTest,
        with(StallThresholdTest, |rows| rows[3] = "3,exploded,40,800".into()),
        "line 5: `exploded` is none of `false trigger`",
    );
    named(
        FilamentTest,
        with(FilamentTest, |rows| rows[3] = "no,NaN,5".into()),
        "line 5: nothing under `reported`",
    );
    named(
        FilamentTest,
        with(FilamentTest, |rows| rows[3] = "no,no,far".into()),
        "line 5: no number under `run on`; the row counts",
    );
    named(
        LedTest,
        with(LedTest, |rows| rows[3] = "NaN,red,red".into()),
        "line 5: the place of the light is no whole number",
    );
    named(
        LedTest,
        with(LedTest, |rows| rows[3] = "1,pink,red".into()),
        "line 5: `pink` is none of",
    );
}

/// A digit too many, two numbers that ran together: no such thing was measured.
#[test]
fn numbers_beyond_all_measure_are_left_out_and_told() {
    named(
        Repeatability,
        with(Repeatability, |rows| rows[3] = "1e203".into()),
        "line 5: the number under `position` is beyond ± 1000 m",
    );
    named(
        SupplyLog,
        with(SupplyLog, |rows| rows[3] = "3,2402241,1".into()),
        "line 5: the number under `voltage` is beyond ± 1 kV",
    );
    named(
        SupplyLog,
        with(SupplyLog, |rows| rows[3] = "3e99,24,1".into()),
        "line 5: the number under `time` is beyond",
    );
    named(
        SupplyLog,
        with(SupplyLog, |rows| rows[3] = "3,24,1e9".into()),
        "line 5: the number under `current` is beyond ± 1 kA",
    );
    named(
        MotorAndDriverTemperatures,
        with(MotorAndDriverTemperatures, |rows| rows[3] = "3,99999".into()),
        "line 5: a temperature below absolute zero, or above",
    );
    named(
        StallThresholdTest,
        with(StallThresholdTest, |rows| rows[3] = "1e30,clean,40,800".into()),
        "line 5: the number under `threshold` is beyond",
    );
    named(
        FilamentTest,
        with(FilamentTest, |rows| rows[3] = "no,no,1e88".into()),
        "line 5: the number under `run on` is beyond",
    );
    named(
        LedTest,
        with(LedTest, |rows| rows[3] = "1e12,red,red".into()),
        "line 5: the place of the light",
    );
    // All readings near 1e203: what fuzzing found.
    refused(
        Repeatability,
        "position\n1e203\n2e203\n3e203\n4e203\n5e203\n6e203\n",
        "beyond ± 1000 m",
    );
    // And all alike but for the rounding of a double.
    refused(
        Repeatability,
        "position\n1e-170\n2e-170\n3e-170\n4e-170\n5e-170\n",
        "one and the same value",
    );
}

#[test]
fn times_that_repeat_or_run_backwards_are_told() {
    for kind in [SupplyLog, MotorAndDriverTemperatures] {
        // The same row twice is left out, another reading at the same time counts.
        named(
            kind,
            with(kind, |rows| rows.insert(4, rows[3].clone())),
            "line 6: the same time and the same reading",
        );
    }
    named(
        SupplyLog,
        with(SupplyLog, |rows| rows.insert(4, "3,24.05,1".into())),
        "line 6: the same time as in the row before; both",
    );
    named(
        MotorAndDriverTemperatures,
        with(MotorAndDriverTemperatures, |rows| rows.insert(4, "3,31.9".into())),
        "line 6: the same time as in the row before; both",
    );
    // One stamp that strays.
    named(
        SupplyLog,
        with(SupplyLog, |rows| rows[9] = "1,19.5,1".into()),
        "line 11: the time runs backwards in this row alone; its reading counts",
    );
    named(
        SupplyLog,
        with(SupplyLog, |rows| rows[9] = "1,19.5,1".into()),
        "19.5 V at the lowest",
    );
    named(
        MotorAndDriverTemperatures,
        with(MotorAndDriverTemperatures, |rows| rows[9] = "1,44".into()),
        "line 11: the time runs backwards in this row alone; the row is left out",
    );
}

#[test]
fn gaps_are_told() {
    named(
        SupplyLog,
        with(SupplyLog, |rows| drop(rows.drain(6..14))),
        "line 8: a gap of 9 s before this row: how low the voltage was",
    );
    named(
        MotorAndDriverTemperatures,
        with(MotorAndDriverTemperatures, |rows| drop(rows.drain(6..20))),
        "line 8: a gap of 900 s before this row",
    );
}

/// A clock that starts anew, and a head in the middle, where two logs were joined.
#[test]
fn resets_in_the_middle_are_told_or_refused() {
    let twice = |rows: &mut Vec<String>| rows.extend_from_within(..);
    let found = named(
        SupplyLog,
        with(SupplyLog, twice),
        "line 22: the clock starts anew here",
    );
    let evidence::Picture::Plot(plot) = &found.reports()[0].pictures[0] else {
        panic!()
    };
    assert!(
        plot.series[0].points.iter().any(|point| point[0].is_nan()),
        "the line breaks at the reset"
    );
    refused(
        MotorAndDriverTemperatures,
        with(MotorAndDriverTemperatures, twice),
        "line 42: the time runs backwards",
    );
    for kind in ALL {
        let (head, mut rows) = rows(kind);
        rows.insert(7, head.clone());
        named(kind, file(&head, &rows), "line 9: the head again");
    }
}

#[test]
fn units_are_understood_or_refused() {
    let (_, rows) = rows(MotorAndDriverTemperatures);
    // 70 °F are 21.1 °C.
    named(
        MotorAndDriverTemperatures,
        file("time (min),case (°F)", &rows),
        "settle at 21.11 °C",
    );
    refused(
        MotorAndDriverTemperatures,
        file("time (min),case (V)", &rows),
        "`V` in the head of `case` is no unit of a temperature",
    );
    refused(
        MotorAndDriverTemperatures,
        file("time (mm),case (°C)", &rows),
        "`mm` in the head of `time` is no unit of a time",
    );
    // Degrees Fahrenheit that nobody named, in a room of 23 °C.
    let fahrenheit: Vec<String> = (0..40)
        .map(|k| {
            format!(
                "{k},{:.2}",
                1.8 * (70.0 - 46.5 * (-f64::from(k) / 15.0).exp()) + 32.0
            )
        })
        .collect();
    named(
        MotorAndDriverTemperatures,
        file("time (min),case", &fahrenheit),
        "near the room in Fahrenheit",
    );
    let kelvin: Vec<String> = (0..40)
        .map(|k| format!("{k},{:.2}", 343.0 - 46.5 * (-f64::from(k) / 15.0).exp()))
        .collect();
    named(
        MotorAndDriverTemperatures,
        file("time (min),case", &kelvin),
        "near the room in kelvin",
    );

    let of = |kind: EvidenceKind, head: &str| file(head, &self::rows(kind).1);
    refused(
        SupplyLog,
        of(SupplyLog, "time (s),voltage (°F),current (A)"),
        "`°F` in the head of `voltage` is no unit of a voltage",
    );
    named(
        SupplyLog,
        of(SupplyLog, "time (s),voltage (mV),current (A)"),
        "is it the log of another rail, or another unit?",
    );
    refused(
        StallThresholdTest,
        of(
            StallThresholdTest,
            "threshold (mm),outcome,speed (mm/s),current (mA)",
        ),
        "`mm` in the head of `threshold`",
    );
    refused(
        StallThresholdTest,
        of(StallThresholdTest, "threshold,outcome,speed (kg),current (mA)"),
        "`kg` in the head of `speed`",
    );
    refused(
        FilamentTest,
        of(FilamentTest, "filament,reported,run on (s)"),
        "`s` in the head of `run on` is no unit of a length",
    );
    refused(
        LedTest,
        of(LedTest, "light (mm),said,shown"),
        "there is no column `told`",
    );
}

#[test]
fn heads_that_are_missing_are_told_or_refused() {
    for kind in [SupplyLog, MotorAndDriverTemperatures, StallThresholdTest, LedTest] {
        let (_, rows) = rows(kind);
        let headless = rows.join("\n");
        named(kind, &headless, "the file has no head: its columns were taken as");
    }
    // Where every row is words, none of them may pass for a head.
    refused(
        FilamentTest,
        "yes,yes\nno,no\nno,yes\n",
        "the file has no head, and its first look was taken for one",
    );
    named(
        FilamentTest,
        "yes,yes,\nno,no,5\nyes,yes,\n",
        "the file has no head: its columns were taken as",
    );
    refused(
        SupplyLog,
        "0,24,1,7\n1,24,1,7\n2,24,1,8\n",
        "4 columns without a head",
    );
}

#[test]
fn decimal_commas_are_understood_or_asked_for() {
    let semicolons = |text: String| text.replace(',', ";").replace('.', ",");
    for kind in ALL {
        let found = look(kind, semicolons(with(kind, |_| {})));
        let plain = look(kind, with(kind, |_| {}));
        assert_eq!(found.outcome, plain.outcome, "{kind}");
    }
    let commas = with(SupplyLog, |rows| {
        rows.iter_mut().for_each(|row| *row = row.replace('.', ","));
    });
    named(SupplyLog, commas, "decimal commas? save the file with semicolons");
    let commas = with(MotorAndDriverTemperatures, |rows| {
        rows.iter_mut().for_each(|row| *row = row.replace('.', ","));
    });
    refused(
        MotorAndDriverTemperatures,
        commas,
        "decimal commas? save the file with semicolons",
    );
}

#[test]
fn three_points_are_enough_or_too_few() {
    let three = |kind| with(kind, |rows| rows.truncate(3));
    named(SupplyLog, three(SupplyLog), "within 21.6 V");
    refused(
        MotorAndDriverTemperatures,
        three(MotorAndDriverTemperatures),
        "3 readings are too few",
    );
    refused(StallThresholdTest, three(StallThresholdTest), "axis X");
    named(FilamentTest, three(FilamentTest), "too few to show");
    named(LedTest, three(LedTest), "never told: white");
}

/// A log of something else than was asked for.
#[test]
fn a_log_of_something_else_is_told_or_refused() {
    let (head, rows) = rows(StallThresholdTest);
    let of_y: Vec<String> = rows.iter().map(|row| format!("Y,{row}")).collect();
    refused(
        StallThresholdTest,
        file(&format!("axis,{head}"), &of_y),
        "the file holds nothing about axis X: ask for an axis that the file has: `Y`",
    );
    named(
        SupplyLog,
        "time,voltage of logic (V),voltage of heaters (V)\n0,5.0,24\n1,5.0,24\n2,5.1,24\n",
        "all answer to `voltage`: `voltage of logic` was taken",
    );
    named(
        SupplyLog,
        "time,voltage\n0,5.0\n1,5.0\n2,5.1\n",
        "most readings are near 5 V, far from",
    );
    let beside_the_room: Vec<String> = self::rows(MotorAndDriverTemperatures)
        .1
        .iter()
        .map(|row| format!("{row},23"))
        .collect();
    let several = file("time (min),motor X (°C),room (°C)", &beside_the_room);
    refused(
        MotorAndDriverTemperatures,
        several,
        "`motor X`, `room` hold temperatures, and nothing says which is meant",
    );
}

/// Clocks and dates instead of seconds, over midnight too.
#[test]
fn clocks_are_read() {
    let clock: Vec<String> = (0..40)
        .map(|k| {
            let minute = (23 * 60 + 50 + k) % 1440;
            let (hours, minutes) = (minute / 60, minute % 60);
            format!(
                "{hours:02}:{minutes:02}:00,{:.2}",
                70.0 - 46.5 * (-f64::from(k) / 15.0).exp()
            )
        })
        .collect();
    named(
        MotorAndDriverTemperatures,
        file("time,case (°C)", &clock),
        "line 12: midnight",
    );
}

/// JSON lines say the same as separated values.
#[test]
fn lines_of_json_are_read() {
    for kind in ALL {
        let (head, rows) = rows(kind);
        let names: Vec<&str> = head.split(',').collect();
        let line = |row: &String| {
            let pairs: Vec<String> = names
                .iter()
                .zip(row.split(','))
                .filter(|(_, cell)| !cell.is_empty())
                .map(|(name, cell)| match cell.parse::<f64>() {
                    Ok(_) => format!("\"{name}\": {cell}"),
                    Err(_) => format!("\"{name}\": \"{cell}\""),
                })
                .collect();
            format!("{{{}}}", pairs.join(", "))
        };
        let json: Vec<String> = rows.iter().map(line).collect();
        let (mut of_json, mut plain) = (look(kind, json.join("\n")), look(kind, file(&head, &rows)));
        // Without a head, lines are counted from another place; nothing else may differ.
        for found in [&mut of_json, &mut plain] {
            found
                .outcome
                .as_mut()
                .unwrap()
                .iter_mut()
                .for_each(|report| report.troubles.clear());
        }
        assert_eq!(of_json.outcome, plain.outcome, "{kind}");
    }
}

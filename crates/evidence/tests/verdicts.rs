//! Verdicts that may not be wrong: offset and width together, two boards, steps, missing readings, files as programs write them.

use evidence::comparison::{Side, compare};
use evidence::read::WhatIsKnown;
use evidence::read::log::read;
use evidence::temperature::invent::{Truth, log};
use evidence::temperature::swing::Cause;
use evidence::temperature::{Analysis, Ask, analyse};
use evidence::{Refused, Verdict};
use quantity::Number as _;
use quantity::si::{celsius, kelvin, second};

fn ask() -> Ask {
    Ask {
        name: "hot end".to_owned(),
        ambient: celsius(22.0),
        within: kelvin(1.0),
        pulses: None,
    }
}

fn analysed(bytes: &[u8]) -> Result<Analysis, Refused> {
    let log = read(bytes, WhatIsKnown::default())?;
    analyse(&log, &log.channels[0], ask())
}

/// A log with what becomes of each row; time, reading, target, duty.
fn text(truth: &Truth, head: &str, row: impl Fn(usize, [f64; 4]) -> String) -> String {
    let rows = log(truth).rows;
    let rows = rows.iter().enumerate().map(|(at, own)| row(at, *own));
    std::iter::once(format!("{head}\n")).chain(rows).collect()
}

const HEAD: &str = "time (s),temperature (°C),target (°C),duty";

fn plain(truth: &Truth) -> String {
    text(truth, HEAD, |_, [time, reading, target, duty]| {
        format!("{time},{reading:.3},{target},{duty:.4}\n")
    })
}

/// The loop holds at the true temperature; a target that is told otherwise lies beside it.
#[test]
fn offset_and_width_are_judged_together() {
    for (beside, expected) in [
        (0.0, Verdict::Pass),
        (0.3, Verdict::Pass),
        (1.5, Verdict::Fail),
        (-1.5, Verdict::Fail),
        (4.6, Verdict::Fail),
        (-4.6, Verdict::Fail),
        (9.0, Verdict::Fail),
        (13.0, Verdict::Fail),
        (-13.0, Verdict::Fail),
        (-25.0, Verdict::Fail),
    ] {
        for seed in 0..3 {
            let told = text(&Truth::hot_end(seed), HEAD, |_, [time, reading, target, duty]| {
                let target = if target > 0.0 { target + beside } else { 0.0 };
                format!("{time},{reading:.3},{target},{duty:.4}\n")
            });
            let report = analysed(told.as_bytes()).unwrap().report();
            assert_eq!(report.verdict, expected, "{beside}: {}", report.sentence);
            if f64::abs(beside) > 1.0 && f64::abs(beside) < 15.0 {
                let side = if beside > 0.0 { "below it" } else { "above it" };
                assert!(report.sentence.contains(side), "{beside}: {}", report.sentence);
            }
        }
    }
}

/// What the deciding row says is what the sentence says; the figures stand in the order of the names.
#[test]
fn two_boards_are_decided_by_what_each_is_judged_by() {
    let of = |noise: f64, seed| {
        let truth = Truth {
            noise: kelvin(noise),
            ..Truth::hot_end(seed)
        };
        analysed(plain(&truth).as_bytes()).unwrap()
    };
    let mut equal = 0;
    for seed in 0..20 {
        let (quiet, wider, same) = (of(0.12, seed), of(0.21, 100 + seed), of(0.12, 200 + seed));
        let side = |board, analysis| Side { board, analysis };
        let found = compare(side("Ash", &quiet), side("Beech", &wider), kelvin(0.1)).unwrap();
        let report = found.report();
        assert_eq!(report.verdict, Verdict::Fail, "{}", report.sentence);
        let (ash, beech) = (report.sentence.find("on Ash"), report.sentence.find("on Beech"));
        assert!(ash.is_some() && ash < beech, "{}", report.sentence);
        let found = compare(side("Beech", &wider), side("Ash", &quiet), kelvin(0.1)).unwrap();
        assert_eq!(found.verdict(), Verdict::Pass, "{}", found.report().sentence);
        let found = compare(side("Ash", &quiet), side("Cedar", &same), kelvin(0.1)).unwrap();
        assert_ne!(found.verdict(), Verdict::Fail, "{}", found.report().sentence);
        equal += u32::from(found.verdict() == Verdict::Pass);
        let report = found.report();
        let differs = report.tables[0]
            .rows
            .iter()
            .any(|row| row.cells.last().is_some_and(|cell| cell == "different"));
        assert!(
            !differs || report.sentence.contains("differ"),
            "{}",
            report.sentence
        );
    }
    assert!(equal >= 15, "{equal}");
}

#[test]
fn a_missing_first_reading_changes_nothing() {
    let truth = Truth::hot_end(4);
    let share = |text: &str| {
        let analysis = analysed(text.as_bytes()).unwrap();
        let part = |cause| {
            analysis
                .swing
                .as_ref()
                .unwrap()
                .part(cause)
                .map_or(0.0, |part| part.share.base())
        };
        [part(Cause::Control), part(Cause::Noise), part(Cause::Drift)]
    };
    let whole = share(&plain(&truth));
    for missing in [1, 2, 7] {
        let without = text(&truth, HEAD, |at, [time, reading, target, duty]| {
            let reading = if at < missing {
                "nan".to_owned()
            } else {
                format!("{reading:.3}")
            };
            format!("{time},{reading},{target},{duty:.4}\n")
        });
        let found = share(&without);
        for (one, other) in whole.iter().zip(found) {
            assert!((one - other).abs() < 0.02, "{missing}: {whole:?} {found:?}");
        }
    }
}

/// Readings that never leave a level of the input lie within half a step of it, and nobody knows where.
#[test]
fn a_soak_on_one_level_is_known_to_half_a_step() {
    let truth = Truth {
        noise: kelvin(0.02),
        ..Truth::hot_end(4)
    };
    for (step, expected) in [(0.5, Verdict::Pass), (1.5, Verdict::Pass), (3.0, Verdict::Open)] {
        for digits in [1, 3] {
            let told = text(&truth, HEAD, |_, [time, reading, target, duty]| {
                let level = (reading / step).round() * step;
                format!("{time},{level:.digits$},{target},{duty:.4}\n")
            });
            let analysis = analysed(told.as_bytes()).unwrap();
            let swing = analysis.swing.as_ref().unwrap();
            let [low, high] = [swing.farthest.low(), swing.farthest.high()].map(|own| own.base());
            assert!(low <= 0.1 && high >= 0.49 * step, "{step}: {low} to {high}");
            assert!(high <= 0.8 * step, "{step}: {high}");
            assert_eq!(analysis.verdict(), expected, "{step}: {low} to {high}");
        }
    }
}

#[test]
fn steps_without_a_duty_are_called_steps() {
    for seed in 0..24 {
        let truth = Truth {
            noise: kelvin(0.03 + 0.004 * seed as f64),
            step: kelvin(0.57),
            ..Truth::hot_end(seed)
        };
        let told = text(
            &truth,
            "time (s),temperature (°C),target (°C)",
            |_, [time, reading, target, _]| format!("{time},{reading:.3},{target}\n"),
        );
        let analysis = analysed(told.as_bytes()).unwrap();
        let part = |cause| {
            analysis
                .swing
                .as_ref()
                .unwrap()
                .part(cause)
                .map_or(0.0, |part| part.share.base())
        };
        assert!(
            part(Cause::Noise) < part(Cause::Steps),
            "{seed}: {:?}",
            analysis.swing.as_ref().unwrap().parts
        );
    }
    // Noise of half a step and more is noise.
    let truth = Truth {
        noise: kelvin(0.3),
        step: kelvin(0.5),
        ..Truth::hot_end(1)
    };
    let told = text(
        &truth,
        "time (s),temperature (°C),target (°C)",
        |_, [time, reading, target, _]| format!("{time},{reading:.3},{target}\n"),
    );
    let analysis = analysed(told.as_bytes()).unwrap();
    let swing = analysis.swing.as_ref().unwrap();
    assert!(
        swing
            .part(Cause::Noise)
            .is_some_and(|part| part.share.base() > 0.5),
        "{:?}",
        swing.parts
    );
}

/// "Most" is more than half.
#[test]
fn most_is_more_than_half() {
    for seed in 0..6 {
        for noise in [0.05, 0.1, 0.15, 0.2] {
            let truth = Truth {
                noise: kelvin(noise),
                step: kelvin(0.5),
                ..Truth::hot_end(seed)
            };
            let analysis = analysed(plain(&truth).as_bytes()).unwrap();
            let share = analysis.swing.as_ref().unwrap().parts[0].share.base();
            let sentence = analysis.report().sentence;
            assert_eq!(sentence.contains("Most of"), share > 0.5, "{sentence}");
            assert_eq!(
                sentence.contains("The largest part of"),
                share <= 0.5,
                "{sentence}"
            );
        }
    }
}

/// A log in degrees Fahrenheit that says so is judged; one that does not is not, wherever it begins.
#[test]
fn an_untold_fahrenheit_log_gets_no_verdict() {
    let fahrenheit = |celsius: f64| if celsius > 0.0 { celsius * 1.8 + 32.0 } else { 0.0 };
    let mut bed = Truth::hot_end(3);
    bed.target = celsius(60.0);
    bed.gain = kelvin(90.0);
    let mut garage = Truth::hot_end(5);
    garage.room = celsius(13.0);
    for (what, truth, from) in [
        ("hot end", Truth::hot_end(2), 0),
        ("bed", bed, 0),
        ("cold room", garage, 0),
        ("soak", Truth::hot_end(2), 600),
    ] {
        let told = |head: &str| {
            text(&truth, head, |at, [time, reading, target, duty]| {
                if at < from {
                    String::new()
                } else {
                    format!(
                        "{time},{:.3},{:.0},{duty:.4}\n",
                        fahrenheit(reading),
                        fahrenheit(target)
                    )
                }
            })
        };
        let untold = analysed(told("time,temperature,target,duty").as_bytes()).unwrap();
        let report = untold.report();
        assert_eq!(report.verdict, Verdict::Open, "{what}: {}", report.sentence);
        assert!(report.sentence.contains("no unit"), "{what}: {}", report.sentence);
        let named = analysed(told("time,temperature (°F),target (°F),duty").as_bytes()).unwrap();
        assert!(
            !named.scale_in_doubt && named.alarm.is_none(),
            "{what}: {}",
            named.report().sentence
        );
        assert_eq!(
            named.verdict(),
            Verdict::Pass,
            "{what}: {}",
            named.report().sentence
        );
    }
    // One in degrees Celsius without a unit, as most are, is judged.
    let celsius = text(
        &Truth::hot_end(2),
        "time,temperature,target,duty",
        |_, [time, reading, target, duty]| format!("{time},{reading:.3},{target},{duty:.4}\n"),
    );
    assert_eq!(analysed(celsius.as_bytes()).unwrap().verdict(), Verdict::Pass);
}

#[test]
fn a_log_of_two_bytes_a_letter_is_the_same_log() {
    let told = plain(&Truth::hot_end(2));
    let little: Vec<u8> = "\u{feff}"
        .encode_utf16()
        .chain(told.encode_utf16())
        .flat_map(u16::to_le_bytes)
        .collect();
    let big: Vec<u8> = "\u{feff}"
        .encode_utf16()
        .chain(told.encode_utf16())
        .flat_map(u16::to_be_bytes)
        .collect();
    let expected = analysed(told.as_bytes()).unwrap();
    for bytes in [little, big] {
        assert_eq!(analysed(&bytes).unwrap(), expected);
    }
}

/// Lines written twice, a buffer written twice, a file behind itself: the log is the same, and that lines were left out is said.
#[test]
fn repeated_lines_are_left_out() {
    let told = plain(&Truth::hot_end(2));
    let lines: Vec<&str> = told.lines().collect();
    let joined = |lines: Vec<&str>| lines.join("\n") + "\n";
    let rows = &lines[1..];
    let twice = joined(
        std::iter::once(lines[0])
            .chain(rows.iter().flat_map(|row| [*row, *row]))
            .collect(),
    );
    let buffer = joined([&lines[..701], &lines[601..]].concat());
    let behind = joined([&lines[..], rows].concat());
    let few = joined([&lines[..51], &lines[50..51], &lines[51..]].concat());
    let expected = analysed(told.as_bytes()).unwrap();
    for (what, text) in [
        ("each line twice", twice),
        ("a buffer twice", buffer),
        ("behind itself", behind),
        ("one line twice", few),
    ] {
        let found = analysed(text.as_bytes()).unwrap();
        let troubles: String = found.troubles.iter().map(ToString::to_string).collect();
        assert!(troubles.contains("stamp and all"), "{what}: {troubles}");
        assert_eq!(
            (found.swing, found.process),
            (expected.swing.clone(), expected.process.clone()),
            "{what}"
        );
    }
    // Two looks within a stamp of whole seconds at a steady reading are two looks.
    let coarse = text(&Truth::hot_end(2), HEAD, |_, [time, reading, target, duty]| {
        format!("{:.0},{reading:.1},{target},{duty:.2}\n", time.floor())
    });
    let log = read(coarse.as_bytes(), WhatIsKnown::default()).unwrap();
    assert_eq!(log.len(), rows.len());
}

/// Heads as programs write them.
#[test]
fn columns_have_many_names() {
    let truth = Truth {
        durations: [second(20.0), second(300.0), second(0.0)],
        ..Truth::hot_end(1)
    };
    for head in [
        "Elapsed,PV,SP,OP",
        "timestamp,actual temp,setpoint,pwm",
        "Zeit,Isttemperatur,Solltemperatur,Leistung",
        "secs,temp,requested,output",
        "uptime,value,demand,effort",
    ] {
        let told = text(&truth, head, |_, [time, reading, target, duty]| {
            format!("{time},{reading:.3},{target},{duty:.4}\n")
        });
        let log = read(told.as_bytes(), WhatIsKnown::default()).unwrap();
        assert_eq!(log.channels.len(), 1, "{head}");
        let found = analyse(&log, &log.channels[0], ask()).unwrap();
        assert!(
            found.process.as_ref().is_ok_and(|process| process.from_duty),
            "{head}: {:?}",
            found.process
        );
        assert!((found.wanted().base() - 483.15).abs() < 1e-6, "{head}");
    }
}

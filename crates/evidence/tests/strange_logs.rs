//! Logs as strangers write them: other heads, line ends, clocks; and faults that no statistics should smooth over.

use std::fmt::Write as _;

use evidence::Verdict;
use evidence::read::log::read;
use evidence::read::{Log, WhatIsKnown};
use evidence::temperature::alarm::Kind;
use evidence::temperature::swing::Cause;
use evidence::temperature::{self, Analysis, Ask};
use quantity::Number as _;
use quantity::si::{celsius, kelvin};

use crate::rig::{self, Fault, PLANTS, Plant, Writing};

const WRITTEN: Writing = Writing {
    period: 0.5,
    digits: 2,
    percent: true,
    duty: true,
    target: true,
};

fn ask() -> Ask {
    Ask {
        name: String::new(),
        ambient: celsius(22.0),
        within: kelvin(1.0),
        pulses: None,
    }
}

fn analysed(text: &[u8]) -> Analysis {
    let log = read(text, WhatIsKnown::default()).unwrap();
    temperature::analyse(&log, &log.channels[0], ask()).unwrap()
}

/// Time, reading, target, duty in per cent: a plain log, readings that are missing left out.
fn rows(plant: &Plant, fault: Fault) -> Vec<[f64; 4]> {
    let made = rig::log_written(plant, 3, fault, 1.0, Some(WRITTEN));
    let lines = made.text.lines().skip(1);
    let row = |line: &str| -> Option<[f64; 4]> {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let [time, reading, target, duty] = cells[..] else {
            panic!("{line}")
        };
        (reading.is_finite() && reading < target.max(30.0) + 40.0).then_some([time, reading, target, duty])
    };
    lines.filter_map(row).collect()
}

fn written(head: &str, rows: &[[f64; 4]], row: impl Fn(&[f64; 4]) -> String) -> String {
    let mut out = format!("{head}\n");
    for own in rows {
        let _ = writeln!(out, "{}", row(own));
    }
    out
}

/// Gain, band and target of one log are those of another.
fn alike(log: &Log, truth: &Log, name: &str) {
    let [one, other] = [log, truth].map(|log| temperature::analyse(log, &log.channels[0], ask()).unwrap());
    let numbers = |own: &Analysis| {
        let (process, swing) = (own.process.as_ref().unwrap(), own.swing.as_ref().unwrap());
        [
            process.gain.nominal().base(),
            process.lag.nominal().base(),
            swing.farthest.nominal().base(),
        ]
    };
    for (one, other) in numbers(&one).into_iter().zip(numbers(&other)) {
        assert!((one / other - 1.0).abs() < 1e-2, "{name}: {one} {other}");
    }
    assert!(one.has_target, "{name}");
}

/// The same log under other heads, separators, line ends and clocks is the same log.
#[test]
fn one_log_in_many_writings() {
    let rows = rows(&PLANTS[0], Fault::None);
    let plain = |own: &[f64; 4]| format!("{:.1},{:.2},{:.0},{:.0}", own[0], own[1], own[2], own[3]);
    let first = written("time (s),temperature (°C),target (°C),duty (%)", &rows, plain);
    let truth = read(first.as_bytes(), WhatIsKnown::default()).unwrap();
    let heads = [
        "elapsed,hotend,hotend_setpoint,hotend_power",
        "ts,nozzle,nozzle target,nozzle heater",
        "time,hot end,hot end target,hot end duty",
        "Time [s],PV,SP,CV",
        "uptime,Extruder °C,Extruder setpoint °C,Extruder %",
        "Uhrzeit,Temp,Sollwert,Stellgrad",
        "t/s,ϑ/°C,ϑ_soll/°C,P/%",
        "time,heater.temp,heater.target,heater.pwm",
        "time,heater temp,heater target,heater power",
        "tiempo;temperatura;consigna;potencia",
    ];
    for head in heads {
        let semicolons = head.contains(';');
        let text = written(head, &rows, plain);
        let text = if semicolons { text.replace(',', ";") } else { text };
        let log = read(text.as_bytes(), WhatIsKnown::default()).unwrap_or_else(|why| panic!("{head}: {why}"));
        assert_eq!(log.channels.len(), 1, "{head}");
        alike(&log, &truth, head);
    }
    let returns = first.replace('\n', "\r");
    let spreadsheet = first.replace('\n', ",,,\n");
    let epoch = written("time,temp,target,duty (%)", &rows, |own| {
        format!(
            "{:.0},{:.2},{:.0},{:.0}",
            1.79e12 + own[0] * 1e3,
            own[1],
            own[2],
            own[3]
        )
    });
    let counted = written("time,temp,target,duty (%)", &rows, |own| {
        format!("{:.0},{:.2},{:.0},{:.0}", own[0] * 1e3, own[1], own[2], own[3])
    });
    let grouped = written("time (ms),temp,target,duty (%)", &rows, |own| {
        let time = format!("{:.0}", 1e6 + own[0] * 1e3);
        let (thousands, rest) = time.split_at(time.len() - 3);
        let (millions, thousands) = thousands.split_at(thousands.len() - 3);
        format!(
            "\"{millions},{thousands},{rest}\",{:.2},{:.0},{:.0}",
            own[1], own[2], own[3]
        )
    });
    let nested = written("", &rows, |own| {
        format!(
            "{{\"time\":{:.1},\"heater\":{{\"temp\":{:.2},\"target\":{:.0},\"pwm\":{:.0}}}}}",
            own[0], own[1], own[2], own[3]
        )
    });
    let clock = |own: &[f64; 4]| {
        let (minutes, seconds) = ((own[0] / 60.0).floor(), own[0] % 60.0);
        format!(
            "{:02.0}:{:02.0}:{seconds:04.1}",
            12.0 + (minutes / 60.0).floor(),
            minutes % 60.0
        )
    };
    let values = |own: &[f64; 4]| {
        format!(
            "temp={:.2} target={:.0} duty={:.2}",
            own[1],
            own[2],
            own[3] / 100.0
        )
    };
    let rest = |own: &[f64; 4]| format!("{:.2},{:.0},{:.0}", own[1], own[2], own[3]);
    let stamped = |stamp: &dyn Fn(&[f64; 4]) -> String| {
        written("time,temp,target,duty (%)", &rows, |own| {
            format!("{},{}", stamp(own), rest(own))
        })
    };
    let objects = |own: &[f64; 4]| {
        format!(
            "{{\"time\":{:.1},\n \"temp\":{:.2},\"target\":{:.0},\"duty\":{:.2}}},",
            own[0],
            own[1],
            own[2],
            own[3] / 100.0
        )
    };
    let list = written("", &rows, objects);
    let strange = [
        (
            "key and value",
            written("", &rows, |own| format!("t={:.1} {}", own[0], values(own))),
        ),
        (
            "clock before labels",
            written("", &rows, |own| {
                format!("[{}] heater: {}", clock(own), values(own))
            }),
        ),
        (
            "a system's log with chatter",
            written("", &rows, |own| {
                format!("Nov  3 {} bench heater: {}\nok", clock(own), values(own))
            }),
        ),
        (
            "German dates",
            stamped(&|own| format!("3.11.2026 {}", clock(own))),
        ),
        (
            "a date apart",
            stamped(&|own| format!("2026-11-03,{}", clock(own))).replace("time,", "date,time,"),
        ),
        (
            "minutes",
            stamped(&|own| format!("{}:{:04.1}", (own[0] / 60.0).floor(), own[0] % 60.0)),
        ),
        (
            "units in cells",
            written("time,temp,target,duty", &rows, |own| {
                format!("{:.1} s,{:.2} °C,{:.0}°C,{:.0} %", own[0], own[1], own[2], own[3])
            }),
        ),
        (
            "decimal commas in quotes",
            written("time,temp,target,duty (%)", &rows, |own| {
                let cells = [
                    format!("{:.1}", own[0]),
                    format!("{:.2}", own[1]),
                    format!("{:.0}", own[2]),
                    format!("{:.0}", own[3]),
                ];
                format!("\"{}\"", cells.join("\",\"").replace('.', ","))
            }),
        ),
        ("strokes", first.replace(',', " | ")),
        (
            "colours",
            written("time,temp,target,duty (%)", &rows, |own| {
                format!("\u{1b}[33m{}\u{1b}[0m", plain(own))
            }),
        ),
        ("a title", format!("Bench: heater\nof: 3 November\n\n{first}")),
        (
            "a list of objects",
            format!("{{\"samples\": [{}]}}", list.trim().trim_end_matches(',')),
        ),
        ("off", first.replace(",0,0\n", ",off,0\n")),
        (
            "a head by its cells",
            stamped(&|own| clock(own)).replace("time,", "stamped at,"),
        ),
    ];
    for (name, text) in strange {
        let log = read(text.as_bytes(), WhatIsKnown::default()).unwrap_or_else(|why| panic!("{name}: {why}"));
        alike(&log, &truth, name);
    }
    let all = [
        ("returns", returns),
        ("spreadsheet", spreadsheet),
        ("epoch", epoch),
        ("counted", counted),
        ("grouped", grouped),
        ("nested", nested),
    ];
    for (name, text) in all {
        let log = read(text.as_bytes(), WhatIsKnown::default()).unwrap_or_else(|why| panic!("{name}: {why}"));
        alike(&log, &truth, name);
    }
}

/// A heater whose output fails on where it is just strong enough: it bends towards a temperature near its target, and no draught does that.
#[test]
fn a_weak_heater_that_is_stuck_on_raises_an_alarm() {
    // 26 W to 29 W hold 215 °C, by conduction and radiation (Stefan and Boltzmann).
    let weak = Plant {
        power: 37.0,
        gust: 0.0,
        ..PLANTS[0]
    };
    let alarm = |made: &rig::Made| {
        let log = read(made.text.as_bytes(), WhatIsKnown::default()).unwrap();
        temperature::alarm(&log, &log.channels[0], &ask())
    };
    for seed in 0..20 {
        let stuck = rig::log_written(&weak, seed, Fault::SwitchOn, 1.0, Some(WRITTEN));
        let found = alarm(&stuck).map(|own| own.kind);
        // Too weak even for its target: then nothing rises above it.
        let reaches = [
            Some(Kind::HeatsWhileOff),
            Some(Kind::HotWhileOff),
            Some(Kind::OutOfReach),
        ];
        assert!(reaches.contains(&found), "{seed}: {found:?}");
    }
}

/// Noise that ends in the middle of a soak is a reading that is not taken any more, though the duty hardly moves.
#[test]
fn a_reading_that_freezes_at_its_target_raises_an_alarm() {
    let mut rows = rows(&PLANTS[0], Fault::None);
    let held = rows
        .iter()
        .position(|own| own[0] > 300.0 && (own[1] - own[2]).abs() < 0.3)
        .unwrap();
    let still = rows[held];
    rows.truncate(held + 400);
    for own in &mut rows[held..] {
        own[1] = still[1];
        own[3] = still[3];
    }
    let text = written("time,temp,target,duty (%)", &rows, |own| {
        format!("{:.1},{:.2},{:.0},{:.0}", own[0], own[1], own[2], own[3])
    });
    let analysis = analysed(text.as_bytes());
    assert_eq!(analysis.alarm.map(|own| own.kind), Some(Kind::Frozen));
}

/// Readings that jump and come back are a loose contact: the report says so before anything else, and does not pass.
#[test]
fn a_loose_contact_is_told() {
    let mut rows = rows(&PLANTS[0], Fault::None);
    let count = rows.len();
    for at in [count / 2, count / 2 + 60, count / 2 + 150, count - 40] {
        rows[at][1] += 120.0;
    }
    let text = written("time,temp,target,duty (%)", &rows, |own| {
        format!("{:.1},{:.2},{:.0},{:.0}", own[0], own[1], own[2], own[3])
    });
    let analysis = analysed(text.as_bytes());
    let spikes = analysis.spikes.unwrap();
    assert_eq!(spikes.count, 4);
    assert!((spikes.largest.base() - 120.0).abs() < 5.0);
    let report = analysis.report();
    assert_eq!(report.verdict, Verdict::Fail);
    assert!(report.sentence.contains("loose contact"), "{}", report.sentence);
}

/// A switch with a wide dead band swings more slowly than a drift is looked for, and is control all the same.
#[test]
fn a_slow_thermostat_is_control() {
    let mut text = "time (s),temperature (°C),target (°C),duty (%)\n".to_owned();
    // Body of 900 J/K that loses 1.4 W/K, 180 W, sensor of 8 s; ± 4 K.
    let (mut body, mut sensor, mut on) = (22.0_f64, 22.0_f64, false);
    for at in 0..1_200_u32 {
        let target = if at < 20 { 0.0 } else { 70.0 };
        on = if sensor < target - 4.0 {
            true
        } else {
            on && sensor < target + 4.0
        };
        body += (180.0 * f64::from(u8::from(on)) - 1.4 * (body - 22.0)) / 900.0;
        sensor += (body - sensor) / 8.0;
        let _ = writeln!(text, "{at},{sensor:.2},{target},{}", if on { 100 } else { 0 });
    }
    let analysis = analysed(text.as_bytes());
    let swing = analysis.swing.as_ref().unwrap();
    assert!(swing.is_switched);
    assert_eq!(swing.parts[0].cause, Cause::Control, "{:?}", swing.parts);
    assert!(swing.part(Cause::Drift).is_none(), "{:?}", swing.parts);
    let advice: String = analysis
        .report()
        .advice
        .iter()
        .map(|own| own.sentence.clone())
        .collect();
    assert!(
        advice.contains("switching on and off") && !advice.contains("draught"),
        "{advice}"
    );
}

/// A part driven by hand at a count of a timer was not at full power; one that is switched was.
#[test]
fn counts_of_a_timer_have_their_full_scale() {
    let log = |duty: &dyn Fn(u32) -> u32| {
        let rows = (0..600_u32).map(|at| format!("{at},{:.2},{}\n", 22.0 + f64::from(at) / 10.0, duty(at)));
        let text: String = std::iter::once("time,temp,pwm\n".to_owned())
            .chain(rows)
            .collect();
        let log = read(text.as_bytes(), WhatIsKnown::default()).unwrap();
        let said: Vec<String> = log.troubles.iter().map(ToString::to_string).collect();
        said.join("; ")
    };
    assert!(log(&|at| if at < 10 { 0 } else { 102 }).contains("255 was taken"));
    assert!(log(&|at| if at % 60 < 30 { 0 } else { 127 }).contains("127, its largest value"));
}

/// Where no target is told nobody knows whether it was met: a steady reading is no pass, and one that swings too much fails all the same.
#[test]
fn without_a_target_nothing_passes() {
    let rows = rows(&PLANTS[0], Fault::None);
    let end = rows
        .iter()
        .position(|own| own[0] > 200.0 && own[2] != rows[400][2])
        .unwrap_or(rows.len());
    let text = written("time,temp,duty (%)", &rows[..end], |own| {
        format!("{:.1},{:.2},{:.0}", own[0], own[1], own[3])
    });
    let analysis = analysed(text.as_bytes());
    assert!(!analysis.has_target);
    assert_ne!(analysis.verdict(), Verdict::Pass);
    assert!(
        analysis.report().sentence.contains("tells no target"),
        "{}",
        analysis.report().sentence
    );
}

/// Whole degrees leave half of one open: a log of them that never leaves its target is not within a tenth of it.
#[test]
fn digits_of_the_log_count() {
    let rows = rows(&PLANTS[0], Fault::None);
    let whole = written("time (s),temperature (°C),target (°C),duty (%)", &rows, |own| {
        format!("{:.1},{:.0},{:.0},{:.0}", own[0], own[1], own[2], own[3])
    });
    let analysis = analysed(whole.as_bytes());
    let swing = analysis.swing.as_ref().unwrap();
    assert!(
        swing.farthest.nominal().base() >= 0.5 && swing.digits.base() == 1.0,
        "{:?}",
        swing.farthest
    );
    assert!(
        analysis
            .report()
            .troubles
            .iter()
            .any(|own| own.what.contains("log another decimal"))
    );
    let fine = written("time (s),temperature (°C),target (°C),duty (%)", &rows, |own| {
        format!("{:.1},{:.2},{:.0},{:.0}", own[0], own[1], own[2], own[3])
    });
    let fine = analysed(fine.as_bytes());
    assert!(fine.swing.as_ref().unwrap().farthest.high() < swing.farthest.high());
}

/// A column that is needed and holds something else throughout is named with what it holds.
#[test]
fn a_column_that_cannot_be_read_is_named() {
    let refused = |text: &str| {
        read(text.as_bytes(), WhatIsKnown::default())
            .unwrap_err()
            .to_string()
    };
    let table = |row: &str| format!("time,temp,duty\n{}", format!("{row}\n").repeat(9));
    assert!(refused(&table("soon,21.5,0")).contains("`time` holds `soon` where a time was expected"));
    assert!(refused(&table("1,21/210,0")).contains("`temp` holds `21/210` where a temperature"));
    assert!(refused(&table("1,21.5,low")).contains("`duty` holds `low` where a duty"));
}

//! Alarms: none in healthy loops of other code than ours, and one for each planted fault.

use evidence::read::WhatIsKnown;
use evidence::read::log::read;
use evidence::temperature::alarm::Kind;
use evidence::temperature::{self, Alarm, Ask};
use quantity::Number as _;
use quantity::si::{celsius, kelvin};

use crate::rig::{self, Fault, PLANTS};

fn alarm(text: &str) -> Option<Alarm> {
    let log = read(text.as_bytes(), WhatIsKnown::default()).unwrap();
    let ask = Ask {
        name: String::new(),
        ambient: celsius(22.0),
        within: kelvin(1.0),
        pulses: None,
    };
    temperature::alarm(&log, &log.channels[0], &ask)
}

/// Two hundred seeds of each plant: no alarm, whatever the log is written like.
#[test]
fn healthy_loops_raise_no_alarm() {
    let mut found = Vec::new();
    for plant in &PLANTS {
        for seed in 0..200 {
            let made = rig::log(plant, seed, Fault::None, 0.0);
            if let Some(alarm) = alarm(&made.text) {
                let Alarm {
                    kind,
                    at,
                    until,
                    reading,
                    duty,
                    ..
                } = alarm;
                let reading = reading.map_or(0.0, |own| own.base() - 273.15);
                found.push(format!(
                    "{} {seed}: {kind:?} {:.0}..{:.0} {reading:.1} {duty:?} {:?}",
                    plant.name,
                    at.base(),
                    until.base(),
                    made.writing
                ));
            }
        }
    }
    assert!(found.is_empty(), "{} {found:#?}", found.len());
}

/// Each fault is planted after the target was held for some minutes, or before the heat-up; which alarms it may raise is written down first.
#[test]
fn planted_faults_are_found() {
    use Kind::*;
    let full_duty = rig::Writing {
        period: 1.0,
        digits: 2,
        percent: false,
        duty: true,
        target: true,
    };
    let hot = 1.0;
    let faults: &[(&str, Fault, f64, &[Kind])] = &[
        (
            "output fails on",
            Fault::SwitchOn,
            hot,
            &[HeatsWhileOff, HotWhileOff, AboveScale, DrivenAboveTarget],
        ),
        (
            "controller at full power",
            Fault::FullPower,
            hot,
            &[DrivenAboveTarget, AboveScale],
        ),
        (
            "duty stuck at twice what holds",
            Fault::StuckDuty(2.0),
            hot,
            &[DrivenAboveTarget, HeldAboveTarget, LeavesTarget],
        ),
        ("heater dead from the start", Fault::Weak(0.0), 0.0, &[NoRise]),
        (
            "heater breaks while hot",
            Fault::Weak(0.0),
            hot,
            &[FallsAtFullDuty, LeavesTarget, NoRise],
        ),
        (
            "a fifth of the power",
            Fault::Weak(0.2),
            0.0,
            &[OutOfReach, NoRise],
        ),
        (
            "sensor slips out",
            Fault::Slips(25.0),
            hot,
            &[FallsAtFullDuty, LeavesTarget, SuddenDrop],
        ),
        (
            "sensor drops out",
            Fault::Slips(3.0),
            hot,
            &[FallsAtFullDuty, SuddenDrop],
        ),
        ("sensor open", Fault::Reads(-14.7), hot, &[BelowScale, SuddenDrop]),
        (
            "sensor shorted",
            Fault::Reads(512.0),
            hot,
            &[AboveScale, SuddenRise],
        ),
        (
            "sensor open from the start",
            Fault::Reads(-14.7),
            0.0,
            &[BelowScale, NoRise],
        ),
        ("no reading", Fault::Nothing, hot, &[NoReading]),
        ("reading frozen", Fault::Frozen, hot, &[Frozen, HeldAboveTarget]),
    ];
    let mut missed = Vec::new();
    for (what, fault, at, expected) in faults {
        for plant in &PLANTS {
            let (mut found, mut other, mut none) = (0, Vec::new(), 0);
            for seed in 0..10 {
                let made = rig::log_written(plant, seed, *fault, *at, Some(full_duty));
                match alarm(&made.text) {
                    Some(alarm) if expected.contains(&alarm.kind) => found += 1,
                    Some(alarm) => other.push((seed, alarm.kind, alarm.at.base())),
                    None => none += 1,
                }
            }
            if found < 10 {
                missed.push(format!(
                    "{what}, {}: {found} found, {none} none, {other:?}",
                    plant.name
                ));
            }
        }
    }
    assert!(missed.is_empty(), "{} {missed:#?}", missed.len());
}

/// A heavy pot in the open loop, as a real one was logged (5 mK/s after two minutes): late, and no fault; one that stays cold is.
#[test]
fn a_part_that_is_only_late_raises_no_alarm() {
    let told = |rise: &dyn Fn(f64) -> f64| {
        let rows = (0..360_u32).map(|at| {
            let time = 10.0 * f64::from(at);
            let power = if time < 70.0 { 0.0 } else { 21.6 };
            format!("{time},{:.2},{power}\n", 22.0 + rise((time - 70.0).max(0.0)))
        });
        std::iter::once("time (s),temperature (°C),power\n".to_owned())
            .chain(rows)
            .collect::<String>()
    };
    let late = told(&|time| 85.0 * (1.0 - (-(time - 60.0).max(0.0) / 9_000.0).exp()));
    assert_eq!(alarm(&late), None);
    assert_eq!(alarm(&told(&|_| 0.0)).map(|own| own.kind), Some(Kind::NoRise));
}

/// The report of an alarm: one sentence with time and value, no controllers, no advice about draughts.
#[test]
fn an_alarm_leads_its_report() {
    let made = rig::log(&PLANTS[0], 1, Fault::FullPower, 1.0);
    let log = read(made.text.as_bytes(), WhatIsKnown::default()).unwrap();
    let ask = Ask {
        name: "hot end".to_owned(),
        ambient: celsius(22.0),
        within: kelvin(1.0),
        pulses: None,
    };
    let report = temperature::analyse(&log, &log.channels[0], ask)
        .unwrap()
        .report();
    assert_eq!(report.verdict, evidence::Verdict::Fail);
    assert!(
        report.sentence.starts_with("Switch off: ") && report.sentence.matches(". ").count() == 0,
        "{}",
        report.sentence
    );
    assert!(
        report.sentence.contains(" s ") && report.sentence.contains("°C"),
        "{}",
        report.sentence
    );
    assert!(
        report.tables.is_empty() && report.pictures.len() == 1,
        "{:?}",
        report.tables
    );
    let advice: String = report.advice.iter().map(|own| own.sentence.as_str()).collect();
    assert!(
        advice.contains("supply") && !advice.contains("draught"),
        "{advice}"
    );
}

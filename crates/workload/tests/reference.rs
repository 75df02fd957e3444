//! Programs against an independent model: a linear programme, integrals along the way, differences of heights (`xtask/reference/motion.py`).

use physics::motion::Kinematics;
use quantity::Number as _;
use quantity::si::{hertz, millimetre, ratio};
use workload::{Corner, Setup};

use crate::given::{run_with, setup, words};

/// One case of the file.
#[derive(Default)]
struct Case {
    name: String,
    rule: String,
    kinematics: String,
    program: String,
    time: f64,
    peaks: Vec<f64>,
    limit: Option<f64>,
    above: f64,
}

fn cases() -> Vec<Case> {
    let mut all: Vec<Case> = Vec::new();
    let lines = include_str!("data/reference-motion.csv").lines();
    for line in lines.filter(|line| !line.starts_with('#')).skip(1) {
        let mut cells = line.splitn(3, ';');
        let (name, what, value) = (
            cells.next().unwrap(),
            cells.next().unwrap(),
            cells.next().unwrap(),
        );
        if all.last().is_none_or(|case| case.name != name) {
            all.push(Case {
                name: name.to_owned(),
                ..Case::default()
            });
        }
        let case = all.last_mut().unwrap();
        match what {
            "rule" => case.rule = value.to_owned(),
            "kinematics" => case.kinematics = value.to_owned(),
            "line" => {
                case.program.push_str(value);
                case.program.push('\n');
            }
            "time" => case.time = value.parse().unwrap(),
            "peaks" => case.peaks = value.split(' ').map(|peak| peak.parse().unwrap()).collect(),
            "limit" => case.limit = Some(value.parse().unwrap()),
            "above" => case.above = value.parse().unwrap(),
            other => panic!("{other}"),
        }
    }
    all
}

fn machine(case: &Case) -> Setup {
    let mut setup = setup();
    if let Ok(deviation) = case.rule.parse() {
        setup.machine.corner = Corner::Deviation(millimetre(deviation));
    }
    match case.kinematics.as_str() {
        "crossed belts" => setup.machine.kinematics = Kinematics::CrossedBelts,
        "delta" => {
            setup.machine.kinematics = Kinematics::Delta {
                arm: millimetre(250.0),
                radius: millimetre(150.0),
            };
            setup.motors[2].steps = setup.motors[0].steps;
        }
        _ => {}
    }
    if let Some(limit) = case.limit {
        setup.boards[0].step_rate = hertz(limit);
        setup.boards[0].share = ratio(1.0);
    }
    setup
}

#[test]
fn an_independent_model_finds_the_same() {
    let (all, words) = (cases(), words());
    assert_eq!(all.len(), 15);
    for case in all {
        let (work, _) = run_with(&machine(&case), &words, case.program.as_bytes());
        let near = |what: &str, found: f64, expected: f64, within: f64| {
            let off = (found - expected).abs() / expected.abs().max(1e-3);
            assert!(off <= within, "{} {what}: {found} is not {expected}", case.name);
        };
        // A place is the sum of rounded numbers, and the programme is solved to ten digits of a square.
        near("time", work.times.motion().base(), case.time, 1e-6);
        for (at, expected) in case.peaks.iter().enumerate() {
            let found = work.motors[at].peak.value.base();
            if case.kinematics == "delta" {
                // Shares are rounded up over a piece of a millimetre, which is most where the arms lie flat.
                near("peak", found, *expected, 3e-2);
                assert!(
                    found >= expected * (1.0 - 1e-4),
                    "{}: {found} is below {expected}",
                    case.name
                );
            } else {
                near("peak", found, *expected, 1e-6);
            }
        }
        if case.limit.is_some() {
            near("above", work.boards[0].above.base(), case.above, 1e-5);
        }
    }
}

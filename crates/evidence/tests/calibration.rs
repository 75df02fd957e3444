//! Calibrations of an invented machine with known errors.

use evidence::calibration::{
    AxisAsk, Corner, Drive, ExtruderAsk, FlowAsk, Measure, Print, Pull, Side, Wall, axes, extruder, flow,
    pressure,
};
use evidence::{Report, Verdict};
use proptest::prelude::*;
use quantity::Value;
use quantity::si::{millimetre, percent, ratio, second, step_per_millimetre};

use crate::coverage::{Noise, assert_covers};

fn pulls(feed: f64, offset: f64, noise: &mut Noise) -> Vec<Pull> {
    [50.0, 100.0, 150.0, 200.0]
        .into_iter()
        .flat_map(|length| [length; 3])
        .map(|length| Pull {
            commanded: millimetre(length),
            measured: millimetre(offset + feed * length + noise.normal(0.3)),
            line: 0,
        })
        .collect()
}

fn steps() -> ExtruderAsk {
    ExtruderAsk {
        steps: Some(step_per_millimetre(400.0)),
        allowed: percent(1.0),
    }
}

/// A print 0.4 % short along X and 0.3 % of shrinkage along both, walls 0.06 mm wide.
fn prints(noise: &mut Noise) -> Vec<Print> {
    let mut all = Vec::new();
    for (axis, travel) in [("X", 0.996), ("Y", 1.0)] {
        for (nominal, side) in [
            (20.0, Side::Outside),
            (60.0, Side::Outside),
            (100.0, Side::Outside),
            (150.0, Side::Outside),
            (30.0, Side::Inside),
            (80.0, Side::Inside),
            (120.0, Side::Inside),
            (90.0, Side::Pitch),
        ] {
            let walls = match side {
                Side::Outside => 0.06,
                Side::Inside => -0.06,
                Side::Pitch => 0.0,
            };
            all.push(Print {
                axis: axis.into(),
                nominal: millimetre(nominal),
                measured: millimetre(nominal * travel * 0.997 + walls + noise.normal(0.02)),
                side,
                line: 0,
            });
        }
    }
    all
}

fn axis_ask() -> AxisAsk {
    AxisAsk {
        drive: Drive::Own,
        steps: vec![("X".into(), step_per_millimetre(80.0))],
        shrinkage: Value::exact(percent(0.3)),
        allowed: percent(0.2),
    }
}

fn corners(best: f64, noise: &mut Noise) -> Vec<Corner> {
    (0..12)
        .map(|k| {
            let compensation = 0.01 * f64::from(k);
            Corner {
                compensation: second(compensation),
                measure: Measure::Bulge(millimetre(1.2 * (best - compensation) + noise.normal(0.01))),
                line: 0,
            }
        })
        .collect()
}

fn scores(best: f64, noise: &mut Noise) -> Vec<Corner> {
    (0..14)
        .map(|k| {
            let compensation = 0.008 * f64::from(k);
            Corner {
                compensation: second(compensation),
                measure: Measure::Score(2000.0 * (best - compensation).powi(2) + 1.0 + noise.normal(0.4)),
                line: 0,
            }
        })
        .collect()
}

fn walls(width: f64, count: usize, noise: &mut Noise) -> Vec<Wall> {
    (0..count)
        .map(|_| Wall {
            set: millimetre(0.45),
            measured: millimetre(0.45 * width * (1.0 + noise.normal(0.02))),
            line: 0,
        })
        .collect()
}

#[test]
fn intervals_hold_the_truth() {
    assert_covers(|noise| {
        let pulled = extruder(&pulls(0.97, -0.8, noise), steps()).unwrap();
        let printed = axes(&prints(noise), &axis_ask()).unwrap();
        let crossed = AxisAsk {
            drive: Drive::Crossed,
            steps: ["X", "Y"]
                .map(|letter| (letter.to_owned(), step_per_millimetre(80.0)))
                .to_vec(),
            ..axis_ask()
        };
        let crossed = axes(&prints(noise), &crossed).unwrap();
        let bulge = pressure(&corners(0.045, noise)).unwrap();
        let score = pressure(&scores(0.045, noise)).unwrap();
        let ask = FlowAsk {
            flow: ratio(0.95),
            allowed: percent(2.0),
        };
        let thick = flow(&walls(1.04, 12, noise), ask).unwrap();
        vec![
            ("feed", pulled.feed.holds(0.97)),
            ("steps of the extruder", pulled.steps.unwrap().holds(400.0 / 0.97)),
            ("what each reading is off by", pulled.offset.unwrap().holds(-0.8)),
            ("travel of X", printed[0].travel.holds(0.996)),
            ("steps of X", printed[0].steps.unwrap().holds(80.0 / 0.996)),
            (
                "steps of X and Y over crossed belts",
                crossed.iter().all(|axis| axis.steps.unwrap().holds(80.0 / 0.998)),
            ),
            ("walls", printed[0].walls.unwrap().holds(0.06)),
            ("scale of X", printed[0].scale.holds(0.996 * 0.997)),
            ("scatter of a length", printed[0].deviation.holds(0.02)),
            ("scatter of a pull", pulled.deviation.holds(0.3)),
            ("width of the walls", thick.width.holds(1.04)),
            (
                "X against Y",
                printed[0].against.as_ref().unwrap().1.holds(-0.004 * 0.997),
            ),
            (
                "compensation by widths",
                bulge.best.is_some_and(|b| b.holds(0.045)),
            ),
            (
                "compensation by scores",
                score.best.is_some_and(|b| b.holds(0.045)),
            ),
            ("flow", thick.flow.holds(0.95 / 1.04)),
            ("scatter of walls", thick.deviation.holds(0.02 * 1.04)),
        ]
    });
}

#[test]
fn an_extruder_that_is_off_gets_its_steps() {
    let report = extruder(&pulls(0.97, 0.0, &mut Noise::seeded(1)), steps())
        .unwrap()
        .report();
    assert_eq!(report.verdict, Verdict::Fail);
    let steps_found = report.figures[0].value.number_of("step/mm").unwrap();
    assert!((steps_found - 412.4).abs() < 1.5, "{steps_found}");
    let fine = extruder(&pulls(1.0, 0.0, &mut Noise::seeded(1)), steps()).unwrap();
    assert_eq!(fine.verdict(), Verdict::Pass);
    assert!(fine.report().advice.iter().any(|a| !a.helps));
}

/// Three pulls of one length cannot part the mark from the steps, and say so.
#[test]
fn one_length_alone_is_told() {
    let one: Vec<Pull> = [99.0, 99.4, 98.8]
        .map(|measured| Pull {
            commanded: millimetre(100.0),
            measured: millimetre(measured),
            line: 0,
        })
        .to_vec();
    let found = extruder(&one, steps()).unwrap();
    assert!(found.offset.is_none());
    assert!(
        found
            .report()
            .troubles
            .iter()
            .any(|t| t.what.contains("three different lengths"))
    );
}

fn has(report: &Report, text: &str) -> bool {
    report.advice.iter().any(|a| a.sentence.contains(text))
}

#[test]
fn a_belt_is_told_from_the_material() {
    let found = axes(&prints(&mut Noise::seeded(2)), &axis_ask()).unwrap();
    assert_eq!((found[0].axis.as_str(), found[0].verdict()), ("X", Verdict::Fail));
    assert!(has(&found[0].report(), "Look at the mechanics"));
    assert_eq!(found[1].verdict(), Verdict::Pass);
    // Both axes alike: not a matter of steps.
    let alike: Vec<Print> = prints(&mut Noise::seeded(3))
        .into_iter()
        .filter(|p| p.axis == "Y")
        .collect();
    let copy = alike.iter().map(|p| Print {
        axis: "X".into(),
        ..p.clone()
    });
    let both: Vec<Print> = alike.iter().cloned().chain(copy).collect();
    assert!(has(
        &axes(&both, &axis_ask()).unwrap()[0].report(),
        "the material"
    ));
}

#[test]
fn a_pattern_that_does_not_reach_the_value_says_so() {
    let beyond = pressure(&corners(0.3, &mut Noise::seeded(4))).unwrap();
    assert!(!beyond.bracketed);
    assert_eq!(beyond.report().verdict, Verdict::Open);
    // Widths that do not change with the value show none.
    let flat: Vec<Corner> = corners(0.05, &mut Noise::seeded(5))
        .into_iter()
        .enumerate()
        .map(|(k, c)| Corner {
            measure: Measure::Bulge(millimetre(if k % 2 == 0 { 0.01 } else { -0.01 })),
            ..c
        })
        .collect();
    assert!(pressure(&flat).unwrap().best.is_none());
    // Scores that do not change with the value show none either.
    let mut noise = Noise::seeded(6);
    let flat: Vec<Corner> = scores(0.05, &mut Noise::seeded(6))
        .into_iter()
        .map(|corner| Corner {
            measure: Measure::Score(3.0 + noise.normal(0.4)),
            ..corner
        })
        .collect();
    assert!(pressure(&flat).unwrap().best.is_none());
}

#[test]
fn what_tells_nothing_is_refused() {
    let mut noise = Noise::seeded(7);
    assert!(extruder(&pulls(1.0, 0.0, &mut noise)[..2], steps()).is_err());
    let zero = Pull {
        commanded: millimetre(0.0),
        measured: millimetre(1.0),
        line: 3,
    };
    assert!(
        extruder(&[zero; 4], steps())
            .unwrap_err()
            .problem
            .contains("line 3")
    );
    assert!(axes(&[], &axis_ask()).is_err());
    assert!(axes(&prints(&mut noise)[..2], &axis_ask()).is_err());
    assert!(pressure(&corners(0.05, &mut noise)[..2]).is_err());
    let mixed: Vec<Corner> = corners(0.05, &mut noise)
        .into_iter()
        .chain(scores(0.05, &mut noise))
        .collect();
    assert!(pressure(&mixed).unwrap_err().problem.contains("mixed"));
    let ask = FlowAsk {
        flow: ratio(1.0),
        allowed: percent(2.0),
    };
    assert!(flow(&walls(1.0, 2, &mut noise), ask).is_err());
    let nan = Wall {
        set: millimetre(0.45),
        measured: millimetre(f64::NAN),
        line: 9,
    };
    assert!(flow(&[nan; 4], ask).unwrap_err().problem.contains("line 9"));
}

proptest! {
    /// Every length twice as long, commanded and measured, leaves the feed as it is; a feed of f asks for 1/f of the steps.
    #[test]
    fn laws(seed in 0_u64..10_000, scale in 0.5_f64..3.0, feed in 0.8_f64..1.2) {
        let base = pulls(feed, 0.5, &mut Noise::seeded(seed));
        let found = extruder(&base, steps()).unwrap();
        let larger: Vec<Pull> = base
            .iter()
            .map(|p| Pull { commanded: p.commanded * scale, measured: p.measured * scale, ..*p })
            .collect();
        let other = extruder(&larger, steps()).unwrap();
        prop_assert!((found.feed.value - other.feed.value).abs() < 1e-9);
        prop_assert!((found.feed.high - other.feed.high).abs() < 1e-9);
        let steps = found.steps.unwrap();
        prop_assert!((steps.value * found.feed.value - 400.0).abs() < 1e-6);
        prop_assert!(steps.low <= steps.value && steps.value <= steps.high);
    }
}

/// Both motors move X and Y together: there is one number of steps, and none for X alone; towers have none at all.
#[test]
fn steps_are_told_of_what_motors_move() {
    let mut noise = Noise::seeded(3);
    let all = prints(&mut noise);
    let with = |drive: Drive, prints: &[Print]| {
        let ask = AxisAsk {
            drive,
            steps: ["X", "Y"]
                .map(|letter| (letter.to_owned(), step_per_millimetre(80.0)))
                .to_vec(),
            ..axis_ask()
        };
        axes(prints, &ask).unwrap()
    };
    let crossed = with(Drive::Crossed, &all);
    assert_eq!(crossed[0].steps, crossed[1].steps);
    let report = crossed[0].report();
    assert!(
        report.sentence.contains("the steps that fit X and Y together"),
        "{}",
        report.sentence
    );
    assert!(
        report
            .advice
            .iter()
            .any(|advice| !advice.helps && advice.sentence.contains("crossed belts"))
    );
    let alone: Vec<Print> = all.iter().filter(|print| print.axis == "X").cloned().collect();
    let alone = with(Drive::Crossed, &alone);
    assert_eq!(alone[0].steps, None);
    assert!(
        alone[0]
            .report()
            .troubles
            .iter()
            .any(|t| t.what.contains("measure along both"))
    );
    let towers = with(Drive::Towers, &all);
    assert!(towers.iter().all(|axis| axis.steps.is_none()));
    assert!(
        towers[0]
            .report()
            .advice
            .iter()
            .any(|advice| advice.sentence.contains("arms"))
    );
}

/// Whoever gives the best place the highest score gets the same value, and is told how the scores were taken.
#[test]
fn scores_may_count_up_or_down() {
    let mut noise = Noise::seeded(8);
    let low_is_good = scores(0.045, &mut noise);
    let high_is_good: Vec<Corner> = low_is_good
        .iter()
        .map(|corner| match corner.measure {
            Measure::Score(score) => Corner {
                measure: Measure::Score(10.0 - score),
                ..*corner
            },
            Measure::Bulge(_) => *corner,
        })
        .collect();
    let (down, up) = (pressure(&low_is_good).unwrap(), pressure(&high_is_good).unwrap());
    let (best_down, best_up) = (down.best.unwrap(), up.best.unwrap());
    assert!((best_down.value - best_up.value).abs() < 1e-9);
    assert!((best_down.high - best_up.high).abs() < 1e-9);
    assert!(up.by_peak && !down.by_peak);
    let told = |found: &evidence::calibration::ExtrusionPressureTest| {
        let troubles = found.report().troubles;
        troubles
            .iter()
            .any(|trouble| trouble.what.contains("higher is taken to be better"))
    };
    assert!(told(&up) && !told(&down));
}

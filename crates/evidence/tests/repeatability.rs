//! Trials of an invented probe with known scatter, drift, warmth and strays.

use evidence::repeatability::{Ask, Trial, repeatability};
use evidence::{Report, Verdict};
use proptest::prelude::*;
use quantity::si::{celsius, kelvin, millimetre, second};

use crate::coverage::{Noise, assert_covers};

fn ask() -> Ask {
    Ask {
        what: "bed probe".into(),
        reference: Some(millimetre(1.0)),
        allowed: millimetre(0.05),
        warming: None,
    }
}

fn at(position: f64) -> Trial {
    Trial {
        at: millimetre(position),
        ..Trial::default()
    }
}

fn figure(report: &Report, id: &str) -> [f64; 3] {
    let found = report.figures.iter().find(|f| f.id == id);
    let value = found.unwrap_or_else(|| panic!("no {id}")).value;
    [value.low, value.nominal, value.high]
}

/// 25 trials of scatter 0.008 mm that drift by 0.03 mm and move 0.002 mm for each kelvin, 0.015 mm off their reference.
fn invented(noise: &mut Noise) -> (Vec<Trial>, f64) {
    let trials = (0..25).map(|k| {
        let share = f64::from(k) / 24.0;
        let warmth = 3.0 * noise.normal(1.0);
        Trial {
            time: Some(second(60.0 * f64::from(k))),
            temperature: Some(celsius(30.0 + warmth)),
            ..at(1.0 + 0.03 * share + noise.normal(0.008))
        }
    });
    let trials: Vec<Trial> = trials.collect();
    (trials, noise.normal(0.008))
}

#[test]
fn intervals_hold_the_truth() {
    assert_covers(|noise| {
        let steady: Vec<Trial> = (0..25).map(|_| at(1.015 + noise.normal(0.008))).collect();
        let next = 1.015 + noise.normal(0.008);
        let found = repeatability(&steady, &ask()).unwrap();
        let (drifting, _) = invented(noise);
        let drift = repeatability(&drifting, &ask()).unwrap();
        let warm: Vec<Trial> = (0..25)
            .map(|_| {
                let warmth = noise.normal(4.0);
                Trial {
                    temperature: Some(celsius(30.0 + warmth)),
                    ..at(1.0 + 0.002 * warmth + noise.normal(0.008))
                }
            })
            .collect();
        let warm = repeatability(&warm, &ask()).unwrap();
        vec![
            ("mean", found.mean.holds(1.015)),
            ("bias", found.bias.unwrap().holds(0.015)),
            ("deviation", found.deviation.holds(0.008)),
            ("next trial", found.next.holds(next)),
            // An offset set from the mean of these trials is off from the next homing by no more than the uncertainty.
            ("offset", (next - found.mean.value).abs() <= found.expanded.value),
            ("no drift", found.drift.holds(0.0)),
            ("drift", drift.drift.holds(0.03)),
            (
                "drift in an hour",
                drift.drift_per_hour.unwrap().holds(0.03 * 3600.0 / (24.0 * 60.0)),
            ),
            ("per kelvin", warm.per_kelvin.unwrap().holds(0.002)),
        ]
    });
}

/// Six runs of five homings of four touches: 0.004 mm within a homing, 0.010 mm between homings, 0.015 mm between runs.
fn nested(noise: &mut Noise) -> Vec<Trial> {
    let mut trials = Vec::new();
    for run in 0..6 {
        let of_run = noise.normal(0.015);
        for homing in 0..5 {
            let of_homing = noise.normal(0.010);
            for _ in 0..4 {
                trials.push(Trial {
                    run: Some(run.to_string()),
                    homing: Some(homing.to_string()),
                    ..at(of_run + of_homing + noise.normal(0.004))
                });
            }
        }
    }
    trials
}

#[test]
fn the_gauge_study_holds_the_truth() {
    assert_covers(|noise| {
        let found = repeatability(&nested(noise), &ask()).unwrap();
        let gauge = found.gauge.unwrap();
        let truth = (0.015_f64.powi(2) + 0.010_f64.powi(2) + 0.004_f64.powi(2)).sqrt();
        vec![
            ("within a homing", gauge.repeatability.holds(0.004)),
            ("single touch of any run", gauge.single.holds(truth)),
        ]
    });
}

/// Touches of one homing are no more independent of each other than the homing is one: each interval goes by the highest level that was
/// repeated. Warmth differs from run to run in one study and from homing to homing in the other.
#[test]
fn intervals_of_a_study_hold_the_truth() {
    assert_covers(|noise| {
        let trials = nested(noise);
        let next = noise.normal(0.015) + noise.normal(0.010) + noise.normal(0.004);
        let about = Ask {
            reference: Some(millimetre(-0.015)),
            ..ask()
        };
        let found = repeatability(&trials, &about).unwrap();
        let days: Vec<Trial> = trials
            .iter()
            .map(|trial| Trial {
                homing: None,
                ..trial.clone()
            })
            .collect();
        let days = repeatability(&days, &about).unwrap();
        let warmed = |by_run: bool, noise: &mut Noise| {
            let mut trials = nested(noise);
            let warmth: Vec<f64> = (0..30).map(|_| noise.normal(4.0)).collect();
            for (at, trial) in trials.iter_mut().enumerate() {
                let warmth = warmth[if by_run { at / 20 } else { at / 4 }];
                trial.temperature = Some(celsius(30.0 + warmth));
                trial.at += millimetre(0.002 * warmth);
            }
            repeatability(&trials, &ask()).unwrap().per_kelvin.unwrap()
        };
        vec![
            ("mean", found.mean.holds(0.0)),
            ("bias", found.bias.unwrap().holds(0.015)),
            ("next trial", found.next.holds(next)),
            ("offset", (next - found.mean.value).abs() <= found.expanded.value),
            ("no drift", found.drift.holds(0.0)),
            ("bias by runs alone", days.bias.unwrap().holds(0.015)),
            ("no drift by runs alone", days.drift.holds(0.0)),
            ("per kelvin, runs", warmed(true, noise).holds(0.002)),
            ("per kelvin, homings", warmed(false, noise).holds(0.002)),
        ]
    });
}

/// What is known, such as the warming, stays as it is where the scatter moves to its bounds.
#[test]
fn a_known_term_is_not_scaled_with_the_scatter() {
    let mut noise = Noise::seeded(5);
    let trials: Vec<Trial> = (0..30)
        .map(|k| {
            let warmth = f64::from(k % 10);
            Trial {
                temperature: Some(celsius(25.0 + warmth)),
                ..at(1.0 + 0.004 * warmth + noise.normal(0.002))
            }
        })
        .collect();
    let about = Ask {
        warming: Some(kelvin(20.0)),
        ..ask()
    };
    let found = repeatability(&trials, &about).unwrap();
    let known = found
        .terms
        .iter()
        .find(|term| term.freedom.is_infinite())
        .unwrap();
    // The normal quantile: much known and little scatter leave no other.
    assert!(
        found.expanded.low > 1.9 * known.standard,
        "{:?} {known:?}",
        found.expanded
    );
}

#[test]
fn the_scatter_between_homings_is_told_from_that_within() {
    let found = repeatability(&nested(&mut Noise::seeded(7)), &ask()).unwrap();
    let report = found.report();
    let gauge = found.gauge.unwrap();
    assert!(
        gauge.between_days > 0.006 && gauge.between_days < 0.015,
        "{gauge:?}"
    );
    assert!(
        report
            .advice
            .iter()
            .any(|a| !a.helps && a.sentence.contains("Averaging more touches"))
    );
    assert!(figure(&report, "gauge-single")[1] > 2.0 * figure(&report, "gauge-repeatability")[1]);
}

#[test]
fn a_stray_is_named_with_its_line_and_still_counted() {
    let mut noise = Noise::seeded(11);
    let mut trials: Vec<Trial> = (0..20).map(|_| at(1.0 + noise.normal(0.005))).collect();
    trials[12] = Trial { line: 14, ..at(1.09) };
    let found = repeatability(&trials, &ask()).unwrap();
    assert_eq!(found.outliers.len(), 1);
    assert!(found.without_outliers < 0.007 && found.deviation.value > 0.015);
    let report = found.report();
    assert!(
        report
            .troubles
            .iter()
            .any(|t| t.line == Some(14) && t.what.contains("stands out"))
    );
}

#[test]
fn verdicts_follow_the_limit() {
    let mut noise = Noise::seeded(13);
    let trials: Vec<Trial> = (0..40).map(|_| at(noise.normal(0.010))).collect();
    let with = |allowed: f64| {
        let ask = Ask {
            allowed: millimetre(allowed),
            ..ask()
        };
        repeatability(&trials, &ask).unwrap().report().verdict
    };
    assert_eq!(with(0.040), Verdict::Pass);
    assert_eq!(with(0.010), Verdict::Fail);
    assert_eq!(with(0.021), Verdict::Open);
}

#[test]
fn warming_counts_where_it_is_known_and_is_named_where_it_is_not() {
    let warm = Ask {
        warming: Some(kelvin(20.0)),
        ..ask()
    };
    let mut noise = Noise::seeded(17);
    let (trials, _) = invented(&mut noise);
    let found = repeatability(&trials, &warm).unwrap();
    assert_eq!(found.terms.len(), 3);
    assert!(found.expanded.value > repeatability(&trials, &ask()).unwrap().expanded.value);
    let cold: Vec<Trial> = trials
        .iter()
        .map(|t| Trial {
            temperature: None,
            ..t.clone()
        })
        .collect();
    let report = repeatability(&cold, &warm).unwrap().report();
    assert!(
        report
            .troubles
            .iter()
            .any(|t| t.what.contains("not known and not counted"))
    );
}

#[test]
fn trials_that_depend_on_each_other_are_told() {
    let mut noise = Noise::seeded(19);
    let mut level = 0.0;
    let trials: Vec<Trial> = (0..60)
        .map(|_| {
            level += noise.normal(0.005);
            at(level)
        })
        .collect();
    let report = repeatability(&trials, &ask()).unwrap().report();
    assert!(report.troubles.iter().any(|t| t.what.contains("not independent")));
}

#[test]
fn what_tells_nothing_is_refused() {
    let problem = |trials: &[Trial]| repeatability(trials, &ask()).unwrap_err().problem;
    assert!(problem(&[]).contains("too few"));
    assert!(problem(&[at(1.0), at(1.1), at(1.2)]).contains("3 trials"));
    assert!(problem(&vec![at(1.0); 20]).contains("one and the same"));
    let mut broken: Vec<Trial> = (0..9).map(|k| at(f64::from(k))).collect();
    broken[4] = Trial {
        line: 6,
        ..at(f64::NAN)
    };
    assert!(problem(&broken).contains("line 6"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// A shift moves the mean alone; a stretch by k stretches every deviation by k.
    #[test]
    fn laws(seed in 0_u64..10_000, shift in -50.0_f64..50.0, stretch in 0.1_f64..10.0) {
        let mut noise = Noise::seeded(seed);
        let base: Vec<f64> = (0..12).map(|_| noise.normal(0.01)).collect();
        let looked = |f: &dyn Fn(f64) -> f64| {
            let trials: Vec<Trial> = base.iter().map(|v| at(f(*v))).collect();
            repeatability(&trials, &ask()).unwrap()
        };
        let (plain, moved, stretched) = (looked(&|v| v), looked(&|v| v + shift), looked(&|v| v * stretch));
        prop_assert!((moved.mean.value - plain.mean.value - shift).abs() < 1e-9);
        prop_assert!((moved.deviation.value - plain.deviation.value).abs() < 1e-9);
        prop_assert!((stretched.expanded.high - stretch * plain.expanded.high).abs() < 1e-9 * stretch);
        prop_assert_eq!(moved.outliers.len(), plain.outliers.len());
        prop_assert!(plain.expanded.low <= plain.expanded.value && plain.expanded.value <= plain.expanded.high);
    }
}

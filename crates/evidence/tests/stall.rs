//! Sweeps of the stall threshold of an invented axis with known edges.

use evidence::Verdict;
use evidence::stall::{Ask, Edge, Ending, StallThresholdTest, Trial, stall_sweep};
use proptest::prelude::*;
use quantity::si::{millimetre_per_second, percent};
use rand_distr::{Bernoulli, Distribution as _};

use crate::coverage::{Noise, assert_covers};

/// Chances of an invented axis: false triggers fall around `touchy`, misses rise around `numb`.
#[derive(Clone, Copy)]
struct Truth {
    touchy: f64,
    numb: f64,
    width: f64,
}

fn chance(log_odds: f64) -> f64 {
    1.0 / (1.0 + (-log_odds).exp())
}

/// Whether something of this chance happens.
fn happens(noise: &mut Noise, chance: f64) -> bool {
    Bernoulli::new(chance).unwrap().sample(&mut noise.0)
}

fn sweep(truth: Truth, thresholds: impl Iterator<Item = i32>, repeats: u32, noise: &mut Noise) -> Vec<Trial> {
    let mut trials = Vec::new();
    for threshold in thresholds {
        let at = f64::from(threshold);
        for _ in 0..repeats {
            let ending = if happens(noise, chance((truth.touchy - at) / truth.width)) {
                Ending::FalseTrigger
            } else if happens(noise, chance((at - truth.numb) / truth.width)) {
                Ending::Missed
            } else {
                Ending::Clean
            };
            trials.push(trial(at, ending));
        }
    }
    trials
}

fn trial(threshold: f64, ending: Ending) -> Trial {
    Trial {
        axis: "X".into(),
        speed: Some(millimetre_per_second(40.0)),
        current: None,
        threshold,
        ending,
        line: 0,
    }
}

fn ask() -> Ask {
    Ask {
        allowed: percent(5.0),
        confidence: percent(95.0),
    }
}

fn looked(trials: &[Trial]) -> StallThresholdTest {
    stall_sweep(trials, ask()).unwrap().remove(0)
}

#[test]
fn edges_hold_the_truth() {
    let truth = Truth {
        touchy: 20.0,
        numb: 60.0,
        width: 4.0,
    };
    assert_covers(|noise| {
        let found = looked(&sweep(truth, (0..=80).step_by(4), 8, noise));
        let (
            Edge::Found {
                allowed: a, half: b, ..
            },
            Edge::Found {
                allowed: c, half: d, ..
            },
        ) = (found.groups[0].touchy, found.groups[0].numb)
        else {
            panic!("edges are there: {found:?}");
        };
        let odds = (0.95_f64 / 0.05).ln() * 4.0;
        vec![
            ("false triggers, half", b.holds(20.0)),
            ("false triggers, allowed", a.holds(20.0 + odds)),
            ("misses, half", d.holds(60.0)),
            ("misses, allowed", c.holds(60.0 - odds)),
        ]
    });
}

/// The room is that of the worse side at its unfavourable bound: a promise to one side, kept at least as often as it says.
#[test]
fn the_room_is_promised_to_one_side() {
    let truth = Truth {
        touchy: 20.0,
        numb: 60.0,
        width: 4.0,
    };
    let odds = (0.95_f64 / 0.05).ln() * 4.0;
    let kept = crate::coverage::rates(|noise| {
        let found = looked(&sweep(truth, (0..=80).step_by(4), 8, noise));
        let room = (found.proposed - (20.0 + odds)).min(60.0 - odds - found.proposed);
        vec![("room", found.room.low <= room)]
    });
    assert!(
        kept["room"] as f64 >= 0.95 * crate::coverage::SEEDS as f64,
        "{kept:?}"
    );
}

#[test]
fn the_proposal_lies_in_the_middle_of_the_window() {
    let truth = Truth {
        touchy: 30.0,
        numb: 130.0,
        width: 3.0,
    };
    let found = looked(&sweep(truth, (0..=160).step_by(5), 12, &mut Noise::seeded(1)));
    assert!((found.proposed - 80.0).abs() < 10.0, "{}", found.proposed);
    assert!(!found.larger_is_touchier);
    // Many clean homings on both sides of it speak for it: 59 are needed for 5 % at 95 %.
    assert_eq!(found.groups[0].needed, Some(0));
    assert_eq!(found.verdict(), Verdict::Pass, "{}", found.report().sentence);
    // The same axis with numbers that run the other way.
    let turned: Vec<Trial> = sweep(truth, (0..=160).step_by(5), 12, &mut Noise::seeded(1))
        .into_iter()
        .map(|t| Trial {
            threshold: 200.0 - t.threshold,
            ..t
        })
        .collect();
    let other = looked(&turned);
    assert!(other.larger_is_touchier);
    assert!((other.proposed - (200.0 - found.proposed)).abs() <= 1.0);
    assert!((other.room.value - found.room.value).abs() < 1e-6);
}

#[test]
fn few_trials_ask_for_more() {
    let truth = Truth {
        touchy: 30.0,
        numb: 130.0,
        width: 3.0,
    };
    let found = looked(&sweep(truth, (0..=160).step_by(20), 3, &mut Noise::seeded(2)));
    assert_eq!(found.verdict(), Verdict::Open);
    // The success-run theorem: 59 in all for 5 % at 95 %; those beside the proposal count.
    let needed = found.groups[0].needed.unwrap();
    assert!((40..59).contains(&needed), "{needed}");
    assert!(found.report().sentence.contains("more clean homings"));
}

#[test]
fn where_the_edges_overlap_no_value_is_safe() {
    let truth = Truth {
        touchy: 60.0,
        numb: 50.0,
        width: 6.0,
    };
    let found = looked(&sweep(truth, (0..=110).step_by(5), 10, &mut Noise::seeded(3)));
    assert_eq!(found.verdict(), Verdict::Fail);
    let report = found.report();
    assert!(report.sentence.starts_with("No threshold"), "{}", report.sentence);
    assert!(report.figures.iter().all(|f| f.id != "threshold"));
    assert!(report.advice.iter().any(|a| a.sentence.contains("limit switch")));
}

/// Two speeds whose windows lie apart leave no threshold for both.
#[test]
fn every_speed_has_to_be_served() {
    let mut noise = Noise::seeded(4);
    let mut trials = sweep(
        Truth {
            touchy: 10.0,
            numb: 60.0,
            width: 2.0,
        },
        (0..=150).step_by(5),
        8,
        &mut noise,
    );
    let fast = sweep(
        Truth {
            touchy: 90.0,
            numb: 140.0,
            width: 2.0,
        },
        (0..=150).step_by(5),
        8,
        &mut noise,
    );
    trials.extend(fast.into_iter().map(|t| Trial {
        speed: Some(millimetre_per_second(80.0)),
        ..t
    }));
    let found = looked(&trials);
    assert_eq!(found.groups.len(), 2);
    assert_eq!(found.verdict(), Verdict::Fail);
}

#[test]
fn parted_outcomes_are_borne_and_told() {
    let trials: Vec<Trial> = (0..=10)
        .flat_map(|k| {
            let ending = match k {
                0..=2 => Ending::FalseTrigger,
                3..=7 => Ending::Clean,
                _ => Ending::Missed,
            };
            vec![trial(f64::from(k) * 10.0, ending); 6]
        })
        .collect();
    let found = looked(&trials);
    assert!((found.proposed - 50.0).abs() <= 5.0, "{}", found.proposed);
    assert!(matches!(
        found.groups[0].touchy,
        Edge::Found { separated: true, .. }
    ));
    assert!(
        found
            .report()
            .troubles
            .iter()
            .any(|t| t.what.contains("parts the outcomes"))
    );
}

#[test]
fn one_edge_alone_says_how_far_was_tried() {
    let trials: Vec<Trial> = (0..=10)
        .flat_map(|k| {
            vec![
                trial(
                    f64::from(k),
                    if k < 3 {
                        Ending::FalseTrigger
                    } else {
                        Ending::Clean
                    }
                );
                20
            ]
        })
        .collect();
    let found = looked(&trials);
    assert_eq!(found.groups[0].numb, Edge::Beyond(10.0));
    assert!(
        found
            .report()
            .advice
            .iter()
            .any(|a| a.sentence.contains("more numb"))
    );
}

/// Where trials are needed is said, for each speed, and how sure they make: 59 for 5 % at 95 %, 90 at 99 % (success-run theorem).
#[test]
fn the_trials_needed_name_their_speed_and_confidence() {
    let truth = Truth {
        touchy: 20.0,
        numb: 60.0,
        width: 1.0,
    };
    let slow = sweep(truth, (0..=80).step_by(10), 3, &mut Noise::seeded(1));
    let mut trials = slow.clone();
    let fast = sweep(truth, (0..=80).step_by(10), 5, &mut Noise::seeded(2));
    trials.extend(fast.into_iter().map(|trial| Trial {
        speed: Some(millimetre_per_second(80.0)),
        ..trial
    }));
    let at = |trials: &[Trial], sure: f64| {
        let ask = Ask {
            confidence: percent(sure),
            ..ask()
        };
        stall_sweep(trials, ask).unwrap().remove(0)
    };
    let found = at(&trials, 95.0);
    let [first, second] = &found.groups[..] else {
        panic!()
    };
    let (first, second) = (first.needed.unwrap(), second.needed.unwrap());
    assert!(first > 0 && second > 0 && first != second, "{first} {second}");
    let report = found.report();
    let each = format!("({first} at 40 mm/s, {second} at 80 mm/s)");
    assert!(
        report.sentence.contains(&each) && report.sentence.contains("95 % confidence"),
        "{}",
        report.sentence
    );
    let told = format!(
        "Home {first} times more at 40 mm/s, {second} times more at 80 mm/s with the threshold {}, {} in all",
        found.proposed,
        first + second
    );
    assert!(
        report.advice.iter().any(|a| a.sentence.starts_with(&told)),
        "{told}: {:?}",
        report.advice
    );
    let alone = at(&slow, 95.0).report();
    assert!(
        alone.sentence.contains("needed at 40 mm/s to show"),
        "{}",
        alone.sentence
    );
    // Surer: as many more as the theorem says, and wider intervals.
    let surer = at(&trials, 99.0);
    assert_eq!(surer.groups[0].needed, Some(first + 90 - 59));
    assert!(surer.report().sentence.contains("99 % confidence"));
    assert!(surer.room.low < found.room.low);
    let shown = surer
        .report()
        .figures
        .iter()
        .filter_map(|figure| figure.confidence)
        .collect::<Vec<_>>();
    assert!(
        !shown.is_empty() && shown.iter().all(|own| (own - 0.99).abs() < 1e-12),
        "{shown:?}"
    );
}

#[test]
fn what_tells_nothing_is_refused() {
    let problem = |trials: &[Trial]| stall_sweep(trials, ask()).unwrap_err().problem;
    assert!(problem(&[]).contains("no trial"));
    assert!(problem(&[trial(1.0, Ending::Clean), trial(2.0, Ending::Clean)]).contains("no homing failed"));
    assert!(problem(&[trial(1.0, Ending::Clean), trial(1.0, Ending::Missed)]).contains("do not change"));
    assert!(problem(&[trial(f64::NAN, Ending::Clean)]).contains("no threshold"));
    let ask = Ask {
        allowed: percent(60.0),
        confidence: percent(95.0),
    };
    assert!(stall_sweep(&[trial(1.0, Ending::Clean)], ask).is_err());
    for confidence in [50.0, 100.0, f64::NAN] {
        let ask = Ask {
            allowed: percent(5.0),
            confidence: percent(confidence),
        };
        let refused = stall_sweep(&[trial(1.0, Ending::Clean)], ask).unwrap_err();
        assert!(refused.problem.contains("confidence"), "{confidence}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Any mixture of endings gives an answer or a reason, never a panic; what is proposed was within what was tried.
    #[test]
    fn anything_is_answered(rows in prop::collection::vec((-20_i32..20, 0_u8..3, 0_u8..2), 0..60)) {
        let trials: Vec<Trial> = rows
            .iter()
            .map(|(threshold, ending, speed)| Trial {
                speed: (*speed == 1).then(|| millimetre_per_second(50.0)),
                ..trial(f64::from(*threshold), [Ending::FalseTrigger, Ending::Clean, Ending::Missed][usize::from(*ending)])
            })
            .collect();
        let found = stall_sweep(&trials, ask());
        let mean = |ending: Ending| {
            let own: Vec<f64> = trials.iter().filter(|t| t.ending == ending).map(|t| t.threshold).collect();
            own.iter().sum::<f64>() / own.len() as f64
        };
        let (early, late) = (mean(Ending::FalseTrigger), mean(Ending::Missed));
        // Both ways to fail, at thresholds that differ: that must give an answer.
        prop_assert!(found.is_ok() || !((early - late).abs() > 1e-9), "{:?}", found);
        let found = match found {
            Ok(found) => found,
            Err(refused) => {
                prop_assert!(!refused.problem.is_empty() && !refused.mend.is_empty());
                return Ok(());
            }
        };
        let found = &found[0];
        let report = found.report();
        prop_assert!(!report.sentence.is_empty());
        let tried = trials.iter().map(|t| t.threshold);
        prop_assert!(found.proposed >= tried.clone().fold(f64::INFINITY, f64::min));
        prop_assert!(found.proposed <= tried.fold(f64::NEG_INFINITY, f64::max));
    }
}

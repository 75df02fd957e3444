//! Height maps of invented beds with known tilt, warp and noise.

use evidence::Verdict;
use evidence::height_map::{Ask, HeightMap, Mode, Screw, Sense, Touch, Witness, height_map, level};
use physics::mechanics::Point;
use proptest::prelude::*;
use quantity::si::millimetre;
use statistics::{Estimate, linear_regression};

use crate::coverage::{Noise, assert_covers};

/// A bed 200 mm wide and deep: bowl, twist and a dent, without tilt.
fn warp(x: f64, y: f64) -> f64 {
    let (u, v) = ((x - 115.0) / 100.0, (y - 115.0) / 100.0);
    let dent = -0.03 * (-((x - 160.0).powi(2) + (y - 80.0).powi(2)) / (2.0 * 25.0_f64.powi(2))).exp();
    0.08 * (u * u + v * v) + 0.05 * u * v + dent
}

fn bed(x: f64, y: f64) -> f64 {
    0.4 + 0.0015 * (x - 115.0) - 0.0008 * (y - 115.0) + warp(x, y)
}

fn places(side: u32) -> Vec<(f64, f64)> {
    let at = |k: u32| 15.0 + 200.0 * f64::from(k) / f64::from(side - 1);
    (0..side * side).map(|k| (at(k % side), at(k / side))).collect()
}

fn touched(side: u32, visits: u32, noise: &mut Noise, height: impl Fn(f64, f64) -> f64) -> Vec<Touch> {
    let mut touches = Vec::new();
    for visit in 0..visits {
        let shift = noise.normal(0.02);
        for (x, y) in places(side) {
            touches.push(Touch {
                at: Point::in_millimetres(x, y),
                height: millimetre(height(x, y) + shift + noise.normal(0.01)),
                visit: Some(visit),
                line: touches.len() as u64 + 1,
            });
        }
    }
    touches
}

fn screws() -> Vec<Screw> {
    [
        ("front left", 20.0, 20.0),
        ("front right", 210.0, 20.0),
        ("back left", 20.0, 210.0),
        ("back right", 210.0, 210.0),
    ]
    .into_iter()
    .map(|(name, x, y)| Screw {
        name: name.into(),
        at: Point::in_millimetres(x, y),
        pitch: millimetre(0.7),
        raises: Sense::Clockwise,
        fixed: false,
    })
    .collect()
}

fn ask() -> Ask {
    Ask {
        screws: screws(),
        grid: Some([5, 5]),
        layer: millimetre(0.2),
        allowed: millimetre(0.05),
    }
}

fn looked(touches: &[Touch]) -> HeightMap {
    height_map(touches, &ask()).unwrap()
}

/// Rise to the right per millimetre of the plane through the true surface at the places: what the intervals are about.
fn true_plane(side: u32) -> Vec<f64> {
    let rows: Vec<Vec<f64>> = places(side)
        .iter()
        .map(|(x, y)| vec![1.0, x - 115.0, y - 115.0])
        .collect();
    let heights: Vec<f64> = places(side).iter().map(|(x, y)| bed(*x, *y)).collect();
    linear_regression(&rows, &heights).unwrap().coefficients
}

fn intervals(side: u32, visits: u32, noise: &mut Noise) -> Vec<(&'static str, bool)> {
    let found = level(&touched(side, visits, noise, bed), &screws()).unwrap();
    let truth = true_plane(side);
    let turn = |x: f64, y: f64| -(truth[1] * (x - 115.0) + truth[2] * (y - 115.0)) / 0.7;
    let mut held = vec![
        ("rise to the right", found.tilt.right.holds(truth[1] * 1e3)),
        ("rise to the back", found.tilt.back.holds(truth[2] * 1e3)),
        (
            "tilt over the bed",
            (found.tilt.over_bed).holds(200.0 * (truth[1].abs() + truth[2].abs())),
        ),
        ("first screw", found.tilt.turns[0].turns.holds(turn(20.0, 20.0))),
        ("second screw", found.tilt.turns[1].turns.holds(turn(210.0, 20.0))),
        ("third screw", found.tilt.turns[2].turns.holds(turn(20.0, 210.0))),
        (
            "fourth screw",
            found.tilt.turns[3].turns.holds(turn(210.0, 210.0)),
        ),
    ];
    if visits > 1 {
        held.push(("noise of a touch", found.touch_deviation.holds(0.01)));
    }
    held
}

#[test]
fn intervals_hold_the_truth_with_several_visits() {
    assert_covers(|noise| intervals(5, 3, noise));
}

#[test]
fn intervals_hold_the_truth_with_one_visit() {
    // Noise and warp are told apart by smoothness alone: that needs many places.
    assert_covers(|noise| intervals(11, 1, noise));
}

/// A bed that seven places a side can tell: bowl, twist and an S, all wide.
fn wide_warp(x: f64, y: f64) -> f64 {
    let (u, v) = ((x - 115.0) / 100.0, (y - 115.0) / 100.0);
    0.2 + 0.15 * (u * u + v * v) + 0.05 * u * v + 0.06 * (u * u * u - u)
}

/// A bed drawn anew for each seed: waves of all lengths, whose heights fall with the square of their number over the bed.
fn drawn(roughness: f64, noise: &mut Noise) -> impl Fn(f64, f64) -> f64 + use<> {
    let waves: Vec<(f64, f64, f64)> = (0..10)
        .flat_map(|i| (0..10).map(move |k| (f64::from(i), f64::from(k))))
        .filter(|(i, k)| i + k > 0.0)
        .map(|(i, k)| (i, k, noise.normal(roughness / (i * i + k * k))))
        .collect();
    move |x, y| {
        let wave = |number: f64, at: f64| (core::f64::consts::PI * number * (at - 15.0) / 200.0).cos();
        waves
            .iter()
            .map(|(i, k, height)| height * wave(*i, x) * wave(*k, y))
            .sum()
    }
}

/// Shapes of the warp; the truth is what they are in the same places touched without noise.
fn shapes(side: u32, visits: u32, noise: &mut Noise) -> Vec<(&'static str, bool)> {
    let of = |touches: &[Touch]| level(touches, &[]).unwrap().shape.unwrap().modes;
    let exact: Vec<Touch> = places(side)
        .into_iter()
        .map(|(x, y)| Touch {
            at: Point::in_millimetres(x, y),
            height: millimetre(bed(x, y)),
            visit: None,
            line: 0,
        })
        .collect();
    let truth = of(&exact);
    let found = of(&touched(side, visits, noise, bed));
    let true_one = |mode: Mode| truth.iter().find(|own| own.0 == mode).unwrap().1.value;
    let held = found
        .iter()
        .map(|(mode, height)| (mode.words(), height.holds(true_one(*mode))));
    held.collect()
}

#[test]
fn intervals_of_the_warp_hold_the_truth() {
    assert_covers(|noise| shapes(5, 3, noise));
    assert_covers(|noise| shapes(7, 2, noise));
}

/// The largest error of straight interpolation between the points of a square grid over the bed.
fn true_largest(height: impl Fn(f64, f64) -> f64, grid: usize) -> f64 {
    // Eight parts to a cell, so that every eighth line is one of the grid.
    let lines = 8 * (grid - 1) + 1;
    let at = |line: usize| 15.0 + 200.0 * line as f64 / (lines - 1) as f64;
    let heights: Vec<Vec<f64>> = (0..lines)
        .map(|row| (0..lines).map(|column| height(at(column), at(row))).collect())
        .collect();
    let mut largest = 0.0_f64;
    for row in 0..lines - 1 {
        for column in 0..lines - 1 {
            let (r, c) = (row / 8 * 8, column / 8 * 8);
            let (v, u) = ((row % 8) as f64 / 8.0, (column % 8) as f64 / 8.0);
            let side = |r: usize| (1.0 - u) * heights[r][c] + u * heights[r][c + 8];
            let interpolated = (1.0 - v) * side(r) + v * side(r + 8);
            largest = largest.max((heights[row][column] - interpolated).abs());
        }
    }
    largest
}

/// Whether the interval of the largest error holds that of the bed and of its touches, whose deviation is 0.01 mm.
fn largest_error(side: u32, visits: u32, noise: &mut Noise, bed: impl Fn(f64, f64) -> f64) -> bool {
    let truth = true_largest(&bed, 5) + 2.0 * 2.0 / 3.0 * 0.01;
    let found = height_map(&touched(side, visits, noise, bed), &ask()).unwrap();
    found.grids.asked_largest.unwrap().holds(truth)
}

/// Beds that are as rough as a spline takes them for; one that is smoother is given more room than it needs, never less.
#[test]
fn the_interval_of_the_largest_error_holds_the_truth() {
    assert_covers(|noise| {
        let (wide, narrow) = (drawn(0.05, noise), drawn(0.02, noise));
        vec![
            ("largest error", largest_error(7, 3, noise, wide)),
            (
                "largest error of a nearly flat bed",
                largest_error(7, 3, noise, narrow),
            ),
        ]
    });
    let smooth = crate::coverage::rates(|noise| vec![("smooth", largest_error(7, 3, noise, wide_warp))]);
    assert!(smooth["smooth"] >= 182, "{smooth:?}");
}

/// Found by fuzzing: where places are left out in turn, three may be left, which no surface but a plane goes through.
#[test]
fn few_touches_leave_a_plane() {
    let corners = [
        (20.0, 20.0),
        (210.0, 20.0),
        (20.0, 210.0),
        (210.0, 210.0),
        (115.0, 115.0),
        (60.0, 150.0),
    ];
    for count in 4..=corners.len() {
        let touches: Vec<Touch> = corners[..count]
            .iter()
            .map(|(x, y)| Touch {
                at: Point::in_millimetres(*x, *y),
                height: millimetre(bed(*x, *y)),
                visit: None,
                line: 0,
            })
            .collect();
        let report = looked(&touches).report();
        for word in ["NaN", "inf", "unbounded"] {
            assert!(!report.sentence.contains(word), "{}", report.sentence);
        }
    }
}

#[test]
fn a_known_bed_is_recognised() {
    let found = looked(&touched(7, 3, &mut Noise::seeded(1), bed));
    // A screw turned as told raises the bed where it is low: front right is high by 0.0015 · 95 + 0.0008 · 95 mm.
    let turn = |at: usize| &found.level.tilt.turns[at];
    assert_eq!(turn(1).sense, Sense::CounterClockwise);
    assert!(
        (turn(1).turns.value + (0.0015 + 0.0008) * 95.0 / 0.7).abs() < 0.04,
        "{:?}",
        turn(1)
    );
    assert_eq!(turn(2).sense, Sense::Clockwise);
    let shape = found.level.shape.as_ref().unwrap();
    assert_eq!(shape.modes[0].0, Mode::Bowl);
    // 0.08 (u² + v²) is 0.16 mm higher at the corners than in the middle; the dent takes a little away.
    assert!((shape.modes[0].1.value - 0.16).abs() < 0.02, "{shape:?}");
    assert_eq!(shape.modes[1].0, Mode::Twist);
    assert!((shape.modes[1].1.value - 0.10).abs() < 0.02);
    assert!(shape.explained > 0.85);
    let report = found.report();
    // A dent narrower than the touches are apart may be deeper than it looks.
    assert_eq!(report.verdict, Verdict::Open, "{}", report.sentence);
    let mut roomy = ask();
    roomy.allowed = millimetre(0.1);
    let roomy = height_map(&touched(7, 3, &mut Noise::seeded(1), bed), &roomy)
        .unwrap()
        .report();
    assert_eq!(roomy.verdict, Verdict::Pass, "{}", roomy.sentence);
    assert!(
        report
            .advice
            .iter()
            .any(|a| a.sentence.contains("`front right`") && a.sentence.contains("counter-clockwise"))
    );
}

/// After the turns that were told, the plane is level: the law that the turns stand for.
#[test]
fn turns_make_the_plane_level() {
    let mut noise = Noise::seeded(3);
    let found = looked(&touched(5, 2, &mut noise, bed));
    // Rises at four screws that lie on a plane: fit it and add it to the bed.
    let rows: Vec<Vec<f64>> = screws()
        .iter()
        .map(|s| vec![1.0, s.at.x.value * 1e3, s.at.y.value * 1e3])
        .collect();
    let rises: Vec<f64> = found.level.tilt.turns.iter().map(|t| t.rise.value).collect();
    let lift = linear_regression(&rows, &rises).unwrap().coefficients;
    let levelled = |x: f64, y: f64| bed(x, y) + lift[0] + lift[1] * x + lift[2] * y;
    let again = looked(&touched(5, 2, &mut Noise::seeded(3), levelled));
    assert!(
        again.level.tilt.right.value.abs() < 1e-6 && again.level.tilt.back.value.abs() < 1e-6,
        "{:?}",
        again.level.tilt
    );
    assert!(again.report().sentence.starts_with("No tilt is shown"));
}

/// A dent that a coarse grid misses wants a finer one; a flat plate wants the coarsest there is.
#[test]
fn the_grid_that_is_enough_follows_the_shape() {
    let flat = looked(&touched(9, 2, &mut Noise::seeded(5), |x, _| 0.001 * x));
    assert!(
        flat.grids.squares[flat.grids.enough].grid[0] <= 3,
        "{:?}",
        flat.grids.squares
    );
    let wavy = |x: f64, y: f64| 0.15 * (x / 25.0).sin() * (y / 30.0).cos();
    let wavy = looked(&touched(9, 2, &mut Noise::seeded(5), wavy));
    assert!(
        wavy.grids.squares[wavy.grids.enough].grid[0] >= 7,
        "{:?}",
        wavy.grids.squares
    );
    assert_eq!(wavy.report().verdict, Verdict::Fail);
    // A flat plate touched with noise shows no warp.
    assert!(
        flat.report()
            .troubles
            .iter()
            .any(|t| t.what.contains("no larger than the noise"))
    );
}

#[test]
fn one_visit_says_that_noise_and_shape_are_mixed() {
    let found = looked(&touched(5, 1, &mut Noise::seeded(2), bed));
    assert!(found.level.visits.noise.is_none());
    assert!(
        found
            .report()
            .troubles
            .iter()
            .any(|t| t.what.contains("Touch the bed twice"))
    );
}

fn with_false_touch(mut touches: Vec<Touch>, at: usize, by: f64) -> Vec<Touch> {
    touches[at].height += millimetre(by);
    touches
}

/// One false touch among three visits is named with its line and left out; verdict, noise and turns are those of the bed without it, and
/// what they would be with it is told.
#[test]
fn a_false_touch_among_visits_does_not_decide() {
    let mut roomy = ask();
    roomy.allowed = millimetre(0.1);
    let clean = touched(7, 3, &mut Noise::seeded(1), bed);
    for by in [1.0, -0.3] {
        let found = height_map(&with_false_touch(clean.clone(), 60, by), &roomy).unwrap();
        let [stray] = found.level.strays.found[..] else {
            panic!("{:?}", found.level.strays)
        };
        assert!(
            stray.line == clean[60].line
                && stray.witness == Witness::SamePlace
                && (stray.off - by).abs() < 0.05
        );
        let report = found.report();
        assert_eq!(report.verdict, Verdict::Pass, "{}", report.sentence);
        assert!(
            report.sentence.contains("1 of 147 touches strays"),
            "{}",
            report.sentence
        );
        assert!(
            report.troubles.iter().any(|t| t.line == Some(clean[60].line)),
            "{:?}",
            report.troubles
        );
        assert!(
            found.level.touch_deviation.holds(0.01),
            "{:?}",
            found.level.touch_deviation
        );
        let with = found.with_strays.as_ref().unwrap();
        assert!(
            with.level.touch_deviation.low > 1.5 * 0.01,
            "{:?}",
            with.level.touch_deviation
        );
        // The smaller one is within what this bed allows, the larger one is not.
        assert_eq!(with.report().verdict == Verdict::Pass, by.abs() < 0.5);
        assert!(
            report
                .figures
                .iter()
                .any(|f| f.id == "grid-largest-error-with-strays")
        );
    }
    // The same where visits are told by order alone: the others keep their visit.
    let mut unnamed = with_false_touch(clean, 10, 1.0);
    for touch in &mut unnamed {
        touch.visit = None;
    }
    let found = height_map(&unnamed, &roomy).unwrap();
    assert_eq!(found.level.strays.found.len(), 1);
    assert!(
        found.level.touch_deviation.holds(0.01),
        "{:?}",
        found.level.touch_deviation
    );
}

/// Of two touches that disagree the neighbours tell which is wrong, and of single touches whether one is; but then it may be the bed, and
/// the verdict does not hang on it.
#[test]
fn where_no_third_touch_tells_neighbours_do() {
    let mut roomy = ask();
    roomy.allowed = millimetre(0.15);
    for visits in [1, 2] {
        let clean = touched(9, visits, &mut Noise::seeded(2), wide_warp);
        let without = height_map(&clean, &roomy).unwrap();
        assert!(without.level.strays.found.is_empty());
        let found = height_map(&with_false_touch(clean, 40, 1.0), &roomy).unwrap();
        let [stray] = found.level.strays.found[..] else {
            panic!("{:?}", found.level.strays)
        };
        assert_eq!((stray.line, stray.witness), (41, Witness::Neighbours));
        assert!((found.level.touch_deviation.value / without.level.touch_deviation.value - 1.0).abs() < 0.2);
        let report = found.report();
        assert_eq!(report.verdict, Verdict::Open, "{}", report.sentence);
        assert!(
            report.sentence.contains("decides: touch there again"),
            "{}",
            report.sentence
        );
    }
}

/// A bed touched wildly everywhere has no mishaps, and no touch of a good one is called a mishap.
#[test]
fn no_noise_is_called_a_stray() {
    let mut named = 0;
    for seed in 0..60 {
        let mut noise = Noise::seeded(seed);
        let drawn = drawn(0.05, &mut noise);
        for (side, visits) in [(7, 3), (7, 2), (9, 1)] {
            let found = level(&touched(side, visits, &mut noise, &drawn), &[]).unwrap();
            named += found.strays.found.len();
        }
    }
    assert_eq!(named, 0);
    let mut wild = touched(7, 3, &mut Noise::seeded(1), bed);
    for touch in wild.iter_mut().step_by(6) {
        touch.height += millimetre(1.0);
    }
    let found = looked(&wild);
    assert!(!found.level.strays.left_out && found.level.strays.found.len() > 15);
    let told = found.report().troubles;
    assert!(
        told.iter()
            .any(|t| t.count > 15 && t.what.contains("none is left out")),
        "{told:?}"
    );
}

#[test]
fn what_makes_no_map_is_refused_with_a_reason() {
    let touch = |x: f64, y: f64, z: f64| Touch {
        at: Point::in_millimetres(x, y),
        height: millimetre(z),
        visit: None,
        line: 0,
    };
    let refused = |touches: &[Touch], ask: &Ask| height_map(touches, ask).unwrap_err().problem;
    assert!(refused(&[], &ask()).contains("too few"));
    assert!(refused(&[touch(0.0, 0.0, 0.0); 9], &ask()).contains("too few"));
    let line: Vec<Touch> = (0..8).map(|i| touch(f64::from(i), f64::from(i), 0.0)).collect();
    assert!(refused(&line, &ask()).contains("one line"));
    assert!(refused(&[touch(0.0, 0.0, f64::NAN)], &ask()).contains("touch 1"));
    let mut other = ask();
    other.screws[0].pitch = millimetre(0.0);
    assert!(refused(&line, &other).contains("front left"));
    other = ask();
    other.grid = Some([1, 5]);
    assert!(refused(&line, &other).contains("grid"));
}

/// A fixed screw stays, the others come to its height.
#[test]
fn a_fixed_screw_is_left_alone() {
    let mut ask = ask();
    ask.screws[3].fixed = true;
    let found = height_map(&touched(5, 3, &mut Noise::seeded(4), bed), &ask).unwrap();
    assert!(found.level.tilt.turns[3].turns.value.abs() < 1e-12);
    let free = looked(&touched(5, 3, &mut Noise::seeded(4), bed));
    let gap = |h: &HeightMap| h.level.tilt.turns[0].rise.value - h.level.tilt.turns[3].rise.value;
    assert!((gap(&found) - gap(&free)).abs() < 1e-12);
}

fn scaled(e: Estimate) -> [f64; 3] {
    [e.low, e.value, e.high]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Heights shifted as a whole turn no screw; the order of the touches does not matter; a bed turned over turns the senses round.
    #[test]
    fn laws(shift in -5.0_f64..5.0, seed in 0_u64..1000) {
        let touches = touched(5, 2, &mut Noise::seeded(seed), bed);
        let base = looked(&touches);
        let mut moved = touches.clone();
        for touch in &mut moved {
            touch.height += millimetre(shift);
        }
        let mut reversed = touches.clone();
        reversed.reverse();
        let mut upside = touches;
        for touch in &mut upside {
            touch.height = -touch.height;
        }
        for (other, sign) in [(looked(&moved), 1.0), (looked(&reversed), 1.0), (looked(&upside), -1.0)] {
            for (a, b) in base.level.tilt.turns.iter().zip(&other.level.tilt.turns) {
                prop_assert!((a.turns.value - sign * b.turns.value).abs() < 1e-7);
                let (a, b) = (scaled(a.turns), scaled(b.turns));
                prop_assert!((a[2] - a[0] - (b[2] - b[0])).abs() < 1e-7);
            }
            prop_assert_eq!(base.grids.enough, other.grids.enough);
        }
    }
}

//! The sample programs of the RS274/NGC report, and words as it defines them.

use core::num::NonZeroU64;

use quantity::Number as _;
use workload::{Corner, Rapid, Setup, Work};

use crate::given::{run_with, setup, words_of_the_report};

/// A machine without limits that would matter, for lengths and places.
fn machine() -> Setup {
    let mut setup = setup();
    setup.machine.rapid = Rapid::Fastest;
    setup.machine.corner = Corner::SuddenChange;
    setup.machine.radius_error = quantity::si::millimetre(0.002);
    // A second tool, which the first program selects.
    setup.motors.push(setup.motors[3].clone());
    setup
}

fn run(text: &str) -> Work {
    run_with(&machine(), &words_of_the_report(), text.as_bytes()).0
}

/// Lowest and highest place of an axis, in millimetres.
fn extent(work: &Work, axis: usize) -> [f64; 2] {
    let extent = work.extents.all[axis];
    [extent.low(), extent.high()].map(|place| place.base() * 1e3)
}

fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected}");
}

/// NISTIR 6556, appendix C.1: box and lengths recomputed by another program.
#[test]
fn the_first_sample_program_has_its_lengths_and_its_box() {
    let work = run(include_str!("data/report-c1-simple.ngc"));
    assert!(work.troubles.is_empty(), "{:?}", work.troubles);
    for (axis, expected) in [(0, [0.0, 81.0]), (1, [0.0, 10.0]), (2, [-0.5, 50.0])] {
        let found = extent(&work, axis);
        near(found[0], expected[0], 1e-9);
        near(found[1], expected[1], 1e-9);
    }
    // Nothing is laid down: all of it is travel, 25 rapids, 29 lines and 5 arcs; n0120 and others begin where they are told to go.
    let length: f64 = work.lengths.iter().map(|length| length.base() * 1e3).sum();
    near(length, 435.483_267, 1e-6);
    let moves = NonZeroU64::new(work.moves).unwrap().get();
    assert!((55..=59).contains(&moves), "{moves}");
    // Words of a milling machine, which nobody's printer was seen to know.
    let unknown: Vec<&str> = work.unknown_words.iter().map(|word| word.what.as_str()).collect();
    assert_eq!(unknown, ["M3", "M6"]);
}

/// The same in parts: 25 rapids of 252.052801 mm, 29 lines of 126.978534 mm, 5 arcs of 56.451933 mm.
#[test]
fn the_first_sample_program_in_parts() {
    let text = include_str!("data/report-c1-simple.ngc");
    let (mut mode, mut lengths) = (0, [0.0; 3]);
    // Each line by itself, from where the ones before have led: the whole up to it less the whole before it.
    let mut before = 0.0;
    let mut so_far = String::new();
    for line in text.lines() {
        so_far.push_str(line);
        so_far.push('\n');
        let lower = line.to_lowercase();
        let word = |name: &str| lower.split_whitespace().any(|word| word == name);
        mode = match () {
            () if word("g0") => 0,
            () if word("g1") => 1,
            () if word("g2") || word("g3") => 2,
            () => mode,
        };
        let whole: f64 = run(&so_far)
            .lengths
            .iter()
            .map(|length| length.base() * 1e3)
            .sum();
        lengths[mode] += whole - before;
        before = whole;
    }
    for (found, expected) in lengths.into_iter().zip([252.052_801, 126.978_534, 56.451_933]) {
        near(found, expected, 2e-6);
    }
}

/// NISTIR 6556, appendix C.2: each line's comment has its result; n0460 recomputed.
#[test]
fn the_second_sample_program_has_the_values_of_its_comments() {
    let text = include_str!("data/report-c2-expressions.ngc");
    let mut so_far = String::new();
    let mut checked = 0;
    for line in text.lines() {
        so_far.push_str(line);
        so_far.push('\n');
        let expected = match line.split_once("should be ") {
            // "parameters set in parallel, so x should be 7, not 5"
            Some((_, rest)) => {
                let digits = rest.split([')', ',']).next().unwrap();
                digits.trim().parse::<f64>().unwrap()
            }
            None if line.starts_with("n0460") => 2.000_545,
            None => continue,
        };
        // Where X ends: one step on in increments shows it.
        let work = run(&format!("{so_far}g91 x1000\n"));
        let found = extent(&work, 0)[1] - 1000.0;
        assert!(work.troubles.is_empty(), "{line}: {:?}", work.troubles);
        // The comments have four or five digits, as have the numbers that they are worked out from.
        assert!(
            (found - expected).abs() <= 1e-4 * expected.abs().max(1.0),
            "{line}: {found}"
        );
        checked += 1;
    }
    assert_eq!(checked, 45);
}

/// Appendix C.3: canned cycles of a milling machine are no words of this trade. They are named, and nothing moves by them.
#[test]
fn the_third_sample_program_is_named_word_by_word() {
    let work = run(include_str!("data/report-c3-cycles.ngc"));
    let unknown: Vec<&str> = work.unknown_words.iter().map(|word| word.what.as_str()).collect();
    for word in [
        "G43", "M3", "G81", "G82", "G83", "G84", "G85", "G86", "G87", "G88", "G89", "M4",
    ] {
        assert!(unknown.contains(&word), "{word}: {unknown:?}");
    }
    assert_eq!(work.pieces, 0);
}

/// 3.5.3.1, 3.5.3.2: the two examples, from start points that are ours or the report's; lengths recomputed.
#[test]
fn arcs_have_their_lengths() {
    for (text, expected) in [
        ("G0 X7 Y7\nG17 G2 X10 Y16 I3 J4", 12.490_458),
        ("G17 G2 X10 Y15 R20", 20.0 * 53.576_426_f64.to_radians()),
        ("G17 G2 X10 Y15 R-20", 20.0 * 306.423_574_f64.to_radians()),
        // A full turn where the end is the start; a helix along its way.
        ("G17 G3 X0 Y0 I5", 31.415_927),
        ("G17 G3 X0 Y0 Z7 I5", 31.415_927_f64.hypot(7.0)),
        ("G18 G2 Z10 K5 X0 Y2", (5.0 * core::f64::consts::PI).hypot(2.0)),
        ("G19 G3 Y10 J5", 5.0 * core::f64::consts::PI),
    ] {
        let work = run(&format!("G21 G1 F600\n{text}\n"));
        let travel = if text.starts_with("G0") {
            7.0_f64.hypot(7.0)
        } else {
            0.0
        };
        let found = work.lengths.iter().map(|length| length.base() * 1e3).sum::<f64>() - travel;
        near(found, expected, 2e-6);
        assert!(work.troubles.is_empty(), "{text}: {:?}", work.troubles);
    }
}

/// 3.5.3.2: the radii of an arc may differ by 0.002 mm.
#[test]
fn arcs_whose_radii_differ_are_refused() {
    assert!(run("G2 X10 Y0 I5.0009 J0\n").troubles.is_empty());
    let work = run("G2 X10 Y0 I5.002 J0\nG2 X4\nG2 X20 R4\nG2 X0 Y0 R4\n");
    assert_eq!(work.pieces, 0);
    let told: Vec<(&str, u64)> = work
        .troubles
        .iter()
        .map(|trouble| (trouble.what.as_str(), trouble.count))
        .collect();
    assert_eq!(
        told,
        [
            ("arc skipped: its radius does not reach its end", 1),
            ("arc skipped: its centre is not equally far from both ends", 1),
            ("arc skipped: neither centre nor radius", 1),
            ("arc skipped: ends where it begins, with a radius", 1),
        ]
    );
}

/// 3.5.18: the offsets of G92, read from where an absolute move then leads.
#[test]
fn naming_the_current_point() {
    for (text, expected) in [
        // "At X 4: G92 x7 gives an offset of −3, then G92 x9 gives −5."
        ("G0 X4\nG92 X7\nG0 X107", 104.0),
        ("G0 X4\nG92 X7\nG92 X9\nG0 X109", 104.0),
        ("G0 X4\nG92 X7\nG92.1\nG0 X107", 107.0),
        ("G0 X4\nG92 X7\nG92.2\nG92.3\nG0 X107", 104.0),
        ("G0 X4\nG92 X7\nG92.2\nG0 X107", 107.0),
        // Inches restate the place; nothing moves. Increments do not care for offsets.
        ("G0 X25.4\nG20\nG0 X5", 127.0),
        ("G0 X4\nG92 X7\nG91\nG0 X100", 104.0),
        // Table 8: what sets comes before what moves, wherever it stands.
        ("G0 X50\nG1 X50 G91", 100.0),
    ] {
        let work = run(text);
        near(extent(&work, 0)[1], expected, 1e-9);
    }
}

/// Feeds: millimetres or inches in a minute; a feed that is not above zero changes nothing.
#[test]
fn feeds_have_the_unit_of_lengths() {
    let speed = |text: &str| run(text).motors[0].speed;
    near(speed("G1 X200 F1800").base(), 0.03, 1e-12);
    near(speed("G20\nG1 X5 F60").base(), 0.0254, 1e-12);
    let work = run("G1 X100 F1800\nG1 X0 F-5\nG1 X100 F0\n");
    near(work.motors[0].speed.base(), 0.03, 1e-12);
    assert_eq!(work.troubles[0].count, 2);
    assert_eq!(work.troubles[0].places[0].line, 2);
}
